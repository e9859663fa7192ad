// What the page knows: one text, what the program says of it, and what is chosen. Parts of the page
// listen to what changes.

import { asked, series, told } from './asking.js';
import { Texts } from './texts.js';

export const texts = new Texts();

export const today = document.body.dataset.today;
export const year = Number(today.slice(0, 4));

export const state = {
  saved: '',
  digest: '',
  kept: 'as in the file',
  judged: null, // what the program says of the text
  site: null, // as it was understood last; without windows where it has none yet
  sound: '', // the last text without faults
  version: 0, // counts those
  chosen: { kind: 'window', index: 0 },
  window: null, // name of the one that the pictures of sun are about
  wall: null, // of the one seen from outside
  forms: [],
  moment: null, // the sun now, and what it lights
  feet: false,
};

const heard = {};
export const on = (what, job) => (heard[what] = heard[what] || []).push(job);
export const tell = (what, ...given) => (heard[what] || []).forEach((job) => job(...given));

export const tables = () => (state.judged ? state.judged.tables : {});
export const entries = (kind) => {
  const held = tables()[kind];
  return Array.isArray(held) ? held : [];
};
export const at = (raw, path) => path.reduce((value, part) => (value === null || value === undefined ? undefined : value[part]), raw);
// Of the site as it was understood: `windows`, `walls`, `trees` or `obstacles`.
export const named = (kind, name) => (state.site ? state.site[kind].find((one) => one.name === name) : undefined);
export const theWindow = () => named('windows', state.window);
export const indexOf = (kind, name) => entries(kind).findIndex((entry) => entry.name === name);

// A name that nothing of a kind has yet.
export function freeName(kind, name) {
  const taken = new Set(entries(kind).map((entry) => entry.name));
  if (!taken.has(name)) return name;
  let number = 2;
  while (taken.has(`${name} ${number}`)) number += 1;
  return `${name} ${number}`;
}

export function show(text, judged) {
  state.judged = judged;
  if (judged.site || judged.sketch) {
    state.site = judged.site || judged.sketch;
    const { windows, walls } = state.site;
    if (!windows.some((one) => one.name === state.window)) {
      const chosen = state.chosen.kind === 'window' && entries('window')[state.chosen.index];
      const there = chosen && windows.find((one) => one.name === chosen.name);
      state.window = there ? there.name : windows.length ? windows[0].name : null;
    }
    if (!walls.some((wall) => wall.name === state.wall)) {
      const own = windows.find((one) => one.name === state.window);
      const wall = walls.find((one) => own && one.name === own.facade) || walls[0];
      state.wall = wall ? wall.name : null;
    }
  }
  if (judged.site && text !== state.sound) {
    state.sound = text;
    state.version += 1;
  }
  const { kind, index } = state.chosen;
  if (index !== null && !entries(kind)[index]) {
    const first = entries('window').findIndex((one) => one.name === state.window);
    state.chosen = { kind: 'window', index: Math.max(first, 0) };
  }
  tell('site');
}

// Another text: typed, undone, read. What the program says of it comes after.
const judging = series({
  quick: [{ ask: (text) => ['judge', { text }], draw: (judged, text) => text === texts.now && show(text, judged) }],
}, (wrong) => tell('problem', wrong));
export const judgeNow = () => judging.take(texts.now);

export function put(text, cause) {
  texts.put(text, cause);
  tell('text');
  judgeNow();
}

// Changes go one after the other, each into the text that the one before it left. Of several that
// wait for one cause only the last is made.
const waiting = new Map();
let running = null;

export function edit(changes, cause, { then = null, failed = null } = {}) {
  waiting.set(cause, { changes, then, failed });
  if (!running) {
    running = drained().finally(() => {
      running = null;
    });
  }
  return running;
}

// The text of an answer in place of the one before, and what the program says of it.
export function took(answer, cause, then) {
  texts.put(answer.text, cause);
  if (then) then(answer);
  tell('text');
  show(answer.text, answer);
}

async function drained() {
  for (const [cause, job] of waiting) {
    waiting.delete(cause);
    try {
      let [from, answer] = [null, null];
      while (from !== texts.now) { // else it was typed, or undone, meanwhile
        from = texts.now;
        answer = await asked('change', { text: from, changes: job.changes });
      }
      took(answer, cause, job.then);
    } catch (wrong) {
      if (job.failed) job.failed(told(wrong));
      else tell('problem', wrong);
    }
  }
}

// Steps that each begin where the one before them ended, such as those of a key that is held down.
let turn = Promise.resolve();
export function inTurn(job) {
  turn = turn.then(job).catch((wrong) => tell('problem', wrong));
}

export function choose(kind, index, { focus = false } = {}) {
  state.chosen = { kind, index };
  if (kind === 'window') {
    const entry = entries('window')[index];
    if (entry && state.site.windows.some((one) => one.name === entry.name)) {
      const another = state.window !== entry.name;
      state.window = entry.name;
      if (typeof entry.wall === 'string') state.wall = entry.wall;
      if (another) tell('window');
    }
  }
  if (kind === 'wall') state.wall = entries('wall')[index].name;
  tell('chosen', focus);
}

// One more table, chosen once it is there.
export function add(kind, values, options = {}) {
  const index = entries(kind).length;
  return edit([{ add: [kind], values }], `add ${kind} ${index} ${values.name}`, {
    then: () => {
      state.chosen = { kind, index };
      if (kind === 'window') state.window = values.name;
      if (typeof values.wall === 'string') state.wall = values.wall;
      setTimeout(() => tell('chosen', options.focus !== false), 0);
    },
  });
}

// Lengths as the file gets them: metres to the centimetre, or feet and inches.
export const step = () => (state.feet ? 0.0254 : 0.05);
export const snapped = (metres) => Math.round(metres / step()) * step();
export function toFile(metres) {
  if (!state.feet) return Number(metres.toFixed(2)) + 0;
  const inches = Math.round(Math.abs(metres) / 0.0254);
  if (inches === 0) return 0;
  if (metres < 0) return Number(metres.toFixed(3));
  const [feet, rest] = [Math.floor(inches / 12), inches % 12];
  return [feet ? `${feet} ft` : '', rest ? `${rest} in` : ''].filter(Boolean).join(' ');
}
export function said(metres) {
  if (!state.feet) return `${metres.toFixed(2)} m`;
  const inches = Math.round(Math.abs(metres) / 0.0254);
  const sign = metres < 0 && inches ? '-' : '';
  return `${sign}${Math.floor(inches / 12)} ft ${inches % 12} in`;
}
