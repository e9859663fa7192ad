// A file that somebody else changed: both texts side by side, and one to go on with.

import { by } from './asking.js';

export function settle(disk, own, goOn) {
  const [theirs, ours] = [disk.text.split('\n'), own.split('\n')];
  const lines = [];
  for (let number = 0; number < Math.max(theirs.length, ours.length); number += 1) {
    if (theirs[number] !== ours[number]) lines.push(number + 1);
  }
  by('conflict-lines').textContent = lines.length
    ? `The first line that differs is ${lines[0]}.`
    : 'Both say the same.';
  by('conflict-disk').value = disk.text;
  by('conflict-own').value = own;
  by('conflict').hidden = false;
  by('conflict-title').focus();
  const end = (text) => () => {
    by('conflict').hidden = true;
    goOn(text());
  };
  by('take-disk').onclick = end(() => disk.text);
  by('take-own').onclick = end(() => by('conflict-own').value);
}
