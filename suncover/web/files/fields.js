// The form of one window and its shades: each field is a value in the file's text, by its path.

import { make } from './asking.js';

const WINDOW = [
  ['azimuth', 'Faces, degrees from true north'],
  ['width', 'Width of the glass, m'],
  ['height', 'Height of the glass, m'],
  ['sill', 'Sill above the floor, m'],
  ['reveal', 'Glass behind the wall, m'],
  ['floor', 'Floor above the ground, m'],
];
const ROOF = [
  ['depth', 'Depth, m'],
  ['gap', 'Gap above the glass, m'],
  ['left', 'Past the left edge, m'],
  ['right', 'Past the right edge, m'],
];
const SHADE = [
  ['travel', 'Full run, seconds'],
  ['lead', 'Closed before the sun, min'],
  ['lag', 'Closed after the sun, min'],
  ['merge', 'Stays closed over gaps of, min'],
  ['shortest', 'Shortest closing, min'],
  ['moves', 'Most moves a day'],
  ['quiet', 'Quiet hours, from and to'],
];

export const at = (tables, path) => path.reduce((value, part) => (value === null || value === undefined ? undefined : value[part]), tables);

// A number where a number is written, a pair where there are two, else the text for the program to read.
export function valueOf(text, key) {
  const said = text.trim();
  if (said === '') return null;
  if (key === 'quiet') return said.split(/\s*(?:to|–|-|,|\s)\s*/).filter(Boolean);
  return /^[+-]?\d+(\.\d+)?$/.test(said) ? Number(said) : said;
}

const shown = (value) => (value === undefined || value === null ? '' : Array.isArray(value) ? value.join(' to ') : String(value));

const nameOf = (path) => `field-${path.join('-')}`;

function field(path, words, change) {
  const name = nameOf(path);
  const input = make('input', { id: name, type: 'text', spellcheck: 'false', 'aria-describedby': `${name}-fault` });
  input.path = path;
  // A field that is empty for the while between two values takes nothing out of the text; one that
  // is left empty does.
  input.addEventListener('input', () => input.value.trim() && change(path, valueOf(input.value, path.at(-1))));
  input.addEventListener('change', () => input.value.trim() || change(path, null));
  return make('div', {}, make('label', { for: name }, words), input, make('p', { id: `${name}-fault`, class: 'fault', role: 'alert' }));
}

function group(title, base, keys, change) {
  const grid = make('div', { class: 'grid-of' }, ...keys.map(([key, words]) => field([...base, key], words, change)));
  return make('fieldset', {}, make('legend', {}, title), grid);
}

// Makes the form anew where it is another window's or other shades', and fills it.
// `all` has the field that is typed into filled anew as well.
export function showFields(form, tables, window, change, all) {
  const entries = tables.window || [];
  const index = entries.findIndex((entry) => entry.name === window);
  if (index < 0) return;
  const shades = (tables.shade || []).map((shade, number) => [shade, number]).filter(([shade]) => Array.isArray(shade.windows) && shade.windows.includes(window));
  const key = JSON.stringify([index, shades.map(([, number]) => number)]);
  if (form.dataset.key !== key) {
    form.dataset.key = key;
    const facing = 'azimuth' in entries[index] || !['wall', 'compass', 'right_of', 'left_of'].some((other) => other in entries[index]);
    form.replaceChildren(
      group(window, ['window', index], facing ? WINDOW : WINDOW.slice(1), change),
      group('Overhang', ['window', index, 'overhang'], ROOF, change),
      ...shades.map(([shade, number]) => group(`Shade: ${shade.name}`, ['shade', number], SHADE, change)),
    );
  }
  for (const input of form.querySelectorAll('input')) {
    if (all || input !== document.activeElement) input.value = shown(at(tables, input.path));
  }
}

// Each fault beside its field; gives those that have none here.
export function showFaults(form, faults) {
  const inputs = [...form.querySelectorAll('input')];
  const said = new Map();
  const others = [];
  for (const fault of faults) {
    const input = inputs.find((one) => fault.path.length && one.path.every((part, number) => part === fault.path[number]));
    if (input) said.set(input, [...(said.get(input) || []), fault.message]);
    else others.push(fault);
  }
  for (const input of inputs) {
    const words = (said.get(input) || []).join(' ');
    input.setAttribute('aria-invalid', words ? 'true' : 'false');
    const place = document.getElementById(`${input.id}-fault`);
    if (place.textContent !== words) place.textContent = words;
  }
  return others;
}

export function sayFault(form, path, words) {
  const place = document.getElementById(`${nameOf(path)}-fault`);
  if (place) place.textContent = words;
}
