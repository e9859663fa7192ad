// All that the file holds, kind by kind, and the form of what is chosen of it.

import { button, by, make, wordsOf } from './asking.js';
import { dropButton, fill, formOf, group, nameOf, showFaults } from './fields.js';
import { add, at, choose, edit, entries, freeName, named, on, state, tables } from './store.js';
import { likeWindow } from './panes.js';
import { windowInMiddle } from './wall.js';

const ONE = {
  wall: 'wall', window: 'window', canopy: 'roof', shade: 'shade', supply: 'supply', group: 'group', obstacle: 'neighbour',
  tree: 'tree', spot: 'spot', exception: 'exception', glazing: 'glass', option: 'try', sensor: 'sensor',
};
let stepped = false;
export const refill = () => {
  stepped = true;
};

// What a new entry begins with; what else it needs is asked for in its form.
function first(kind) {
  const names = (of) => entries(of).map((entry) => entry.name);
  const name = freeName(kind, ONE[kind]);
  const covered = new Set(entries('shade').flatMap((shade) => shade.windows || []));
  const values = {
    wall: { after: names('wall').at(-1), length: 5 },
    window: { width: 1.2, height: 1.2, sill: 0.9 },
    shade: { windows: names('window').filter((window) => window === state.window && !covered.has(window)) },
    supply: { shades: names('shade') },
    canopy: { windows: state.window ? [state.window] : [], height: 2.5, depth: 1 },
    group: { shades: names('shade') },
    spot: { window: state.window || '', distance: 1, height: 0.75 },
    exception: { dates: [document.body.dataset.today, document.body.dataset.today], do: 'up' },
    glazing: { kind: 'double clear' },
    option: { windows: state.window ? [state.window] : [] },
  }[kind];
  if (kind === 'shade' && !values.windows.length) values.windows = [names('window').find((window) => !covered.has(window)) || state.window].filter(Boolean);
  if (kind === 'shade' && values.windows.length) return { ...values, name: freeName('shade', `${values.windows[0]} shade`) };
  return { name, ...values };
}

export function addEntry(kind) {
  if (kind === 'window' && state.site && state.site.walls.length) return windowInMiddle();
  const { name, ...values } = first(kind);
  return add(kind, Object.fromEntries([['name', name], ...Object.entries(values).filter(([, value]) => value !== undefined)]));
}

function list() {
  const holder = by('entries');
  const open = new Set([...holder.querySelectorAll('details[open]')].map((one) => one.dataset.kind));
  const focused = document.activeElement?.closest?.('#entries') && document.activeElement.dataset.entry;
  holder.replaceChildren(
    ...state.forms.map((form) => {
      const held = form.one ? (tables()[form.kind] ? 1 : 0) : entries(form.kind).length;
      const box = make('details', { 'data-kind': form.kind, open: open.has(form.kind) ? '' : null }, make('summary', {}, form.title, make('span', { class: 'quiet' }, form.one ? '' : ` ${held}`)));
      const row = make('p', { class: 'row' });
      if (form.one) row.append(entryButton(form.kind, null, held ? 'Open' : 'Open, to fill in'));
      else {
        entries(form.kind).forEach((entry, index) => row.append(entryButton(form.kind, index, String(entry.name ?? index + 1))));
        const id = `add-${form.kind}`;
        row.append(button(`Add a ${ONE[form.kind]}`, () => addEntry(form.kind), { class: 'more', id, 'data-entry': id }));
      }
      box.append(row);
      return box;
    }),
  );
  if (focused) holder.querySelector(`[data-entry="${CSS.escape(focused)}"]`)?.focus();
}

function entryButton(kind, index, words) {
  const chosen = state.chosen.kind === kind && state.chosen.index === index;
  return button(words, () => choose(kind, index, { focus: true }), { 'aria-pressed': String(chosen), 'data-entry': `${kind}-${index}` });
}

// Makes the form anew where it is about something else or something is there or gone, and fills it.
function form() {
  const { kind, index } = state.chosen;
  const about = formOf(kind);
  const holder = by('fields');
  if (!about || !state.judged || !Object.keys(tables()).length) return;
  const base = index === null ? [kind] : [kind, index];
  const entry = at(tables(), base);
  if (index !== null && !entry) {
    holder.replaceChildren(make('p', { class: 'quiet' }, 'Nothing is chosen yet. Drag along a wall to make a window.'));
    holder.dataset.key = '';
    return;
  }
  const shades = kind === 'window' ? entries('shade').map((shade, number) => [shade, number]).filter(([shade]) => Array.isArray(shade.windows) && shade.windows.includes(entry.name)) : [];
  const inner = about.fields.filter((field) => ['table', 'tables'].includes(field.type)).map((field) => {
    const held = entry && entry[field.key];
    return Array.isArray(held) ? held.length : held !== undefined;
  });
  const key = JSON.stringify([base, typeof entry?.wall, shades.map(([, number]) => number), inner]);
  if (holder.dataset.key !== key) {
    holder.dataset.key = key;
    const focused = holder.contains(document.activeElement) && document.activeElement.id;
    const title = index === null ? about.title : `${ONE[kind][0].toUpperCase()}${ONE[kind].slice(1)} ${index + 1}`;
    const rows = [group(title, base, about.fields)];
    for (const [shade, number] of shades) rows.push(group(`Its shade: ${shade.name}`, ['shade', number], formOf('shade').fields));
    if (kind === 'window' && !shades.length) rows.push(shadeButton());
    if (kind === 'window' && typeof entry.wall === 'string') rows.push(likeButton(index));
    if (index !== null) rows.push(dropButton(base, `Take this ${ONE[kind]} away`));
    holder.replaceChildren(...rows);
    if (focused) document.getElementById(focused)?.focus();
  }
  fill(holder, stepped);
  stepped = false;
}

function likeButton(index) {
  const like = () => {
    const window = named('windows', entries('window')[index].name);
    if (window && named('walls', window.facade)) likeWindow(window);
  };
  return make('p', { class: 'row' }, button('One more like it', like, { id: 'one-more' }));
}

function shadeButton() {
  const give = () => {
    const values = first('shade');
    edit([{ add: ['shade'], values }], `add shade ${values.name}`);
  };
  return make('p', { class: 'row' }, button('Give it a shade with rules of its own', give, { id: 'own-shade' }));
}

function faults() {
  const others = showFaults(by('fields'), state.judged.faults);
  by('others').replaceChildren(...others.map((fault) => make('p', { class: 'fault' }, wordsOf(fault))));
}

function refresh() {
  if (!state.forms.length) return;
  list();
  form();
  faults();
}

on('site', refresh);
on('forms', refresh);
on('chosen', (focus) => {
  refresh();
  if (!focus) return;
  const { kind, index } = state.chosen;
  const name = document.getElementById(nameOf([kind, index, 'name'])) || by('fields').querySelector('input, select');
  name?.focus({ preventScroll: true });
  name?.scrollIntoView({ block: 'nearest' }); // no farther than needed: the wall stays in sight
  name?.select?.();
});
