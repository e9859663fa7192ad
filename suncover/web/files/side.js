// The window from the side and from the front, with an overhang whose edges can be dragged. In the
// side view outdoors is to the right.

import { make } from './asking.js';
import { knob, press } from './geometry.js';
import { said } from './store.js';

const WIDE = 360;
const HIGH = 320;

export function drawSide(holder, window, trial, move) {
  const scale = Math.min((HIGH - 40) / (window.height + 2), (WIDE - 120) / 3.2);
  const face = 90;
  const top = 20 + 1.6 * scale; // of the glass
  const foot = top + window.height * scale;
  const glass = face - Math.max(window.reveal * scale, 3);
  const edge = [face + trial.depth * scale, top - trial.gap * scale];
  const svg = make(
    'svg',
    { viewBox: `0 0 ${WIDE} ${HIGH}`, role: 'img', 'aria-label': `The window from the side: an overhang ${said(trial.depth)} deep, ${said(trial.gap)} above the glass` },
    make('rect', { x: face - 26, y: 8, width: 26, height: Math.max(top - 8, 0), class: 'wall' }),
    make('rect', { x: face - 26, y: foot, width: 26, height: Math.max(HIGH - foot - 8, 0), class: 'wall' }),
    make('line', { x1: glass, x2: glass, y1: top, y2: foot, class: 'glass' }),
    make('line', { x1: face, x2: edge[0], y1: edge[1], y2: edge[1], class: 'floor' }),
    make('line', { x1: edge[0], x2: glass, y1: edge[1], y2: foot, class: 'faint' }),
    make('text', { x: 8, y: top + 16, class: 't small q' }, 'room'),
    make('text', { x: WIDE - 8, y: HIGH - 14, class: 't small q e' }, 'outdoors'),
    knob(edge[0], edge[1], 'edge'),
  );
  holder.replaceChildren(svg);
  holder.onpointerdown = (event) => press(holder, event, (point) => point, () => ({ move: ([x, y]) => move((x - face) / scale, (top - y) / scale) }));
}

const ENDLESS = 3.4; // metres at which an end that has none is drawn
const LOW = 150;

// How far the overhang runs past the edges of the glass, as seen from outdoors.
export function drawFront(holder, window, trial, move) {
  const scale = Math.min((WIDE - 30) / (window.width + 2 * ENDLESS), 60);
  const left = (WIDE - window.width * scale) / 2;
  const high = Math.min(window.height * scale, 80);
  const past = (value) => Math.min(value ?? ENDLESS, ENDLESS) * scale;
  const ends = [left - past(trial.left), left + window.width * scale + past(trial.right)];
  const svg = make(
    'svg',
    { viewBox: `0 0 ${WIDE} ${LOW}`, role: 'img', 'aria-label': 'The window from the front, with the overhang over it' },
    make('rect', { x: left, y: 52, width: window.width * scale, height: high, class: 'pane' }),
    make('rect', { x: ends[0], y: 34, width: ends[1] - ends[0], height: 7, class: 'plate' }),
    make('text', { x: 8, y: 18, class: 't small q' }, 'left'),
    make('text', { x: WIDE - 8, y: 18, class: 't small q e' }, 'right'),
    knob(ends[0], 38, 'left'),
    knob(ends[1], 38, 'right'),
  );
  holder.replaceChildren(svg);
  const beyond = { left: (x) => (left - x) / scale, right: (x) => (x - left) / scale - window.width };
  holder.onpointerdown = (event) => press(holder, event, (point) => point, ({ kind }) => ({ move: ([x]) => move(kind, beyond[kind](x)) }));
}
