// The interface: questions by name, answers as JSON. All that is known of the sun comes from here.

export class Refused extends Error {
  constructor(status, answer) {
    super(answer.error || `the program answers ${status}`);
    this.status = status;
    this.answer = answer;
  }
}

export async function asked(name, fields = {}, signal = null) {
  let response;
  try {
    response = await fetch(`api/${name}`, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify(fields),
      signal,
    });
  } catch (wrong) {
    if (signal && signal.aborted) throw wrong;
    throw new Refused(0, { error: 'the program has ended; copy the text below if it is not saved, and start it again' });
  }
  const answer = await response.json();
  if (!response.ok) throw new Refused(response.status, answer);
  return answer;
}

// What a request refused is told by: its faults, where there are some.
export const told = (wrong) => (wrong.answer?.faults?.length ? wrong.answer.faults.map(wordsOf).join(' ') : wrong.message);
export const wordsOf = ({ place, message }) => [place, message].filter(Boolean).join(': ');

export const RESTS_MS = 400; // without another move: the hand rests

// Questions about what is shown, the quickest first, each drawn once it is answered: `quick` ones, and
// `late` ones that may wait (`rest`, in ms) for the hand to rest. One is under way at a time,
// so that nothing is drawn over what is newer. Quick ones are asked to their end, so that a steady
// drag is drawn all the time; then comes the newest of the states that were taken up meanwhile. Late
// ones are given up for it. What is dropped is about something else, and is not drawn any more.
export function series({ quick, late = [] }, failed) {
  let next = null;
  let running = false;
  let about = new AbortController();
  let resting = new AbortController();

  async function answer(state, questions, { signal }) {
    for (const { ask, draw, rest } of questions) {
      if (rest && !signal.aborted) await pause(rest, signal);
      if (signal.aborted) return;
      const found = await asked(...ask(state), signal);
      if (signal.aborted) return;
      draw(found, state);
    }
  }

  async function run() {
    running = true;
    while (next) {
      const state = next;
      const [all, later] = [about, (resting = new AbortController())];
      next = null;
      try {
        await answer(state, quick, all);
        await answer(state, late, later);
      } catch (wrong) {
        if (!next && !all.signal.aborted) failed(wrong);
      }
    }
    running = false;
  }

  return {
    take(state) {
      next = state;
      resting.abort();
      if (!running) run();
    },
    drop() {
      next = null;
      about.abort();
      resting.abort();
      about = new AbortController();
    },
  };
}

const pause = (milliseconds, signal) =>
  new Promise((resolve) => {
    setTimeout(resolve, milliseconds);
    signal.addEventListener('abort', resolve, { once: true });
  });

export function after(milliseconds, job) {
  let timer = 0;
  return (...given) => {
    clearTimeout(timer);
    timer = setTimeout(() => job(...given), milliseconds);
  };
}

export const by = (id) => document.getElementById(id);

export function make(tag, attributes = {}, ...children) {
  const svg = ['svg', 'g', 'path', 'rect', 'circle', 'line', 'polygon', 'polyline', 'text', 'title'].includes(tag);
  const element = svg
    ? document.createElementNS('http://www.w3.org/2000/svg', tag)
    : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== null && value !== undefined && value !== false) element.setAttribute(name, value);
  }
  element.append(...children);
  return element;
}

export function button(words, job, attributes = {}) {
  const element = make('button', { type: 'button', ...attributes }, words);
  element.addEventListener('click', job);
  return element;
}

export const clock = (seconds) => {
  const minutes = Math.floor(seconds / 60);
  const two = (number) => String(number).padStart(2, '0');
  return `${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
};

export const lasting = (seconds) => {
  const minutes = Math.round(seconds / 60);
  return minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
};
