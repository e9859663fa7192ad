// The text of the file as it goes back and forth: every step can be undone, and redone.

export class Texts {
  constructor() {
    this.all = [''];
    this.number = 0;
    this.cause = null;
    this.when = 0;
  }

  get now() {
    return this.all[this.number];
  }

  get canUndo() {
    return this.number > 0;
  }

  get canRedo() {
    return this.number < this.all.length - 1;
  }

  begin(text) {
    this.all = [text];
    this.number = 0;
    this.cause = null;
  }

  // Steps of one cause that follow each other quickly, such as the letters of a word, are one step;
  // so is all of one drag.
  put(text, cause) {
    if (text === this.now) return;
    const held = cause.startsWith('drag'); // for as long as it is held
    const quick = cause === this.cause && (held || Date.now() - this.when < 1500) && this.number > 0;
    this.all.length = this.number + 1;
    if (quick) this.all[this.number] = text;
    else this.all.push(text);
    this.number = this.all.length - 1;
    this.cause = cause;
    this.when = Date.now();
  }

  step(by) {
    this.number = Math.min(Math.max(this.number + by, 0), this.all.length - 1);
    this.cause = null;
  }
}
