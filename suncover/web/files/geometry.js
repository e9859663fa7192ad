// The plan: metres east and north, walls by their left end, and dragging on a picture.

import { make } from './asking.js';

export const out = (azimuth) => {
  const angle = (azimuth * Math.PI) / 180;
  return [Math.sin(angle), Math.cos(angle)];
};
export const right = (azimuth) => {
  const [east, north] = out(azimuth);
  return [-north, east]; // as seen from outdoors
};
export const plus = (point, way, length) => [point[0] + way[0] * length, point[1] + way[1] * length];
export const along = (point, from, way) => (point[0] - from[0]) * way[0] + (point[1] - from[1]) * way[1];

export const endOf = (wall) => plus(wall.start, right(wall.azimuth), wall.length);

export const clamped = (value, least, most) => Math.min(Math.max(value, least), Math.max(most, least));

// Follows a pointer from where it went down until it is up. `pointOf` turns an event into a point
// of the picture; a press without a move is a click.
function follow(holder, event, pointOf, { move, end }) {
  event.preventDefault();
  holder.setPointerCapture(event.pointerId);
  const [x, y] = [event.clientX, event.clientY];
  let moved = false;
  holder.onpointermove = (next) => {
    if (!moved && Math.hypot(next.clientX - x, next.clientY - y) < 4) return;
    moved = true;
    move(pointOf(next));
  };
  const stop = (last) => {
    holder.onpointermove = holder.onpointerup = holder.onpointercancel = null;
    if (moved && last.type === 'pointerup') move(pointOf(last));
    if (end) end(moved);
  };
  holder.onpointerup = stop;
  holder.onpointercancel = stop;
}

// From an event to the units of a picture's viewBox.
function inPicture(svg, event) {
  const box = svg.getBoundingClientRect();
  const [, , wide, high] = svg.getAttribute('viewBox').split(' ').map(Number);
  const unit = Math.min(box.width / wide, box.height / high);
  return [
    (event.clientX - box.left - (box.width - wide * unit) / 2) / unit,
    (event.clientY - box.top - (box.height - high * unit) / 2) / unit,
  ];
}

// A press on a part of a picture: `begin` says what moving it does. `back` turns units of the viewBox
// into what the parts are measured in.
export function press(holder, event, back, begin) {
  const part = event.target.closest('[data-part]');
  if (!part || event.button > 0) return;
  const pointOf = (one) => back(inPicture(holder.firstChild, one));
  const [kind, name, more] = partsOf(part);
  const cause = `drag ${part.dataset.part} ${event.timeStamp}`;
  follow(holder, event, pointOf, begin({ kind, name, more, from: pointOf(event), cause }));
}

// What a part of a picture is: its sort, the name of its thing, and more, in one word.
export const partName = (sort, ...rest) => [sort, ...rest.map((one) => encodeURIComponent(one))].join(':');
const partsOf = (element) => element.dataset.part.split(':').map(decodeURIComponent);

// A handle to drag by: what a finger needs, and what is seen of it.
export const knob = (cx, cy, part) =>
  make('g', { 'data-part': part }, make('circle', { cx, cy, r: 14, class: 'grip' }), make('circle', { cx, cy, r: 7, class: 'handle' }));

// A picture in place of the one before it; what has the keyboard keeps it.
export function redraw(holder, attributes, parts) {
  const focused = holder.contains(document.activeElement) && document.activeElement.dataset.part;
  holder.replaceChildren(make('svg', { role: 'group', ...attributes }, ...parts));
  if (focused) holder.querySelector(`[data-part="${CSS.escape(focused)}"]`)?.focus();
}

const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

// Enter and the arrow keys on a part of a picture: it is chosen, or moved to the right and up.
export function partKey(event, choose, move) {
  const part = event.target.closest?.('[data-part]');
  if (!part) return;
  const chosen = event.key === 'Enter' || event.key === ' ';
  const way = WAYS[event.key];
  if (!chosen && (!way || event.ctrlKey || event.metaKey)) return;
  const [kind, name] = partsOf(part);
  if ((chosen ? choose(kind, name) : move(kind, name, way, event.shiftKey)) !== false) event.preventDefault();
}
