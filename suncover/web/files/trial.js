// An overhang tried on the chosen window: today's sun against the trial's, nothing of it in the file.

import { after, asked, by, lasting, latest, make } from './asking.js';
import { drawSide } from './side.js';
import { daySeconds, unpacked } from './year.js';

const within = (value, least, most) => Math.min(Math.max(Math.round(value * 20) / 20, least), most);

export function trialOf({ state, year, day, drawYear, adopt }) {
  const tried = { window: null, base: null, depth: 0.5, gap: 0.2, text: null, sun: null, plan: null, heat: null };

  function begin(window) {
    const key = JSON.stringify(window);
    if (tried.window !== key) {
      tried.window = key;
      tried.depth = window.overhang ? window.overhang.depth : 0.5;
      tried.gap = window.overhang ? window.overhang.gap : 0.2;
    }
    if (tried.base !== state.sound + key) {
      tried.base = state.sound + key;
      forget();
    }
    draw();
  }

  function forget() {
    tried.text = tried.sun = tried.plan = tried.heat = null;
    by('trial-fault').textContent = '';
  }

  const theWindow = () => state.site.windows.find((window) => window.name === state.window);

  function draw() {
    const upright = theWindow().tilt === 90;
    by('trial').hidden = !upright;
    by('no-trial').hidden = upright;
    by('depth').value = tried.depth;
    by('gap').value = tried.gap;
    by('depth-says').textContent = `${tried.depth.toFixed(2)} m`;
    by('gap-says').textContent = `${tried.gap.toFixed(2)} m`;
    drawSide(by('side'), theWindow(), tried, move);
    figures();
  }

  function move(depth, gap) {
    tried.depth = within(depth, 0.05, 3);
    tried.gap = within(gap, 0, 1.5);
    forget();
    draw();
    load();
  }

  const load = latest(async () => {
    const index = state.site.windows.findIndex((window) => window.name === state.window);
    const asking = { window: state.window, year };
    const { base, depth, gap } = tried;
    const still = () => base === tried.base && depth === tried.depth && gap === tried.gap;
    try {
      const roof = ['window', index, 'overhang'];
      const changes = [{ path: [...roof, 'depth'], value: depth }, { path: [...roof, 'gap'], value: gap }];
      const changed = await asked('change', { text: state.sound, changes });
      if (!still()) return;
      if (changed.faults.length) {
        by('trial-fault').textContent = changed.faults.map((fault) => `${fault.place}: ${fault.message}`).join(' ');
        return;
      }
      const sun = await asked('sun', { ...asking, text: changed.text });
      if (!still()) return;
      sun.watts = unpacked(sun.power);
      Object.assign(tried, { text: changed.text, sun });
      figures();
      drawYear();
      settled(still, { ...asking, text: changed.text });
    } catch (wrong) {
      by('trial-fault').textContent = wrong.message;
    }
  });

  // The plan of the whole house takes longer than the sun of one window: when the hand rests.
  const settled = after(250, async (still, asking) => {
    if (!still()) return;
    try {
      const plan = await asked('closed', asking);
      if (!still()) return;
      tried.plan = plan;
      figures();
    } catch (wrong) {
      by('trial-fault').textContent = wrong.message;
    }
  });

  function figures() {
    if (!state.site) return;
    const number = (value, digits = 0) => (value === undefined ? '–' : value.toFixed(digits));
    const today = state.sun;
    const rows = [
      ['Sun on that day', today && lasting(daySeconds(today, day())), tried.sun && lasting(daySeconds(tried.sun, day()))],
      ['Hours of sun in the year', today && number(today.sun_h), tried.sun && number(tried.sun.sun_h)],
      ['Sun on the glass under clear skies, kWh', today && number(today.clear_kwh), tried.sun && number(tried.sun.clear_kwh)],
      ['Closings in the year', state.plan && number(state.plan.closings), tried.plan && number(tried.plan.closings)],
      ['Hours closed in the year', state.plan && number(state.plan.closed_h), tried.plan && number(tried.plan.closed_h)],
    ];
    if (tried.heat) rows.push(['Sun into the room in the weather year, kWh', number(tried.heat[0]), number(tried.heat[1])]);
    by('figures').tBodies[0].replaceChildren(
      ...rows.map(([name, now, then]) => make('tr', {}, make('th', { scope: 'row' }, name), make('td', {}, now || '–'), make('td', {}, then || '–'))),
    );
    by('weigh').hidden = !state.site.weather;
    by('weigh').disabled = by('adopt').disabled = !tried.text;
  }

  by('depth').addEventListener('input', () => move(Number(by('depth').value), tried.gap));
  by('gap').addEventListener('input', () => move(tried.depth, Number(by('gap').value)));
  by('adopt').addEventListener('click', () => adopt(tried.text));
  by('weigh').addEventListener('click', async () => {
    const { text } = tried;
    by('weigh').disabled = true;
    try {
      const now = await asked('heat', { text: state.sound, window: state.window });
      const then = await asked('heat', { text, window: state.window });
      if (text === tried.text) tried.heat = [now.admitted_kwh, then.admitted_kwh];
    } catch (wrong) {
      by('trial-fault').textContent = wrong.message;
    }
    figures();
  });

  return { begin, figures, get sun() { return tried.sun; } };
}
