// Windows in their walls by the tape: what moving and sizing one comes to in the file. Left and right
// are as seen from outdoors.

import { along, clamped, plus, right } from './geometry.js';
import { add, edit, entries, freeName, indexOf, named, snapped, toFile } from './store.js';

const LEAST = 0.2; // metres of glass that a drag leaves

const rawOf = (window) => entries('window')[indexOf('window', window.name)];

// Whether dragging can move it: along its wall, from its neighbour, or on the plan.
export const measured = (window) => {
  const raw = rawOf(window);
  return Boolean(raw && (typeof raw.wall === 'string' || raw.right_of || raw.left_of || raw.position));
};

// Metres from the left end of its wall to the left edge of its glass.
export function alongOf(window) {
  const wall = named('walls', window.facade);
  if (!wall || !window.position) return null;
  const side = right(wall.azimuth);
  return along(window.position, wall.start, side) - window.width / 2;
}

// The keys that say where a window is when its left edge is moved, and its width is another.
function placeOf(window, aside, width) {
  const index = indexOf('window', window.name);
  const raw = rawOf(window);
  const wall = named('walls', raw.wall);
  if (wall) {
    const value = clamped(snapped(alongOf(window) + aside), 0, wall.length - width);
    return [{ path: ['window', index, 'along'], value: toFile(value) }];
  }
  if (raw.right_of || raw.left_of) {
    const other = named('windows', raw.right_of || raw.left_of);
    const sign = raw.right_of ? 1 : -1;
    const grown = raw.right_of ? 0 : width - window.width;
    const far = sign * along(window.position, other.position, right(other.azimuth));
    const apart = far - (window.width + other.width) / 2;
    return [{ path: ['window', index, 'apart'], value: toFile(Math.max(snapped(apart + sign * aside - grown), 0)) }];
  }
  if (!raw.position) return [];
  const middle = plus(window.position, right(window.azimuth), aside + (width - window.width) / 2);
  return [{ path: ['window', index, 'position'], value: middle.map((value) => toFile(value)) }];
}

const moving = (value) => Math.abs(value) > 1e-9;

export function moveWindow(window, aside, up, cause) {
  const changes = moving(aside) ? placeOf(window, aside, window.width) : [];
  if (moving(up)) {
    const path = ['window', indexOf('window', window.name), 'sill'];
    changes.push({ path, value: toFile(Math.max(snapped(window.sill + up), 0)) });
  }
  return changes.length ? edit(changes, cause) : null;
}

// `part` is the side or the corner that is dragged: left, right, top, bottom.
export function sizeWindow(window, part, aside, up, cause) {
  const index = indexOf('window', window.name);
  const changes = [];
  if (part.includes('left') || part.includes('right')) {
    const grows = part.includes('left') ? -aside : aside;
    const width = Math.max(snapped(window.width + grows), LEAST);
    if (part.includes('left')) changes.push(...placeOf(window, window.width - width, width));
    else if (!rawOf(window).wall && !rawOf(window).right_of) changes.push(...placeOf(window, 0, width));
    changes.push({ path: ['window', index, 'width'], value: toFile(width) });
  }
  if (part.includes('top') || part.includes('bottom')) {
    const lowered = part.includes('bottom') ? Math.min(-up, window.sill) : up;
    const height = Math.max(snapped(window.height + lowered), LEAST);
    if (part.includes('bottom')) changes.push({ path: ['window', index, 'sill'], value: toFile(Math.max(window.sill - (height - window.height), 0)) });
    changes.push({ path: ['window', index, 'height'], value: toFile(height) });
  }
  return edit(changes, cause);
}

// One more of the same sizes, half a metre on to the right in the same wall.
export function likeWindow(window) {
  const { name, ...same } = rawOf(window);
  const wall = named('walls', same.wall);
  const along = clamped(alongOf(window) + window.width + 0.5, 0, wall.length - window.width);
  return add('window', { name: freeName('window', name), ...same, along: toFile(along) });
}

export function newWindow(wall, along, width, sill = 0.9, height = 1.2) {
  const name = freeName('window', `${wall} window`);
  const sizes = { along: toFile(along), width: toFile(width), height: toFile(height), sill: toFile(sill) };
  return add('window', { name, wall, ...sizes });
}
