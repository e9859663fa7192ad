// The window from the side, with an overhang whose edge can be dragged. Outdoors is to the right.

import { make } from './asking.js';

const WIDE = 360;
const HIGH = 320;

export function drawSide(holder, window, trial, move) {
  const scale = Math.min((HIGH - 40) / (window.height + 2), (WIDE - 120) / 3.2);
  const face = 90;
  const top = 20 + 1.6 * scale; // of the glass
  const foot = top + window.height * scale;
  const glass = face - Math.max(window.reveal * scale, 3);
  const edge = [face + trial.depth * scale, top - trial.gap * scale];
  const shown = (value) => value.toFixed(2);
  const knob = make('circle', { cx: edge[0], cy: edge[1], r: 11, class: 'handle', 'data-part': 'edge' }, make('title', {}, 'drag the edge'));
  const svg = make(
    'svg',
    { viewBox: `0 0 ${WIDE} ${HIGH}`, role: 'img', 'aria-label': `The window from the side: an overhang ${shown(trial.depth)} m deep, ${shown(trial.gap)} m above the glass` },
    make('rect', { x: face - 26, y: 8, width: 26, height: Math.max(top - 8, 0), class: 'wall' }),
    make('rect', { x: face - 26, y: foot, width: 26, height: Math.max(HIGH - foot - 8, 0), class: 'wall' }),
    make('line', { x1: glass, x2: glass, y1: top, y2: foot, class: 'glass' }),
    make('line', { x1: face, x2: edge[0], y1: edge[1], y2: edge[1], class: 'floor' }),
    make('line', { x1: edge[0], x2: glass, y1: edge[1], y2: foot, class: 'faint' }),
    make('text', { x: 8, y: top + 16, class: 't small q' }, 'room'),
    make('text', { x: WIDE - 8, y: HIGH - 14, class: 't small q e' }, 'outdoors'),
    knob,
  );
  holder.replaceChildren(svg);
  holder.onpointerdown = (event) => {
    if (!event.target.closest('[data-part=edge]')) return;
    event.preventDefault();
    holder.setPointerCapture(event.pointerId);
    holder.onpointermove = (moved) => {
      const box = holder.firstChild.getBoundingClientRect();
      const unit = Math.min(box.width / WIDE, box.height / HIGH);
      const left = box.left + (box.width - WIDE * unit) / 2;
      const px = (moved.clientX - left) / unit;
      const py = (moved.clientY - box.top - (box.height - HIGH * unit) / 2) / unit;
      move((px - face) / scale, (top - py) / scale);
    };
  };
  holder.onpointerup = holder.onpointercancel = () => {
    holder.onpointermove = null;
  };
}
