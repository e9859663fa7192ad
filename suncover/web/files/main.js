// The page put together: it opens the file, listens to the sliders and the keys, and draws.

import { after, asked, button, by, clock, make, RESTS_MS, series, told, wordsOf } from './asking.js';
import { interview } from './asks.js';
import { begin } from './begin.js';
import { settle } from './conflict.js';
import { addEntry, refill } from './entries.js';
import { buildNeighbour, drawHouse, plantTree } from './house.js';
import { choose, indexOf, judgeNow, on, put, state, tell, texts, theWindow, today, year } from './store.js';
import { around, buildBay, takeAway } from './take.js';
import { trialOf } from './trial.js';
import { drawWall, shownWall, wallsOf, windowInMiddle } from './wall.js';
import { drawCarpet, drawStrip, stripWords, unpacked } from './year.js';

const dateOf = (day) => new Date(Date.UTC(year, 0, 1 + day));
const iso = (day) => dateOf(day).toISOString().slice(0, 10);
const day = () => Number(by('day').value);
const slot = () => Number(by('time').value);
const trial = trialOf({ day, iso, ofDay, drawSun });

function say(words) {
  by('state').textContent = words;
}

const problem = (wrong) => say(told(wrong));
on('problem', problem);

on('text', () => {
  const text = texts.now;
  by('undo').disabled = !texts.canUndo;
  by('redo').disabled = !texts.canRedo;
  by('save').disabled = text === state.saved;
  if (!state.typing && by('text').value !== text) by('text').value = text;
});

on('site', () => {
  const { faults, site, sketch } = state.judged;
  const changed = texts.now !== state.saved;
  if (faults.length) say(`${faults.length} to mend before it can be saved`);
  else say(changed ? 'changed, not saved yet' : state.kept);
  if (state.site) by('title').textContent = state.site.name;
  by('work').hidden = !state.site;
  by('written').hidden = false;
  by('stale').hidden = Boolean(site) || Boolean(sketch);
  for (const part of document.querySelectorAll('[data-needs=window]')) part.hidden = !theWindow();
  by('no-window').hidden = Boolean(theWindow()) || !state.site;
  listFaults(faults);
  if (!state.site) return;
  listWindows();
  listWalls();
  drawNow();
  sunNow();
});

on('window', () => {
  listWindows();
  drawNow();
  sunNow();
});
on('chosen', () => {
  listWalls();
  listWindows();
  drawNow();
  momentNow();
});

const words = (fault) => [fault.file === state.file ? '' : fault.file, fault.line ? `line ${fault.line}` : '', wordsOf(fault)].filter(Boolean).join(': ');

function listFaults(faults) {
  by('faults').replaceChildren(
    ...faults.map((fault) => make('li', {}, button(words(fault), () => toLine(fault.line || 1)), ...meant(fault))),
  );
}

// A button for the word that the program thinks was meant, where the text has the other.
function meant({ file, line, column, message }) {
  const [, , wrong, , word] = /([`"])(.+?)\1.*did you mean ([`"])(.+?)\3\?/.exec(message) || [];
  const lines = texts.now.split('\n');
  const old = lines[line - 1];
  const at = word && file === state.file && old ? old.indexOf(wrong, column - 1) : -1;
  if (at < 0) return [];
  lines[line - 1] = old.slice(0, at) + word + old.slice(at + wrong.length);
  return [button(`Put ${word}`, () => put(lines.join('\n'), `meant ${line}`))];
}

function toLine(line) {
  const field = by('text');
  const lines = field.value.split('\n');
  const start = lines.slice(0, line - 1).join('\n').length + (line > 1 ? 1 : 0);
  by('text-box').open = true;
  field.focus();
  field.setSelectionRange(start, start + (lines[line - 1] || '').length);
  field.scrollTop = (line - 4) * parseFloat(getComputedStyle(field).lineHeight);
}

function listWindows() {
  const old = by('windows');
  const names = JSON.stringify(state.site.windows.map((window) => window.name));
  if (old.dataset.names !== names) {
    old.dataset.names = names;
    old.querySelector('div').replaceChildren(
      ...state.site.windows.map((window, index) => {
        const choice = make('input', { type: 'radio', name: 'window', value: window.name });
        choice.addEventListener('change', () => choose('window', indexOf('window', window.name)));
        return make('label', {}, choice, make('span', {}, `${index + 1} ${window.name}`), make('span', { 'data-power': window.name }));
      }),
    );
  }
  for (const choice of old.querySelectorAll('input')) choice.checked = choice.value === state.window;
}

function listWalls() {
  if (!state.site) return;
  const walls = wallsOf(state.site);
  const shown = shownWall(state.site);
  by('wall-of').replaceChildren(...walls.map((wall) => make('option', { value: wall.name }, wall.name)));
  by('wall-of').value = shown ? shown.name : '';
  for (const part of document.querySelectorAll('[data-needs=wall]')) part.hidden = !state.site.walls.length;
}

// The pictures of the sound text, and what is lit at the time that is chosen.
const pictures = series({
  quick: [
    {
      ask: (one) => ['day', { ...one.asking, day: one.day }],
      draw: (found, one) => {
        state.oneDay = { ...found, day: one.day, of: one.of };
        drawSun();
      },
    },
    yearOf(true),
  ],
  late: [
    { rest: RESTS_MS, ...yearOf(false) },
    {
      ask: ({ asking }) => ['house', { ...asking, year }],
      draw: (house) => {
        state.house = house;
        trial.figures();
      },
    },
    {
      ask: ({ asking }) => ['closed', { ...asking, year }],
      draw: (plan) => {
        state.plan = plan;
        drawSun();
        trial.figures();
      },
    },
  ],
}, problem);

function yearOf(rough) {
  return {
    ask: ({ asking }) => ['sun', { ...asking, year, rough }],
    draw: (sun, { of }) => {
      Object.assign(state, { sun: unpacked(sun, of), oneDay: null });
      if (rough) state.house = state.plan = null;
      drawSun();
      trial.figures();
    },
  };
}

const moments = series({
  quick: [
    {
      ask: (one) => ['moment', one],
      draw: (moment, { wall }) => {
        state.moment = { ...moment, ofWall: wall };
        drawNow();
      },
    },
  ],
}, problem);

function momentNow() {
  if (!state.sound || !theWindow()) return;
  moments.take({ text: state.sound, day: iso(day()), cell: slot(), wall: state.wall });
}

let about = {}; // what the pictures are of, or will be

function sunNow() {
  const { sound: text, window, version } = state;
  if (!text || !theWindow() || (about.window === window && about.version === version)) return;
  if (about.window !== window) {
    pictures.drop();
    Object.assign(state, { sun: null, oneDay: null, plan: null });
    trial.figures();
  }
  about = { window, version };
  pictures.take({ asking: { text, window }, day: iso(day()), of: `text ${version}` });
  momentNow();
}

function drawNow() {
  if (!state.site) return;
  by('day-says').textContent = dateOf(day()).toLocaleDateString(undefined, { day: 'numeric', month: 'long', timeZone: 'UTC' });
  by('time-says').textContent = clock(slot() * 600);
  const now = state.moment;
  if (now) {
    by('sun-says').textContent = now.elevation > 0
      ? `The sun stands ${Math.round(now.elevation)}° high, ${Math.round(now.azimuth)}° from north.`
      : 'The sun is down.';
    for (const place of by('windows').querySelectorAll('[data-power]')) {
      const here = now.windows[place.dataset.power];
      place.textContent = here && here.power ? `${here.power} W/m², ${Math.round(here.share * 100)} % lit` : 'no sun';
    }
  }
  drawHouse(by('house'));
  drawWall(by('wall'));
}

function drawSun() {
  if (!theWindow()) return;
  const here = ofDay(state.oneDay, state.sun);
  if (here) {
    const tried = ofDay(trial.day, trial.sun);
    const plan = here === state.sun ? state.plan : null;
    drawStrip(by('strip'), here, plan, tried, tried === trial.sun ? trial.plan : null, day(), slot());
    by('strip-says').textContent = stripWords(here, plan, day());
  }
  if (!state.sun) return;
  by('carpet-says').textContent = trial.sun ? 'The year as tried' : 'The year';
  drawCarpet(by('carpet'), trial.sun || state.sun, trial.sun ? trial.plan : state.plan, day(), slot(), (number, cell) => {
    by('day').value = number;
    by('time').value = cell;
    moved();
  });
}

// What is newest of the chosen day: that day by itself, or as one of a year.
function ofDay(one, sun) {
  return one && one.day === iso(day()) ? one : sun;
}

function moved() {
  drawNow();
  drawSun();
  trial.figures();
  momentNow();
}

function typed() {
  state.typing = false;
  put(by('text').value, 'text');
}
const typedSoon = after(200, typed);

async function save() {
  if (state.typing) typed();
  try {
    const text = texts.now;
    const answer = await asked('save', { text, digest: state.digest });
    state.saved = text;
    state.digest = answer.digest;
    state.kept = 'saved';
    tell('text');
    judgeNow();
  } catch (wrong) {
    say(wrong.message);
    if (wrong.status !== 409) return;
    settle(wrong.answer, texts.now, (text) => {
      state.saved = wrong.answer.text;
      state.digest = wrong.answer.digest;
      put(text, 'settled');
      judgeNow();
    });
  }
}

function step(number) {
  if (state.typing) typed();
  texts.step(number);
  refill();
  tell('text');
  judgeNow();
}

function keys(event) {
  if (!(event.ctrlKey || event.metaKey)) return;
  const key = event.key.toLowerCase();
  if (key === 's') {
    event.preventDefault();
    if (!by('save').disabled) save();
  } else if ((key === 'z' || key === 'y') && !by('written').hidden) {
    event.preventDefault();
    step(key === 'y' || event.shiftKey ? 1 : -1);
  }
}

function wire() {
  by('undo').addEventListener('click', () => step(-1));
  by('redo').addEventListener('click', () => step(1));
  by('save').addEventListener('click', save);
  by('text').addEventListener('input', () => {
    state.typing = true;
    typedSoon();
  });
  addEventListener('resize', after(150, drawSun));
  by('fields').addEventListener('submit', (event) => event.preventDefault());
  for (const slider of ['day', 'time']) by(slider).addEventListener('input', moved);
  by('wall-of').addEventListener('change', () => {
    const index = indexOf('wall', by('wall-of').value);
    if (index >= 0) choose('wall', index);
    else choose('window', indexOf('window', wallsOf(state.site).find((wall) => wall.name === by('wall-of').value).windows[0].name));
  });
  by('add-middle').addEventListener('click', windowInMiddle);
  by('plant').addEventListener('click', plantTree);
  by('neighbour').addEventListener('click', buildNeighbour);
  by('shade').addEventListener('click', () => addEntry('shade'));
  by('bay-form').addEventListener('submit', buildBay);
  by('map').addEventListener('change', async () => by('map').files[0] && around(await by('map').files[0].text()));
  by('feet').addEventListener('change', () => {
    state.feet = by('feet').checked;
    drawNow();
    trial.redraw();
  });
  document.addEventListener('keydown', keys);
  window.addEventListener('beforeunload', (event) => {
    if (texts.now !== state.saved) event.preventDefault();
  });
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', drawSun);
  by('plan').addEventListener('submit', (event) => {
    event.preventDefault();
    takeAway(event.submitter.value);
  });
}

function fresh() {
  say('a new file: nothing is written before you save');
  const done = (text) => put(text, 'begin');
  begin((text, map) => {
    done(text);
    by('around-says').textContent = map ? 'Windows first; then the same map gives the neighbours.' : '';
  });
  by('to-ask').addEventListener('click', () => {
    by('begin').hidden = true;
    interview(done);
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
    state.feet = by('feet').checked = read.units === 'feet';
    asked('forms').then(({ forms }) => {
      state.forms = forms;
      if (state.judged) tell('forms');
    }, problem);
    tell('text');
    if (read.digest) judgeNow();
    else fresh();
  } catch (wrong) {
    problem(wrong);
    if (wrong.answer && wrong.answer.faults) listFaults(wrong.answer.faults);
    by('written').hidden = false;
  }
}

start();
