// A home from nothing: the place, and the house's outline from a few measures or from a map.

import { after, asked, by, make, told } from './asking.js';
import { endOf } from './geometry.js';

const FIELDS = ['name', 'place', 'front', 'width', 'depth', 'cut_along', 'cut_in'];

export function begin(done) {
  const form = by('begin-form');
  const shape = () => form.elements.shape.value;
  let map = '';

  const given = () => ({
    ...Object.fromEntries(FIELDS.map((key) => [key, form.elements[key].value])),
    shape: shape(),
    corner: form.elements.corner.value,
    own: form.elements.own.value,
    map,
  });

  function faults(found, only) {
    for (const key of FIELDS) {
      if (only && !only.includes(key)) continue;
      const words = found[key] || '';
      by(`begin-${key}-fault`).textContent = words;
      form.elements[key].setAttribute('aria-invalid', words ? 'true' : 'false');
    }
  }

  function parts() {
    for (const part of form.querySelectorAll('[data-shapes]')) part.hidden = !part.dataset.shapes.split(' ').includes(shape());
  }

  // The outline as it is typed, and what is wrong with the fields that have something in them.
  const look = after(150, async () => {
    const said = given();
    const filled = FIELDS.filter((key) => said[key].trim());
    try {
      const answer = await asked('begin', { ...said, name: said.name || 'x' });
      faults(answer.faults || {}, filled);
      by('begin-error').textContent = '';
      if (!answer.text) return;
      const judged = await asked('judge', { text: answer.text });
      if (judged.sketch) by('begin-outline').replaceChildren(outline(judged.sketch.walls));
    } catch (wrong) {
      if (map) by('begin-error').textContent = told(wrong);
    }
  });

  by('begin').hidden = false;
  parts();
  form.addEventListener('input', () => {
    parts();
    look();
  });
  form.elements.file.addEventListener('change', async () => {
    const [file] = form.elements.file.files;
    map = file ? await file.text() : '';
    look();
  });
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    try {
      const answer = await asked('begin', given());
      faults(answer.faults || {});
      by('begin-error').textContent = '';
      if (answer.text) {
        by('begin').hidden = true;
        done(answer.text, map);
      } else form.querySelector('[aria-invalid=true]')?.focus();
    } catch (wrong) {
      by('begin-error').textContent = told(wrong);
    }
  });
  form.elements.name.focus();
}

function outline(walls) {
  const corners = walls.map((wall) => wall.start);
  const ends = [...corners, ...walls.map(endOf)];
  const [east, north] = [0, 1].map((axis) => ends.map((point) => point[axis]));
  const [low, high] = [Math.min(...east), Math.max(...north)];
  const size = Math.max(Math.max(...east) - low, high - Math.min(...north), 1);
  const paper = (point) => [30 + ((point[0] - low) / size) * 180, 30 + ((high - point[1]) / size) * 180];
  const parts = walls.map((wall) => {
    const [a, b] = [wall.start, endOf(wall)].map(paper);
    return make('line', { x1: a[0], y1: a[1], x2: b[0], y2: b[1], class: wall === walls[0] ? 'chosen' : 'floor' }, make('title', {}, wall.name));
  });
  const label = `The outline, north up: ${walls.length} walls`;
  return make('svg', { viewBox: '0 0 240 240', role: 'img', 'aria-label': label }, make('text', { x: 120, y: 14, class: 't m b' }, 'N'), ...parts);
}
