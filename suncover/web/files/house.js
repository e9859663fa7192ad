// The house from above: to scale, north up, metres east and north of the site's origin.

import { make } from './asking.js';

const SIZE = 440;
const FAR = 1.6; // times the house's own size up to which neighbours make the picture larger

const out = (azimuth) => {
  const angle = (azimuth * Math.PI) / 180;
  return [Math.sin(angle), Math.cos(angle)];
};
const right = (azimuth) => {
  const [east, north] = out(azimuth);
  return [-north, east]; // as seen from outdoors
};
const plus = (point, way, length) => [point[0] + way[0] * length, point[1] + way[1] * length];

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
    if (wall.start) near.push(wall.start, plus(wall.start, right(wall.azimuth), wall.length));
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

export function drawHouse(site, chosen, now, pick) {
  const windows = placed(site);
  const { middle, reach } = bounds(site, windows);
  const scale = SIZE / (2 * reach);
  const paper = ([east, north]) => [
    SIZE / 2 + (east - middle[0]) * scale,
    SIZE / 2 - (north - middle[1]) * scale,
  ];
  const points = (corners) => corners.map((corner) => paper(corner).map((v) => v.toFixed(1)).join(',')).join(' ');
  const line = (from, to, style) => {
    const [x1, y1] = paper(from);
    const [x2, y2] = paper(to);
    return make('line', { x1, y1, x2, y2, class: style });
  };
  const parts = [];
  for (const block of site.obstacles) {
    parts.push(make('polygon', { points: points(block.footprint), class: 'land' }, make('title', {}, `${block.name}, ${block.top} m high`)));
  }
  for (const tree of site.trees) {
    const [cx, cy] = paper(tree.trunk);
    parts.push(make('circle', { cx, cy, r: (tree.width / 2) * scale, class: 'leaf' }, make('title', {}, tree.name)));
  }
  for (const wall of site.walls) {
    if (wall.start) parts.push(line(wall.start, plus(wall.start, right(wall.azimuth), wall.length), 'floor'));
  }
  if (now && now.elevation > 0) {
    const way = out(now.azimuth);
    const sun = plus(middle, way, reach * 0.9);
    const [cx, cy] = paper(sun);
    parts.push(line(sun, middle, 'ray'), make('circle', { cx, cy, r: 9, class: 'dot' }, make('title', {}, 'the sun')));
  }
  for (const { window, number, at, known } of windows) {
    parts.push(drawWindow(window, number, at, known, { line, points, paper, chosen, now, pick }));
  }
  parts.push(make('text', { x: SIZE / 2, y: 16, class: 't m b' }, 'N'));
  parts.push(...ruler(reach, scale));
  if (windows.some((one) => !one.known)) {
    parts.push(make('text', { x: 8, y: SIZE - 34, class: 't q small' }, 'dashed: by its direction alone, its place is not known'));
  }
  return make(
    'svg',
    { viewBox: `0 0 ${SIZE} ${SIZE}`, role: 'img', 'aria-label': `The house from above, north up; ${windows.length} windows` },
    ...parts,
  );
}

function drawWindow(window, number, at, known, { line, points, paper, chosen, now, pick }) {
  const side = right(window.azimuth);
  const way = out(window.azimuth);
  const left = plus(at, side, -window.width / 2);
  const end = plus(at, side, window.width / 2);
  const group = make('g', { class: 'pick' }, make('title', {}, window.name));
  if (window.overhang) {
    const { depth } = window.overhang;
    const past = (value) => Math.min(value ?? 0.6, 3);
    const a = plus(left, side, -past(window.overhang.left));
    const b = plus(end, side, past(window.overhang.right));
    const corners = [a, plus(a, way, depth), plus(b, way, depth), b];
    group.append(make('polygon', { points: points(corners), class: 'dash' }));
  }
  const watts = now ? now.power[window.name] : 0;
  if (watts > 0) {
    const beam = [left, plus(left, way, 1.6), plus(end, way, 1.6), end];
    group.append(make('polygon', { points: points(beam), class: `f${Math.min(8, Math.floor(watts / 100))}` }));
  }
  if (window.name === chosen) group.append(line(left, end, 'chosen'));
  else group.append(line(left, end, known ? 'glass' : 'dash'));
  const [x, y] = paper(at);
  const anchor = way[0] > 0.4 ? 't e small halo' : way[0] < -0.4 ? 't small halo' : 't m small halo';
  const aside = Math.abs(way[0]) > 0.4 ? -Math.sign(way[0]) * 9 : 0;
  const below = Math.abs(way[0]) > 0.4 ? 4 : way[1] > 0 ? 18 : -9;
  group.append(make('text', { x: x + aside, y: y + below, class: window.name === chosen ? `${anchor} b` : anchor }, String(number)));
  group.addEventListener('click', () => pick(window.name));
  return group;
}

function ruler(reach, scale) {
  const length = [1, 2, 5, 10, 20].find((metres) => metres > reach / 4) || 20;
  const y = SIZE - 12;
  return [
    make('line', { x1: 8, y1: y, x2: 8 + length * scale, y2: y, class: 'floor' }),
    make('text', { x: 8, y: y - 6, class: 't small' }, `${length} m`),
  ];
}
