// Fields of a form: each is a value in the file's text, by its path. What a field may hold comes from
// the program, and so do the words for what is wrong with it.

import { button, make } from './asking.js';
import { at, edit, entries, state, tables } from './store.js';

const number = (text) => (/^[+-]?\d+(\.\d+)?$/.test(text) ? Number(text) : text);
const parts = (text) => text.split(/\s*(?:,|;|–|\bto\b)\s*/).filter(Boolean).map(number);

// The value that a text means: a number where a number is written, else the text for the program to
// read; null for none.
export function valueOf(text, field) {
  const said = text.trim();
  if (said === '') return null;
  if (field.type === 'text') return said;
  if (field.type === 'points') return said.split(/\s*;\s*/).filter(Boolean).map((point) => parts(point.replace(/[[\]]/g, '')));
  if (field.type === 'list') {
    const found = parts(said.replace(/[[\]]/g, ''));
    return field.single && found.length === 1 ? found[0] : found;
  }
  if (field.type === 'yes') return said === 'yes';
  return number(said);
}

export function shownValue(value, field) {
  if (value === undefined || value === null) return '';
  if (field.type === 'points' && Array.isArray(value)) return value.map((point) => (Array.isArray(point) ? point.join(', ') : point)).join('; ');
  if (field.type === 'yes') return value === true ? 'yes' : value === false ? 'no' : String(value);
  if (Array.isArray(value)) return value.map((one) => (typeof one === 'object' ? JSON.stringify(one) : one)).join(', ');
  return typeof value === 'object' ? JSON.stringify(value) : String(value);
}

export const nameOf = (path) => `field-${path.join('-')}`;
const spaced = (key) => key.replaceAll('_', ' ');

const failed = (path) => (words) => {
  const place = document.getElementById(`${nameOf(path)}-fault`);
  if (place) place.textContent = words;
};
const change = (path, value) => {
  if (value === null && at(tables(), path) === undefined) failed(path)('');
  else edit([{ path, value }], path.join('.'), { failed: failed(path) });
};

const choicesOf = (field) => [
  ...(field.of || []).flatMap((kind) => entries(kind).map((entry) => entry.name)),
  ...(field.choices || []),
];

function fault(path) {
  return make('p', { id: `${nameOf(path)}-fault`, class: 'fault', role: 'alert' });
}

function label(path, field) {
  const about = field.about.replaceAll('`', '');
  const left = field.default === undefined || field.default === null ? '' : ` ${shownValue(field.default, field)} if left out.`;
  return make('label', { for: nameOf(path) }, make('b', {}, spaced(field.key)), make('span', { class: 'quiet' }, ` ${about}${/left out/.test(about) ? '' : left}`));
}

function textField(path, field) {
  const name = nameOf(path);
  const input = make('input', { id: name, type: 'text', spellcheck: 'false', 'aria-describedby': `${name}-fault`, required: field.needed });
  input.path = path;
  input.fill = () => {
    input.value = shownValue(at(tables(), path), field);
  };
  // A field that is empty for the while between two values takes nothing out of the text; one that
  // is left empty does.
  input.addEventListener('input', () => input.value.trim() && change(path, valueOf(input.value, field)));
  input.addEventListener('change', () => input.value.trim() || change(path, null));
  return make('div', {}, label(path, field), input, fault(path));
}

function choiceField(path, field) {
  const name = nameOf(path);
  const select = make('select', { id: name, 'aria-describedby': `${name}-fault` });
  select.path = path;
  select.fill = () => {
    const now = shownValue(at(tables(), path), field);
    const known = field.type === 'yes' ? ['yes', 'no'] : choicesOf(field);
    const all = [...new Set([...known, ...(now && !known.includes(now) ? [now] : [])])];
    select.replaceChildren(make('option', { value: '' }, field.needed ? 'choose' : 'left out'), ...all.map((one) => make('option', { value: one }, one)));
    select.value = now;
  };
  select.addEventListener('change', () => change(path, field.type === 'yes' ? valueOf(select.value, field) : select.value || null));
  return make('div', {}, label(path, field), select, fault(path));
}

// Several out of a list, each to be ticked.
function ticksField(path, field) {
  const name = nameOf(path);
  const about = make('legend', {}, make('b', {}, spaced(field.key)), make('span', { class: 'quiet' }, ` ${field.about.replaceAll('`', '')}`));
  const box = make('fieldset', { id: name, class: 'ticks', tabindex: '-1' }, about, make('div', { class: 'ticks-of' }), fault(path));
  box.path = path;
  box.fill = () => {
    const held = at(tables(), path);
    const now = Array.isArray(held) ? held : [];
    const all = [...new Set([...choicesOf(field), ...now])];
    const key = JSON.stringify(all);
    if (box.dataset.key !== key) {
      box.dataset.key = key;
      box.querySelector('.ticks-of').replaceChildren(
        ...all.map((one) => {
          const tick = make('input', { type: 'checkbox', value: one });
          tick.addEventListener('change', () => {
            const ticked = [...box.querySelectorAll('input:checked')].map((other) => other.value);
            change(path, ticked.length || field.needed ? ticked : null);
          });
          return make('label', {}, tick, make('span', {}, one));
        }),
      );
    }
    for (const tick of box.querySelectorAll('input')) tick.checked = now.includes(tick.value);
  };
  return box;
}

// A table in a table: folded away while it is empty.
function tableField(path, field) {
  const there = at(tables(), path) !== undefined;
  const box = make('details', { class: 'inner', open: there ? '' : null }, make('summary', {}, make('b', {}, spaced(field.key)), ` ${field.about}`), grid(path, field.fields));
  if (there) box.append(dropButton(path, `Take the ${spaced(field.key)} away`));
  return box;
}

export function dropButton(path, words) {
  const drop = () => edit([{ drop: path }], `drop ${path.join('.')}`, { failed: failed(path) });
  return make('p', { class: 'row' }, button(words, drop));
}

function tablesField(path, field) {
  const held = at(tables(), path);
  const there = Array.isArray(held) ? held : [];
  const box = make('details', { class: 'inner', open: there.length ? '' : null }, make('summary', {}, make('b', {}, spaced(field.key)), ` ${field.about}`));
  there.forEach((_, number) => {
    const own = [...path, number];
    box.append(make('fieldset', {}, make('legend', {}, `${spaced(field.key)} ${number + 1}`), grid(own, field.fields), dropButton(own, `Take ${spaced(field.key)} ${number + 1} away`)));
  });
  const more = () => edit([{ add: path, values: FIRST[field.key] || {} }], `add ${path.join('.')} ${there.length}`, { failed: failed(path) });
  box.append(make('p', { class: 'row' }, button(`Add a ${spaced(field.key)}`, more, { id: `more-${path.join('-')}` })), fault(path));
  return box;
}

const FIRST = { fin: { side: 'left', depth: 0.4 } };

function fieldOf(path, field) {
  if (field.type === 'table') return tableField(path, field);
  if (field.type === 'tables') return tablesField(path, field);
  if (['choice', 'name', 'yes'].includes(field.type)) return choiceField(path, field);
  if (['names', 'choices'].includes(field.type)) return ticksField(path, field);
  return textField(path, field);
}

function grid(base, fields) {
  return make('div', { class: 'grid-of' }, ...fields.map((field) => fieldOf([...base, field.key], field)));
}

// The form of an entry, or of a table that is there once: what is asked first, the rest folded away.
export function group(title, base, fields) {
  const has = (field) => at(tables(), [...base, field.key]) !== undefined;
  const plain = (field) => !['table', 'tables'].includes(field.type);
  const first = fields.filter((field) => plain(field) && (field.usual || has(field)));
  const inner = fields.filter((field) => !plain(field));
  const rest = fields.filter((field) => plain(field) && !first.includes(field));
  const box = make('fieldset', { class: 'entry' }, make('legend', {}, title), grid(base, first));
  for (const field of inner) box.append(fieldOf([...base, field.key], field));
  if (rest.length) box.append(make('details', { class: 'inner' }, make('summary', {}, make('b', {}, 'More'), ` ${rest.map((field) => spaced(field.key)).join(', ')}`), grid(base, rest)));
  return box;
}

// `all` has the field that is typed into filled anew as well.
export function fill(form, all) {
  for (const input of form.querySelectorAll('[id^=field-]')) {
    if (input.fill && (all || input !== document.activeElement)) input.fill();
  }
}

// Each fault beside its field; gives those that have none here.
export function showFaults(form, faults) {
  const inputs = [...form.querySelectorAll('[id^=field-]')].filter((one) => one.path);
  const said = new Map();
  const others = [];
  for (const one of faults) {
    const own = inputs.filter((input) => one.path.length && input.path.every((part, index) => part === one.path[index]));
    const input = own.sort((a, b) => b.path.length - a.path.length)[0];
    if (input) said.set(input, [...(said.get(input) || []), one.message]);
    else others.push(one);
  }
  for (const input of inputs) {
    const words = (said.get(input) || []).join(' ');
    input.setAttribute(input.tagName === 'FIELDSET' ? 'data-invalid' : 'aria-invalid', words ? 'true' : 'false');
    const place = document.getElementById(`${input.id}-fault`);
    if (place.textContent !== words) place.textContent = words;
  }
  return others;
}

export const formOf = (kind) => state.forms.find((form) => form.kind === kind);
