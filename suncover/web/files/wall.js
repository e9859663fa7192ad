// A wall as one who stands before it sees it, to scale: its windows, what is lit of each, roofs and
// fins over them. Windows are drawn, moved and sized here by dragging.

import { make } from './asking.js';
import { clamped, knob, partKey, partName, press, redraw, right } from './geometry.js';
import { choose, inTurn, indexOf, named, said, snapped, state, step } from './store.js';
import { inkOf } from './year.js';
import { alongOf, measured, moveWindow, newWindow, sizeWindow } from './panes.js';

const EDGE = 34;
const HIGH = 420;
let wide = 560; // as wide as its place on the page, so that letters keep their size
let held = null;
let ghost = null;

const rise = (window) => window.height * Math.sin((window.tilt * Math.PI) / 180);

// The walls to choose from: those of the file; where it has none, the ways that windows face.
export function wallsOf(site) {
  if (site.walls.length) return site.walls.map((wall) => ({ ...wall, windows: site.windows.filter((one) => one.facade === wall.name) }));
  const ways = new Map();
  for (const window of site.windows) {
    const key = window.position ? window.facade || String(window.azimuth) : window.name;
    ways.set(key, [...(ways.get(key) || []), window]);
  }
  return [...ways.values()].map((windows) => ({ name: windows.map((one) => one.name).join(', '), azimuth: windows[0].azimuth, windows }));
}

export function shownWall(site) {
  const walls = wallsOf(site);
  const own = walls.find((one) => one.windows.some((window) => window.name === state.window));
  return (site.walls.length ? walls.find((one) => one.name === state.wall) : own) || own || walls[0];
}

// Where each window's left edge is, and how far the picture goes.
function layout(wall) {
  if (wall.length) {
    const panes = wall.windows.map((window) => ({ window, left: alongOf(window) }));
    return { panes, from: 0, to: wall.length };
  }
  const side = right(wall.azimuth);
  const panes = wall.windows.map((window) => {
    const middle = window.position ? window.position[0] * side[0] + window.position[1] * side[1] : 0;
    return { window, left: middle - window.width / 2 };
  });
  return { panes, from: Math.min(...panes.map((one) => one.left)) - 1, to: Math.max(...panes.map((one) => one.left + one.window.width)) + 1 };
}

export function drawWall(holder) {
  const wall = shownWall(state.site);
  if (!wall) return;
  const { panes, from, to } = layout(wall);
  const tops = panes.map(({ window }) => window.floor + window.sill + rise(window) + (window.overhang ? window.overhang.gap : 0) + 0.4);
  const view = held || { from, to, top: Math.max(2.7, ...tops) };
  wide = clamped(holder.clientWidth, 240, 640);
  const scale = Math.min((wide - 2 * EDGE) / (view.to - view.from), HIGH / view.top, 120);
  const foot = 20 + view.top * scale;
  const x = (metres) => EDGE + (metres - view.from) * scale;
  const y = (metres) => foot - metres * scale;
  const on = { scale, x, y, wall, view, back: ([px, py]) => [(px - EDGE) / scale + view.from, (foot - py) / scale] };
  const parts = [
    ...drawLight(on),
    make('g', { 'data-part': wall.length ? partName('wall', wall.name) : null, class: wall.length ? 'draw' : null },
      make('rect', { x: x(view.from), y: y(view.top), width: (view.to - view.from) * scale, height: view.top * scale, class: 'face' }),
      make('rect', { x: x(view.from), y: foot, width: (view.to - view.from) * scale, height: 14, fill: 'transparent' }),
      make('title', {}, wall.length ? `${wall.name}: drag over it to make a window` : wall.name)),
    make('line', { x1: 4, x2: wide - 4, y1: foot, y2: foot, class: 'floor', 'pointer-events': 'none' }),
  ];
  for (const pane of panes) parts.push(...drawPane(pane, on));
  if (ghost) {
    const [left, low, across, high] = ghost;
    parts.push(make('rect', { x: x(left), y: y(low + high), width: across * scale, height: high * scale, class: 'pane is-chosen' }));
    parts.push(make('text', { x: x(left + across / 2), y: y(low + high) - 6, class: 't m small halo b' }, `${said(across)} × ${said(high)}`));
  }
  parts.push(make('text', { x: x(view.from), y: foot + 18, class: 't small' }, 'left end'), make('text', { x: x(view.to), y: foot + 18, class: 't small e' }, wall.length ? said(wall.length) : ''));
  redraw(holder, { viewBox: `0 0 ${wide} ${Math.ceil(foot + 26)}`, 'aria-label': `${wall.name} from outside; ${panes.length} windows` }, parts);
  holder.onpointerdown = (event) => press(holder, event, on.back, (part) => pressed(holder, on, part));
  holder.onkeydown = key;
}

// What of the wall is in the shadow of neighbours and trees, or turned away from the sun.
function drawLight({ wall, view, x, y, scale }) {
  const shown = state.moment && state.moment.elevation > 0 && state.moment.ofWall === wall.name && state.moment.wall;
  if (!shown) return [];
  const high = Math.min(shown.height, view.top);
  const parts = [make('rect', { x: x(0), y: y(high), width: wall.length * scale, height: high * scale, class: 'cast' })];
  for (const ring of shown.lit) {
    parts.push(make('polygon', { points: ring.map(([along, up]) => `${x(along).toFixed(1)},${y(Math.min(up, high)).toFixed(1)}`).join(' '), class: 'open' }));
  }
  return parts;
}

function drawPane({ window, left }, { scale, x, y }) {
  const low = window.floor + window.sill;
  const [wide, high] = [window.width * scale, rise(window) * scale];
  const [px, py] = [x(left), y(low) - high];
  const chosen = window.name === state.window;
  const here = state.moment && state.moment.windows[window.name];
  const share = here ? Math.round(here.share * 100) : 0;
  const number = state.site.windows.indexOf(window) + 1;
  const brief = share ? `${number}: ${share} % lit` : String(number);
  const words = `${brief}. ${window.name}: ${said(window.width)} wide, ${said(window.height)} high, sill ${said(window.sill)}`;
  const label = `${words}. Enter chooses it, arrow keys move it, with Shift they size it`;
  const group = make('g', { class: 'pick', 'data-part': partName('window', window.name), tabindex: '0', role: 'button', 'aria-label': label },
    make('title', {}, words),
    make('rect', { x: px, y: py, width: wide, height: high, class: chosen ? 'pane is-chosen' : 'pane' }));
  const tall = rise(window) / window.height;
  for (const ring of here ? here.lit : []) {
    const points = ring.map(([right_, up]) => `${(px + right_ * scale).toFixed(1)},${(py + high - up * tall * scale).toFixed(1)}`).join(' ');
    group.append(make('polygon', { points, class: inkOf(here.power), 'pointer-events': 'none' }));
  }
  if (window.overhang) {
    const { gap, left: past, right: beyond } = window.overhang;
    const [a, b] = [past ?? 0.6, beyond ?? 0.6];
    group.append(make('rect', { x: px - a * scale, y: py - gap * scale - 5, width: wide + (a + b) * scale, height: 5, class: 'plate' }));
  }
  for (const fin of window.fins) {
    const at = fin.side === 'left' ? px - fin.gap * scale - 4 : px + wide + fin.gap * scale;
    group.append(make('rect', { x: at, y: py - (fin.above ?? 0.4) * scale, width: 4, height: high + ((fin.above ?? 0.4) + (fin.below ?? 0.4)) * scale, class: 'plate' }));
  }
  const fits = brief.length * 6.5 < wide; // px, about
  group.append(make('text', { x: px + wide / 2, y: py + high / 2 + 4, class: chosen ? 't m small halo b' : 't m small halo' }, fits ? brief : String(number)));
  if (chosen) {
    const corners = [['top right', px + wide, py], ['bottom left', px, py + high]];
    for (const [part, cx, cy] of measured(window) ? corners : []) group.append(knob(cx, cy, partName(part, window.name)));
    if (alongOf(window) !== null) return [...tape(left, low, px, py, wide, high, { x, y }), group];
  }
  return [group];
}

// The tape's numbers: from the wall's left end to the glass, and from the ground up to it.
function tape(left, low, px, py, wide, high, { x, y }) {
  const middle = py + high / 2;
  return [
    make('line', { x1: x(0), x2: px, y1: middle, y2: middle, class: 'dash' }),
    make('text', { x: (x(0) + px) / 2, y: middle - 5, class: 't m small halo' }, left > 0.3 ? said(left) : ''),
    make('line', { x1: px + wide / 2, x2: px + wide / 2, y1: py + high, y2: y(0), class: 'dash' }),
    make('text', { x: px + wide / 2 + 4, y: y(0) - 5, class: 't small halo' }, low > 0.3 ? said(low) : ''),
  ];
}

function pressed(holder, on, { kind, name, from, cause }) {
  held = on.view;
  const window = named('windows', name);
  if (kind !== 'wall') choose('window', indexOf('window', name));
  const inside = (point) => [clamped(snapped(point[0]), 0, on.wall.length), Math.max(snapped(point[1]), 0)];
  const drags = {
    wall: (point) => {
      const [a, b] = [inside(from), inside(point)];
      ghost = [Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.abs(a[0] - b[0]), Math.abs(a[1] - b[1])];
      drawWall(holder);
    },
    window: (point) => moveWindow(window, point[0] - from[0], point[1] - from[1], cause),
  };
  const size = (point) => sizeWindow(window, kind, point[0] - from[0], (point[1] - from[1]) / Math.max(rise(window) / window.height, 0.2), cause);
  return {
    move: drags[kind] || size,
    end: () => {
      const drawn = ghost;
      held = ghost = null;
      if (drawn && drawn[2] >= 0.1) newWindow(name, drawn[0], drawn[2], ...(drawn[3] >= 0.1 ? [drawn[1], drawn[3]] : []));
      drawWall(holder);
    },
  };
}

function key(event) {
  partKey(event, (_, name) => named('windows', name) && choose('window', indexOf('window', name), { focus: true }), (_, name, way, size) => {
    if (!named('windows', name)) return false;
    const [aside, up] = way.map((one) => one * step());
    const cause = `keys ${name} ${size}`;
    inTurn(() => (size ? sizeWindow(named('windows', name), aside ? 'right' : 'top', aside, up, cause) : moveWindow(named('windows', name), aside, up, cause)));
    return true;
  });
}

export function windowInMiddle() {
  const wall = shownWall(state.site);
  if (!wall || !wall.length) return false;
  const taken = wall.windows.map((window) => [alongOf(window), alongOf(window) + window.width]);
  const width = Math.min(1.2, wall.length / 2);
  for (let left = 0.5; left + width <= wall.length; left += 0.5) {
    if (taken.every(([a, b]) => left + width < a || left > b)) return newWindow(wall.name, left, width);
  }
  return newWindow(wall.name, Math.max((wall.length - width) / 2, 0), width);
}
