// The interface: questions by name, answers as JSON. All that is known of the sun comes from here.

export class Refused extends Error {
  constructor(status, answer) {
    super(answer.error || `the program answers ${status}`);
    this.status = status;
    this.answer = answer;
  }
}

export async function asked(name, fields = {}) {
  let response;
  try {
    response = await fetch(`api/${name}`, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify(fields),
    });
  } catch {
    throw new Refused(0, { error: 'the program has ended; copy the text below if it is not saved, and start it again' });
  }
  const answer = await response.json();
  if (!response.ok) throw new Refused(response.status, answer);
  return answer;
}

// What a request refused is told by: its faults, where there are some.
export const told = (wrong) =>
  wrong.answer && wrong.answer.faults && wrong.answer.faults.length
    ? wrong.answer.faults.map((fault) => [fault.place, fault.message].filter(Boolean).join(': ')).join(' ')
    : wrong.message;

// Runs one job at a time and, of those that come meanwhile, only the last.
export function latest(job) {
  let running = false;
  let next = null;
  return async function run(...given) {
    next = given;
    if (running) return;
    running = true;
    try {
      while (next) {
        const now = next;
        next = null;
        await job(...now);
      }
    } finally {
      running = false;
    }
  };
}

export function after(milliseconds, job) {
  let timer = 0;
  return (...given) => {
    clearTimeout(timer);
    timer = setTimeout(() => job(...given), milliseconds);
  };
}

export const by = (id) => document.getElementById(id);

export function make(tag, attributes = {}, ...children) {
  const svg = ['svg', 'g', 'path', 'rect', 'circle', 'line', 'polygon', 'polyline', 'text', 'title'].includes(tag);
  const element = svg
    ? document.createElementNS('http://www.w3.org/2000/svg', tag)
    : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== null && value !== undefined && value !== false) element.setAttribute(name, value);
  }
  element.append(...children);
  return element;
}

export const clock = (seconds) => {
  const minutes = Math.floor(seconds / 60);
  const two = (number) => String(number).padStart(2, '0');
  return `${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
};

export const lasting = (seconds) => {
  const minutes = Math.round(seconds / 60);
  return minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
};
