// What is taken along, the plan and the report; and what is taken in whole, a bay or a map of the street.

import { asked, by, make, told } from './asking.js';
import { choose, state, texts, took } from './store.js';

function hand(text, kind, name) {
  const link = make('a', { href: URL.createObjectURL(new Blob([text], { type: kind })), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

export async function takeAway(form) {
  by('plan-fault').textContent = form === 'html' ? 'making the report takes some seconds' : '';
  try {
    const asking = { text: state.sound, first: by('first').value, last: by('last').value, form };
    const answer = await asked(form === 'html' ? 'report' : 'plan', asking);
    hand(answer.text, answer.kind || 'text/html', form === 'html' ? 'report.html' : `plan.${form}`);
    by('plan-fault').textContent = '';
  } catch (wrong) {
    by('plan-fault').textContent = told(wrong);
  }
}

export async function buildBay(event) {
  event.preventDefault();
  const { elements } = by('bay-form');
  const fields = Object.fromEntries(['along', 'width', 'out', 'height', 'sill'].map((key) => [key, /^[\d.]+$/.test(elements[key].value) ? Number(elements[key].value) : elements[key].value]));
  try {
    const answer = await asked('bay', { text: texts.now, wall: state.wall, ...fields });
    by('bay-fault').textContent = '';
    took(answer, 'bay');
    choose('window', Math.max(answer.tables.window.length - 3, 0), { focus: true });
  } catch (wrong) {
    by('bay-fault').textContent = told(wrong);
  }
}

export async function around(map) {
  try {
    const answer = await asked('around', { text: state.sound, map });
    by('around-says').textContent = answer.told;
    took(answer, 'around');
  } catch (wrong) {
    by('around-says').textContent = told(wrong);
  }
}
