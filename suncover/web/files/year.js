// The strip of a day and the carpet of the year for one window.

import { clock, lasting, make } from './asking.js';

const CELLS = 144;
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

// An answer about a year with its W/m² as numbers, and what it is `of`: which state it is the sun of.
export function unpacked(sun, of) {
  const letters = atob(sun.power);
  const bytes = new Uint8Array(letters.length);
  for (let at = 0; at < letters.length; at += 1) bytes[at] = letters.charCodeAt(at);
  return { ...sun, of, watts: new Uint16Array(bytes.buffer) };
}

// The class of a colour for W/m² on the glass.
export const inkOf = (watts) => `f${level(watts)}`;
const level = (watts) => Math.min(8, Math.floor(watts / 100));
let wide = 720; // of the strip: as wide as its place on the page, so that its letters keep their size
const x = (seconds) => (seconds / 86400) * wide;

// The spells of a day, and the W/m² in each of its cells: out of a year, or of that day alone.
function dayOf(sun, day) {
  if (!sun.watts) return sun;
  const pieces = sun.pieces.filter((piece) => piece[0] === day).map(([, start, end]) => [start, end]);
  return { pieces, power: sun.watts.subarray(day * CELLS, (day + 1) * CELLS) };
}

function band(sun, day, top, height) {
  const { pieces, power } = dayOf(sun, day);
  const parts = [make('rect', { x: 0, y: top, width: wide, height, class: 'night' })];
  for (const [start, end] of pieces) {
    for (let cell = Math.floor(start / 600); cell * 600 < end; cell += 1) {
      const from = Math.max(start, cell * 600);
      const to = Math.min(end, (cell + 1) * 600);
      const watts = power[cell];
      parts.push(make('rect', { x: x(from), y: top, width: x(to - from) + 0.3, height, class: inkOf(watts) }));
    }
  }
  return parts;
}

// The sun of a day and what the shade does; under it, the same as tried. Both may lack the shade.
export function drawStrip(holder, sun, plan, tried, triedPlan, day, slot) {
  wide = Math.max(holder.clientWidth, 240);
  const every = wide < 480 ? 6 : 3;
  const rows = tried ? [['as it is', sun, plan, 18], ['as tried', tried, triedPlan, 80]] : [['', sun, plan, 18]];
  const bottom = rows.at(-1)[3] + 28;
  const parts = [];
  for (const [name, one, closings, top] of rows) {
    parts.push(...band(one, day, top, 28));
    if (name) parts.push(make('text', { x: 4, y: top - 5, class: 't small' }, name));
    for (const [start, end, position] of closedOn(closings, day)) {
      parts.push(make('rect', { x: x(start), y: top + 32, width: x(end - start), height: 9, class: 'shade' }, make('title', {}, `${position} % closed`)));
    }
  }
  for (let hour = 0; hour <= 24; hour += every) {
    const style = hour === 0 ? 't small' : hour === 24 ? 't small e' : 't small m';
    parts.push(make('text', { x: x(hour * 3600), y: bottom + 28, class: style }, clock(hour * 3600)));
  }
  parts.push(make('line', { x1: x(slot * 600), x2: x(slot * 600), y1: 10, y2: bottom + 14, class: 'mark' }));
  const { of } = tried || sun;
  const svg = make('svg', { viewBox: `0 0 ${wide} ${bottom + 34}`, role: 'img', 'data-of': of, 'aria-label': stripWords(sun, plan, day) }, ...parts);
  holder.replaceChildren(svg);
}

const closedOn = (plan, day) => (plan ? plan.closed : []).filter((piece) => piece[0] === day).map(([, ...rest]) => rest);

export const daySeconds = (sun, day) =>
  dayOf(sun, day).pieces.reduce((sum, [start, end]) => sum + end - start, 0);

export function stripWords(sun, plan, day) {
  const { pieces } = dayOf(sun, day);
  const said = pieces.length
    ? `Sun ${pieces.map(([start, end]) => `${clock(start)} to ${clock(end)}`).join(', ')}: ${lasting(daySeconds(sun, day))}.`
    : 'No sun on this window on that day.';
  const closed = closedOn(plan, day);
  if (!closed.length) return plan ? `${said} No shade is closed.` : said;
  const downs = closed.map(([start, end, , why]) => `closed ${clock(start)} to ${clock(end)} (${plan.reasons[why]})`);
  return `${said} The shade: ${downs.join('; ')}.`;
}

export function drawCarpet(holder, sun, plan, day, slot, pick) {
  let canvas = holder.querySelector('canvas');
  if (!canvas) {
    canvas = make('canvas', { height: CELLS, role: 'img' });
    const hours = ['24:00', '18:00', '12:00', '06:00', '00:00'].map((hour) => make('span', {}, hour));
    holder.append(make('div', { class: 'hours', 'aria-hidden': 'true' }, ...hours), canvas, make('div', { class: 'months', 'aria-hidden': 'true' }, ...MONTHS.map((name) => make('span', {}, name))));
    canvas.addEventListener('pointerdown', (event) => {
      const box = canvas.getBoundingClientRect();
      const across = (event.clientX - box.left) / box.width;
      const up = 1 - (event.clientY - box.top) / box.height;
      pick(Math.floor(across * canvas.days), Math.floor(up * CELLS));
    });
  }
  const shown = [sun, plan, day, slot, matchMedia('(prefers-color-scheme: dark)').matches];
  if (canvas.shown && shown.every((one, number) => one === canvas.shown[number])) return;
  canvas.shown = shown;
  canvas.days = sun.days;
  canvas.dataset.of = sun.of;
  canvas.width = sun.days * 2;
  canvas.setAttribute('aria-label', `The year: ${Math.round(sun.sun_h)} hours of sun on this window; the sliders choose day and time`);
  const inks = getComputedStyle(document.documentElement);
  const ink = (name) => inks.getPropertyValue(`--${name}`).trim();
  const scale = Array.from({ length: 9 }, (_, number) => ink(`sun-${number}`));
  const draw = canvas.getContext('2d');
  draw.fillStyle = ink('night');
  draw.fillRect(0, 0, canvas.width, CELLS);
  for (const [number, start, end] of sun.pieces) {
    for (let cell = Math.floor(start / 600); cell * 600 < end; cell += 1) {
      draw.fillStyle = scale[level(sun.watts[number * CELLS + cell])];
      draw.fillRect(number * 2, CELLS - 1 - cell, 2, 1);
    }
  }
  const shade = ink('shade');
  for (const [number, start, end] of plan ? plan.closed : []) {
    const top = CELLS - end / 600;
    const height = (end - start) / 600;
    draw.fillStyle = shade;
    draw.globalAlpha = 0.3;
    draw.fillRect(number * 2, top, 2, height);
    draw.globalAlpha = 1;
    draw.fillRect(number * 2, top, 2, 1);
    draw.fillRect(number * 2, top + height - 1, 2, 1);
  }
  draw.fillStyle = ink('mark');
  draw.fillRect(day * 2, 0, 1, CELLS);
  draw.fillRect(0, CELLS - 1 - slot, canvas.width, 1);
}
