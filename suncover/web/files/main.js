// The page: one text, what the program says of it, and pictures of the window that is chosen.

import { after, asked, by, clock, latest, make } from './asking.js';
import { interview } from './asks.js';
import { settle } from './conflict.js';
import { at, sayFault, showFaults, showFields } from './fields.js';
import { drawHouse } from './house.js';
import { Texts } from './texts.js';
import { trialOf } from './trial.js';
import { drawCarpet, drawStrip, stripWords, unpacked } from './year.js';

const texts = new Texts();
const today = document.body.dataset.today;
const year = Number(today.slice(0, 4));
const state = { saved: '', digest: '', judged: null, site: null, sound: '', window: null, sun: null, plan: null, light: null, kept: 'as in the file' };
const dateOf = (day) => new Date(Date.UTC(year, 0, 1 + day));
const iso = (day) => dateOf(day).toISOString().slice(0, 10);
const day = () => Number(by('day').value);
const slot = () => Number(by('time').value);
const theWindow = () => state.site.windows.find((window) => window.name === state.window);

const trial = trialOf({ state, year, day, drawYear, adopt: (text) => put(text, 'overhang') });

function say(words) {
  by('state').textContent = words;
}

function problem(wrong) {
  say(wrong.message);
}

function put(text, cause) {
  texts.put(text, cause);
  refresh();
}

// What the text says: its faults at once, and where there are none, all pictures anew.
const refresh = latest(async () => {
  const text = texts.now;
  const changed = text !== state.saved;
  by('undo').disabled = !texts.canUndo;
  by('redo').disabled = !texts.canRedo;
  by('save').disabled = !changed;
  if (!state.typing && by('text').value !== text) by('text').value = text;
  try {
    show(text, await asked('judge', { text }));
    if (state.judged.faults.length) say(`${state.judged.faults.length} to mend before it can be saved`);
    else say(changed ? 'changed, not saved yet' : state.kept);
  } catch (wrong) {
    problem(wrong);
  }
});

function show(text, judged) {
  state.judged = judged;
  if (judged.site) {
    state.site = judged.site;
    state.sound = text;
    if (!judged.site.windows.some((window) => window.name === state.window)) state.window = judged.site.windows[0].name;
    by('title').textContent = judged.site.name;
    listWindows();
  }
  by('work').hidden = !state.site;
  by('written').hidden = false;
  by('stale').hidden = Boolean(judged.site);
  if (state.site) {
    if (Object.keys(judged.tables).length) showFields(by('fields'), judged.tables, state.window, change, state.stepped);
    state.stepped = false;
    const others = showFaults(by('fields'), judged.faults);
    by('others').replaceChildren(...others.map((fault) => make('p', { class: 'fault' }, words(fault))));
  }
  listFaults(judged.faults);
  if (judged.site) {
    pictures();
    trial.begin(theWindow());
  }
}

const words = (fault) => [fault.file === state.file ? '' : fault.file, fault.line ? `line ${fault.line}` : '', fault.place, fault.message].filter(Boolean).join(': ');

function listFaults(faults) {
  by('faults').replaceChildren(
    ...faults.map((fault) => {
      const button = make('button', { type: 'button' }, words(fault));
      button.addEventListener('click', () => toLine(fault.line || 1));
      return make('li', {}, button);
    }),
  );
}

function toLine(line) {
  const field = by('text');
  const lines = field.value.split('\n');
  const start = lines.slice(0, line - 1).join('\n').length + (line > 1 ? 1 : 0);
  field.focus();
  field.setSelectionRange(start, start + (lines[line - 1] || '').length);
  field.scrollTop = (line - 4) * parseFloat(getComputedStyle(field).lineHeight);
}

function listWindows() {
  const old = by('windows');
  const legend = old.querySelector('legend');
  const names = JSON.stringify(state.site.windows.map((window) => window.name));
  if (old.dataset.names !== names) {
    old.dataset.names = names;
    old.replaceChildren(
      legend,
      ...state.site.windows.map((window, index) => {
        const choice = make('input', { type: 'radio', name: 'window', value: window.name });
        choice.addEventListener('change', () => pick(window.name));
        return make('label', {}, choice, make('span', {}, `${index + 1} ${window.name}`), make('span', { 'data-power': window.name }));
      }),
    );
  }
  for (const choice of old.querySelectorAll('input')) choice.checked = choice.value === state.window;
}

function pick(name) {
  state.window = name;
  state.sun = state.plan = null;
  show(texts.now, state.judged);
  listWindows();
}

// Changes go one after the other, each into the text that the one before it left; of several to one
// value, the last.
const waiting = new Map();
let changing = false;
async function change(path, value) {
  waiting.set(path.join('.'), [path, value]);
  if (changing) return;
  changing = true;
  for (const [key, [way, latter]] of waiting) {
    waiting.delete(key);
    if (latter === null && at(state.judged.tables, way) === undefined) {
      sayFault(by('fields'), way, '');
      continue;
    }
    try {
      const answer = await asked('change', { text: texts.now, changes: [{ path: way, value: latter }] });
      put(answer.text, key);
    } catch (wrong) {
      sayFault(by('fields'), way, wrong.message);
    }
  }
  changing = false;
}

function typed() {
  state.typing = false;
  put(by('text').value, 'text');
}
const typedSoon = after(200, typed);

// The pictures of the sound text: the house by the day, the window by the year.
const loadYear = latest(async () => {
  const asking = { text: state.sound, window: state.window, year };
  try {
    const sun = await asked('sun', asking);
    sun.watts = unpacked(sun.power);
    if (asking.window !== state.window) return;
    state.sun = sun;
    drawYear();
    const plan = await asked('closed', asking);
    if (asking.window !== state.window) return;
    state.plan = plan;
    drawYear();
    trial.figures();
  } catch (wrong) {
    problem(wrong);
  }
});

const loadDay = latest(async () => {
  try {
    state.light = await asked('day', { text: state.sound, day: iso(day()) });
    drawNow();
  } catch (wrong) {
    problem(wrong);
  }
});

function pictures() {
  drawNow();
  loadDay();
  loadYear();
}

function drawNow() {
  const light = state.light;
  by('day-says').textContent = dateOf(day()).toLocaleDateString(undefined, { day: 'numeric', month: 'long', timeZone: 'UTC' });
  by('time-says').textContent = clock(slot() * 600);
  const now = light && { azimuth: light.azimuth[slot()], elevation: light.elevation[slot()], power: {} };
  if (now) {
    for (const [name, watts] of Object.entries(light.power)) now.power[name] = watts[slot()];
    by('sun-says').textContent = now.elevation > 0
      ? `The sun stands ${Math.round(now.elevation)}° high, ${Math.round(now.azimuth)}° from north.`
      : 'The sun is down.';
    for (const place of by('windows').querySelectorAll('[data-power]')) {
      const watts = now.power[place.dataset.power] || 0;
      place.textContent = watts ? `${watts} W/m²` : 'no sun';
    }
  }
  by('house').replaceChildren(drawHouse(state.site, state.window, now, pick));
}

function drawYear() {
  if (!state.sun) return;
  drawStrip(by('strip'), state.sun, state.plan, trial.sun, day(), slot());
  by('strip-says').textContent = stripWords(state.sun, state.plan, day());
  drawCarpet(by('carpet'), state.sun, state.plan, day(), slot(), (number, cell) => {
    by('day').value = number;
    by('time').value = cell;
    moved();
    loadDay();
  });
}

function moved() {
  drawNow();
  drawYear();
  trial.figures();
}

async function save() {
  if (state.typing) typed();
  try {
    const text = texts.now;
    const answer = await asked('save', { text, digest: state.digest });
    state.saved = text;
    state.digest = answer.digest;
    state.kept = 'saved';
    refresh();
  } catch (wrong) {
    problem(wrong);
    if (wrong.status !== 409) return;
    settle(wrong.answer, texts.now, (text) => {
      state.saved = wrong.answer.text;
      state.digest = wrong.answer.digest;
      put(text, 'settled');
      refresh();
    });
  }
}

function step(number) {
  if (state.typing) typed();
  texts.step(number);
  state.stepped = true;
  refresh();
}

function wire() {
  by('undo').addEventListener('click', () => step(-1));
  by('redo').addEventListener('click', () => step(1));
  by('save').addEventListener('click', save);
  by('text').addEventListener('input', () => {
    state.typing = true;
    typedSoon();
  });
  addEventListener('resize', after(150, drawYear));
  by('fields').addEventListener('submit', (event) => event.preventDefault());
  by('day').addEventListener('input', () => {
    moved();
    loadDay();
  });
  by('time').addEventListener('input', moved);
  document.addEventListener('keydown', (event) => {
    if (!(event.ctrlKey || event.metaKey)) return;
    const key = event.key.toLowerCase();
    if (key === 's') {
      event.preventDefault();
      if (!by('save').disabled) save();
    } else if (key === 'z' && !by('work').hidden) {
      event.preventDefault();
      step(event.shiftKey ? 1 : -1);
    } else if (key === 'y' && !by('work').hidden) {
      event.preventDefault();
      step(1);
    }
  });
  window.addEventListener('beforeunload', (event) => {
    if (texts.now !== state.saved) event.preventDefault();
  });
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', drawYear);
  by('plan').addEventListener('submit', async (event) => {
    event.preventDefault();
    const form = event.submitter.value;
    by('plan-fault').textContent = '';
    try {
      const answer = await asked('plan', { text: state.sound, first: by('first').value, last: by('last').value, form });
      const link = make('a', { href: URL.createObjectURL(new Blob([answer.text], { type: answer.kind })), download: `plan.${form}` });
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 10000);
    } catch (wrong) {
      by('plan-fault').textContent = wrong.message;
    }
  });
}

async function start() {
  const first = (Date.parse(today) - Date.UTC(year, 0, 1)) / 86400000;
  by('day').max = (Date.UTC(year + 1, 0, 1) - Date.UTC(year, 0, 1)) / 86400000 - 1;
  by('day').value = first;
  by('time').value = 72;
  by('first').value = today;
  by('last').value = `${year}-12-31`;
  wire();
  try {
    const read = await asked('read');
    state.file = read.file;
    state.digest = read.digest;
    state.saved = read.text;
    texts.begin(read.text);
    if (read.digest) {
      await refresh();
      return;
    }
    say('a new file: nothing is written before you save');
    interview((text) => put(text, 'interview'));
  } catch (wrong) {
    problem(wrong);
    if (wrong.answer && wrong.answer.faults) listFaults(wrong.answer.faults);
    by('written').hidden = false;
  }
}

start();
