// The house from above: to scale, north up, metres east and north of the site's origin. Windows,
// trees and neighbours are dragged here; a drag along a wall makes a window.

import { make } from './asking.js';
import { along, clamped, endOf, knob, out, partKey, partName, plus, press, redraw, right } from './geometry.js';
import { add, choose, edit, entries, freeName, inTurn, indexOf, named, said, snapped, state, step, toFile } from './store.js';
import { inkOf } from './year.js';
import { measured, moveWindow, newWindow, sizeWindow } from './panes.js';

let size = 440; // of the picture: as wide as its place on the page, so that letters keep their size
const FAR = 4; // times the house's own size up to which neighbours make the picture larger
let held = null; // the view while something is dragged, so that the ground does not move
let ghost = null; // a window that is being drawn along a wall: its wall, and from where to where

// Where every window is; those whose place nobody knows stand in a ring, by direction alone.
function placed(site) {
  return site.windows.map((window, index) => ({
    window,
    number: index + 1,
    known: Boolean(window.position),
    at: window.position || plus([0, 0], out(window.azimuth), 3.5),
  }));
}

function bounds(site, windows) {
  const near = [...windows.map((one) => one.at)];
  for (const wall of site.walls) {
    if (wall.start) near.push(wall.start, endOf(wall));
  }
  const middle = [0, 1].map((axis) => {
    const values = near.map((point) => point[axis]);
    return (Math.min(...values) + Math.max(...values)) / 2;
  });
  const away = (point) => Math.max(...point.map((value, axis) => Math.abs(value - middle[axis])));
  const own = Math.max(4, ...near.map(away).map((value) => value + 2.5));
  const far = site.trees.map((tree) => away(tree.trunk) + tree.width / 2 + 0.5);
  for (const block of site.obstacles) far.push(...block.footprint.map((corner) => away(corner) + 0.5));
  return { middle, reach: Math.max(own, ...far.map((value) => Math.min(value, own * FAR))) };
}

// Of a view: from the plan to the paper, and back.
function sheet({ middle, reach }) {
  const scale = size / (2 * reach);
  const paper = ([east, north]) => [size / 2 + (east - middle[0]) * scale, size / 2 - (north - middle[1]) * scale];
  const points = (corners) => corners.map((corner) => paper(corner).map((v) => v.toFixed(1)).join(',')).join(' ');
  const line = (from, to, style, rest = {}) => {
    const [x1, y1] = paper(from);
    const [x2, y2] = paper(to);
    return make('line', { x1, y1, x2, y2, class: style, ...rest });
  };
  const back = ([x, y]) => [middle[0] + (x - size / 2) / scale, middle[1] - (y - size / 2) / scale];
  return { scale, reach, middle, paper, points, line, back };
}

const isChosen = (kind, name) => state.chosen.kind === kind && entries(kind)[state.chosen.index]?.name === name;

export function drawHouse(holder) {
  const { site, moment } = state;
  size = clamped(holder.clientWidth, 240, 640);
  const windows = placed(site);
  const on = sheet(held || bounds(site, windows));
  const parts = [];
  for (const [shapes, style] of moment ? [[moment.ground, 'cast'], [moment.crowns, 'cast thin']] : []) {
    for (const ring of shapes) parts.push(make('polygon', { points: on.points(ring), class: style }));
  }
  const outline = ringOf(site.walls);
  if (outline) parts.push(make('polygon', { points: on.points(outline), class: 'indoors' }));
  for (const block of site.obstacles) parts.push(drawBlock(block, on));
  for (const tree of site.trees) {
    const [cx, cy] = on.paper(tree.trunk);
    const crown = make('circle', { cx, cy, r: (tree.width / 2) * on.scale, class: isChosen('tree', tree.name) ? 'leaf is-chosen' : 'leaf' });
    parts.push(thing('tree', tree.name, `${tree.name}, a tree ${said(tree.top)} high`, crown));
  }
  for (const wall of site.walls) if (wall.start) parts.push(drawWall(wall, on));
  if (moment && moment.elevation > 0) {
    const sun = plus(on.middle, out(moment.azimuth), on.reach * 0.9);
    const [cx, cy] = on.paper(sun);
    parts.push(on.line(sun, on.middle, 'ray'), make('circle', { cx, cy, r: 9, class: 'dot' }, make('title', {}, 'the sun')));
  }
  for (const one of windows) parts.push(drawWindow(one, on));
  for (const block of site.obstacles) parts.push(...nameOf(block.name, block.footprint, on));
  for (const tree of site.trees) parts.push(...nameOf(tree.name, [plus(tree.trunk, [0, 1], tree.width / 2), plus(tree.trunk, [0, 1], -tree.width / 2)], on));
  for (const block of site.obstacles) parts.push(...corners(block, on));
  if (ghost) parts.push(drawGhost(on));
  parts.push(make('text', { x: size / 2, y: 16, class: 't m b' }, 'N'), ...ruler(on));
  if (windows.some((one) => !one.known)) {
    parts.push(make('text', { x: 8, y: size - 34, class: 't q small' }, 'dashed: by its direction alone, its place is not known'));
  }
  const label = `The house from above, north up; ${windows.length} windows`;
  redraw(holder, { viewBox: `0 0 ${size} ${size}`, 'aria-label': label }, parts);
  holder.onpointerdown = (event) => press(holder, event, on.back, (part) => pressed(holder, on, part));
  holder.onkeydown = (event) => key(event);
}

// The corners of a house whose walls come after one another all the way round, else null.
function ringOf(walls) {
  const some = walls.filter((wall) => wall.start);
  const ends = some.map(endOf);
  const [near, corners] = [0.02, []];
  let wall = some[0];
  while (wall && corners.length < some.length) {
    corners.push(wall.start);
    const [east, north] = ends[some.indexOf(wall)];
    wall = some.find(({ start }) => Math.hypot(start[0] - east, start[1] - north) < near);
    if (wall === some[0]) return corners.length > 2 ? corners : null;
  }
  return null;
}

// What can be chosen and moved: by pointer, or with the arrow keys.
function thing(kind, name, words, ...shapes) {
  const label = `${words}; Enter chooses it, arrow keys move it`;
  return make('g', { class: 'pick', 'data-part': partName(kind, name), tabindex: '0', role: 'button', 'aria-label': label }, make('title', {}, words), ...shapes);
}

function drawBlock(block, on) {
  const shape = make('polygon', { points: on.points(block.footprint), class: isChosen('obstacle', block.name) ? 'land is-chosen' : 'land' });
  return thing('obstacle', block.name, `${block.name}, ${said(block.top)} high`, shape);
}

// What the chosen neighbour is bent by; above all else, so that it can be had.
function corners(block, on) {
  if (!isChosen('obstacle', block.name) || !entries('obstacle')[indexOf('obstacle', block.name)]?.footprint) return [];
  return block.footprint.map((corner, number) => knob(...on.paper(corner), partName('corner', block.name, number)));
}

// A name in the lower half of what it names, where that is in the picture.
function nameOf(name, corners, on) {
  const points = corners.map(on.paper);
  const [x, middle] = [0, 1].map((axis) => points.reduce((sum, point) => sum + point[axis], 0) / points.length);
  const y = (middle + Math.max(...points.map((point) => point[1]))) / 2;
  if (x < 0 || x > size || y < 24 || y > size - 40) return [];
  const half = name.length * 3.5; // px, about
  return [make('text', { x: clamped(x, half, size - half), y: y + 4, class: 't m small halo still' }, name)];
}

function drawWall(wall, on) {
  const end = endOf(wall);
  return make(
    'g',
    { class: 'draw', 'data-part': partName('wall', wall.name) },
    make('title', {}, `${wall.name}, ${said(wall.length)}: drag along it to make a window`),
    on.line(wall.start, end, 'reach'),
    on.line(wall.start, end, state.wall === wall.name ? 'floor thick' : 'floor'),
  );
}

function drawWindow({ window, number, at, known }, on) {
  const side = right(window.azimuth);
  const way = out(window.azimuth);
  const left = plus(at, side, -window.width / 2);
  const end = plus(at, side, window.width / 2);
  const here = state.moment && state.moment.windows[window.name];
  const watts = here ? here.power : 0;
  const chosen = window.name === state.window;
  const words = `${number} ${window.name}${watts ? `, ${watts} W/m² of sun` : ', no sun now'}`;
  const group = thing('window', window.name, words);
  if (window.overhang) {
    const { depth } = window.overhang;
    const past = (value) => Math.min(value ?? 0.6, 3);
    const a = plus(left, side, -past(window.overhang.left));
    const b = plus(end, side, past(window.overhang.right));
    group.append(make('polygon', { points: on.points([a, plus(a, way, depth), plus(b, way, depth), b]), class: 'dash' }));
  }
  if (watts > 0) {
    const beam = [left, plus(left, way, 1.6), plus(end, way, 1.6), end];
    group.append(make('polygon', { points: on.points(beam), class: inkOf(watts) }));
  }
  group.append(on.line(left, end, 'reach'), on.line(left, end, chosen ? 'chosen' : known ? 'glass' : 'dash'));
  const [x, y] = on.paper(at);
  const anchor = way[0] > 0.4 ? 't e small halo' : way[0] < -0.4 ? 't small halo' : 't m small halo';
  const aside = Math.abs(way[0]) > 0.4 ? -Math.sign(way[0]) * 9 : 0;
  const below = Math.abs(way[0]) > 0.4 ? 4 : way[1] > 0 ? 18 : -9;
  group.append(make('text', { x: x + aside, y: y + below, class: chosen ? `${anchor} b` : anchor }, String(number)));
  if (chosen && measured(window)) {
    for (const [part, point] of [['left', left], ['right', end]]) {
      const [cx, cy] = on.paper(point);
      group.append(knob(cx, cy, partName(part, window.name)));
    }
  }
  return group;
}

function drawGhost(on) {
  const { wall, from, to } = ghost;
  const side = right(wall.azimuth);
  const [a, b] = [from, to].map((value) => plus(wall.start, side, value));
  const [x, y] = on.paper(plus(b, out(wall.azimuth), 0.8));
  const words = `${said(Math.min(from, to))} from the left end, ${said(Math.abs(to - from))} wide`;
  const edge = x > size * 0.7 ? ' e' : x < size * 0.3 ? '' : ' m';
  return make('g', {}, on.line(a, b, 'chosen'), make('text', { x, y, class: `t small halo b${edge}` }, words));
}

function ruler({ reach, scale }) {
  const steps = state.feet ? [1, 2, 5, 10, 20, 50].map((feet) => [feet * 0.3048, `${feet} ft`]) : [1, 2, 5, 10, 20].map((metres) => [metres, `${metres} m`]);
  const [length, words] = steps.find(([metres]) => metres > reach / 4) || steps.at(-1);
  const y = size - 12;
  return [make('line', { x1: 8, y1: y, x2: 8 + length * scale, y2: y, class: 'floor' }), make('text', { x: 8, y: y - 6, class: 't small' }, words)];
}

const JOBS = { wall: drawAlong, window: slide, left: stretch, right: stretch, tree: shift, obstacle: shift, corner: bend };

function pressed(holder, on, part) {
  held = { middle: on.middle, reach: on.reach };
  const kind = ['left', 'right'].includes(part.kind) ? 'window' : part.kind;
  if (kind !== 'wall' && kind !== 'corner') choose(kind, indexOf(kind, part.name));
  const { move, end } = JOBS[part.kind]({ ...part, holder });
  return {
    move,
    end: (moved) => {
      held = null;
      if (end) end(moved);
      drawHouse(holder);
    },
  };
}

function drawAlong({ name, from, holder }) {
  const wall = named('walls', name);
  const side = right(wall.azimuth);
  const where = (point) => clamped(snapped(along(point, wall.start, side)), 0, wall.length);
  const begin = where(from);
  return {
    move: (point) => {
      ghost = { wall, from: begin, to: where(point) };
      drawHouse(holder);
    },
    end: (moved) => {
      const drawn = ghost;
      ghost = null;
      if (!moved || !drawn || Math.abs(drawn.to - drawn.from) < 0.1) choose('wall', indexOf('wall', name));
      else newWindow(name, Math.min(drawn.from, drawn.to), Math.abs(drawn.to - drawn.from));
    },
  };
}

function slide({ name, from, cause }) {
  const window = named('windows', name);
  const side = right(window.azimuth);
  return { move: (point) => moveWindow(window, along(point, from, side), 0, cause) };
}

function stretch({ kind, name, from, cause }) {
  const window = named('windows', name);
  const side = right(window.azimuth);
  return { move: (point) => sizeWindow(window, kind, along(point, from, side), 0, cause) };
}

function shift({ kind, name, from, cause }) {
  const index = indexOf(kind, name);
  const raw = entries(kind)[index];
  const site = named(kind === 'tree' ? 'trees' : 'obstacles', name);
  return { move: (point) => shiftBy(kind, index, raw, site, [point[0] - from[0], point[1] - from[1]], cause) };
}

// What is said by its place on the plan moves there; what is said by tape, from its window or wall.
function shiftBy(kind, index, raw, site, [east, north], cause) {
  const shifted = (point) => [toFile(snapped(point[0] + east)), toFile(snapped(point[1] + north))];
  if (raw.trunk) return edit([{ path: ['tree', index, 'trunk'], value: shifted(site.trunk) }], cause);
  if (raw.footprint) return edit([{ path: ['obstacle', index, 'footprint'], value: site.footprint.map(shifted) }], cause);
  const base = tapeEnd(raw);
  if (!base) return null;
  const near = kind === 'tree' ? site.trunk : middle(site.footprint[0], site.footprint[1]);
  const to = [near[0] + east, near[1] + north];
  const set = (key, value) => ({ path: [kind, index, key], value });
  const length = (key, from, way) => set(key, toFile(snapped(along(to, from, way))));
  const aside = raw.along === undefined ? 'right' : 'along';
  if (raw.distance === undefined) return edit([length(aside, base.at, right(base.azimuth)), length('out', base.at, out(base.azimuth))], cause);
  const moved = raw[aside] ?? 0;
  if (typeof moved !== 'number') return null;
  const from = plus(base.at, right(base.azimuth), moved);
  const degrees = (Math.atan2(to[0] - from[0], to[1] - from[1]) * 180) / Math.PI;
  const direction = Number(((degrees + 360) % 360).toFixed(1));
  return edit([length('distance', from, out(direction)), set('direction', direction)], cause);
}

const middle = (one, other) => [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2];

// Where a tape begins: a point on a wall's face, and which way that looks.
function tapeEnd(raw) {
  const window = raw.along === undefined && named('windows', raw.from);
  if (window) return window.position && { at: window.position, azimuth: window.azimuth };
  const wall = named('walls', raw.from);
  return wall && { at: plus(wall.start, right(wall.azimuth), raw.along === undefined ? wall.length / 2 : 0), azimuth: wall.azimuth };
}

function bend({ name, more, from, cause }) {
  const index = indexOf('obstacle', name);
  const { footprint } = named('obstacles', name);
  return {
    move: (point) => {
      const value = footprint.map(([east, north], number) =>
        (number === Number(more) ? [east + point[0] - from[0], north + point[1] - from[1]].map(snapped) : [east, north]).map(toFile));
      edit([{ path: ['obstacle', index, 'footprint'], value }], cause);
    },
  };
}

function key(event) {
  partKey(event, (kind, name) => choose(kind, indexOf(kind, name), { focus: true }), (kind, name, way, far) => {
    const by = (far ? 10 : 1) * step();
    const cause = `keys ${kind} ${name}`;
    inTurn(() => {
      const index = indexOf(kind, name);
      if (kind !== 'window') return shiftBy(kind, index, entries(kind)[index], named(kind === 'tree' ? 'trees' : 'obstacles', name), way.map((one) => one * by), cause);
      const window = named('windows', name);
      const side = right(window.azimuth);
      return moveWindow(window, by * Math.sign(way[0] * side[0] + way[1] * side[1] || way[0]), 0, cause);
    });
  });
}

// A tree or a neighbour before the wall that is looked at, to be dragged to its place.
function before(distance) {
  const wall = named('walls', state.wall);
  if (wall) return plus(plus(wall.start, right(wall.azimuth), wall.length / 2), out(wall.azimuth), distance);
  const window = named('windows', state.window);
  return window && window.position ? plus(window.position, out(window.azimuth), distance) : [0, -distance];
}

// A tree as it goes into the file, in leaf for the warm half of the year.
export function treeAt(name, place, { width, bottom, top }) {
  const in_leaf = state.site.latitude < 0 ? ['10-20', '05-05'] : ['04-20', '11-05'];
  const sizes = Object.entries({ width, bottom, top }).map(([key, value]) => [key, toFile(value)]);
  return { name: freeName('tree', name), trunk: place.map((value) => toFile(value)), ...Object.fromEntries(sizes), leaf: 0.15, bare: 0.65, in_leaf };
}

export const plantTree = () => add('tree', treeAt('tree', before(6).map(snapped), { width: 5, bottom: 2, top: 8 }));

export function buildNeighbour() {
  const [east, north] = before(14);
  const footprint = [[-4, -4], [4, -4], [4, 4], [-4, 4]].map(([x, y]) => [toFile(snapped(east + x)), toFile(snapped(north + y))]);
  add('obstacle', { name: freeName('obstacle', 'neighbour'), footprint, top: toFile(6) });
}
