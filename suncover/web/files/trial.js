// What if: an overhang, a tree, another cloth or season for the chosen window. Today's figures stand
// beside the trial's; nothing of it is in the text before it is put there or kept by a name.

import { by, lasting, make, RESTS_MS, series, told } from './asking.js';
import { out, plus } from './geometry.js';
import { drawFront, drawSide } from './side.js';
import { treeAt } from './house.js';
import { edit, entries, freeName, indexOf, named, on, said, state, tables, theWindow, toFile, year } from './store.js';
import { daySeconds, unpacked } from './year.js';

const within = (value, least, most) => Math.min(Math.max(Math.round(value * 20) / 20, least), most);

export function trialOf({ day, iso, ofDay, drawSun }) {
  const tried = { base: null, text: null, depth: 0.5, gap: 0.2, left: null, right: null }; // and what `forget` forgets
  const what = () => by('trial-form').elements.what.value;

  function begin() {
    const window = theWindow();
    if (!window) return;
    const text = JSON.stringify([window.name, state.sound]);
    if (tried.text !== text) {
      tried.text = text;
      comparing.drop();
      by('kept').hidden = true;
      by('kept-says').textContent = '';
    }
    const base = JSON.stringify([window.name, { ...tables(), option: null }]); // kept tries change nothing
    if (state.judged.site && tried.base !== base) {
      tried.base = base;
      const roof = window.overhang;
      Object.assign(tried, roof ? { depth: roof.depth, gap: roof.gap, left: roof.left, right: roof.right } : { depth: 0.5, gap: 0.2, left: null, right: null });
      fillOthers(window);
      forget();
    }
    draw();
  }

  function forget() {
    pictures.drop();
    weighing.drop();
    Object.assign(tried, { of: null, day: null, sun: null, house: null, plan: null, weighed: null, ready: false });
    by('trial-fault').textContent = by('weigh-says').textContent = '';
  }

  const shadeOf = (window) => entries('shade').findIndex((one) => Array.isArray(one.windows) && one.windows.includes(window.name));

  function fillOthers(window) {
    const trees = by('try-tree');
    const chosen = trees.value;
    trees.replaceChildren(make('option', { value: '' }, 'a new one'), ...state.site.trees.map((tree) => make('option', { value: tree.name }, tree.name)));
    trees.value = named('trees', chosen) ? chosen : '';
    const shade = entries('shade')[shadeOf(window)];
    by('try-fabric').value = (shade && shade.fabric) || 'light';
    by('try-place').value = (shade && shade.place) || 'inside';
    const season = state.judged.tables.need?.season || ['', ''];
    [by('try-first').value, by('try-last').value] = season;
  }

  // The trial as changes of the text.
  function changes() {
    const window = theWindow();
    const index = indexOf('window', window.name);
    const set = (path, value) => ({ path, value });
    if (what() === 'overhang') {
      const roof = ['window', index, 'overhang'];
      const sides = ['left', 'right'].filter((key) => tried[key] !== null).map((key) => set([...roof, key], toFile(tried[key])));
      return [set([...roof, 'depth'], toFile(tried.depth)), set([...roof, 'gap'], toFile(tried.gap)), ...sides];
    }
    if (what() === 'tree') {
      const tree = by('try-tree').value;
      if (!tree) return [{ add: ['tree'], values: newTree(window) }];
      const own = ['tree', indexOf('tree', tree)];
      return Object.entries(grown()).map(([key, value]) => set([...own, key], value));
    }
    if (what() === 'season') return [set(['need', 'season'], [by('try-first').value.trim(), by('try-last').value.trim()])];
    const cloth = { fabric: by('try-fabric').value, place: by('try-place').value };
    const number = shadeOf(window);
    if (number < 0) return [{ add: ['shade'], values: { name: freeName('shade', `${window.name} shade`), windows: [window.name], ...cloth } }];
    return Object.entries(cloth).map(([key, value]) => set(['shade', number, key], value));
  }

  function grown() {
    return { width: toFile(Number(by('try-width').value)), top: toFile(Number(by('try-top').value)) };
  }

  // As it stands in the file, with another size; by its place on the plan, as options have no tape.
  function grownTree(raw) {
    const { trunk } = named('trees', raw.name);
    const same = Object.fromEntries(['bottom', 'leaf', 'bare', 'in_leaf'].filter((key) => key in raw).map((key) => [key, raw[key]]));
    return { name: freeName('tree', `${raw.name}, grown`), trunk, ...same, ...grown() };
  }

  function newTree(window) {
    const [away, top, width] = ['away', 'top', 'width'].map((key) => Number(by(`try-${key}`).value));
    return treeAt('a new tree', plus(window.position || [0, 0], out(window.azimuth), away), { width, bottom: top / 4, top });
  }

  function draw() {
    const window = theWindow();
    for (const part of document.querySelectorAll('[data-try]')) part.hidden = part.dataset.try !== what();
    const upright = window.tilt === 90;
    by('no-trial').hidden = upright || what() !== 'overhang';
    by('try-roof').hidden = !upright || what() !== 'overhang';
    by('no-place').hidden = Boolean(window.position) || what() !== 'tree';
    by('try-away').disabled = Boolean(by('try-tree').value);
    for (const key of ['depth', 'gap']) {
      by(key).value = tried[key];
      by(`${key}-says`).textContent = said(tried[key]);
    }
    for (const key of ['left', 'right']) {
      by(`past-${key}`).value = tried[key] ?? 3.05;
      by(`past-${key}-says`).textContent = tried[key] === null ? 'endless' : said(tried[key]);
    }
    for (const key of ['top', 'width', 'away']) by(`try-${key}-says`).textContent = said(Number(by(`try-${key}`).value));
    if (what() === 'overhang' && upright) {
      drawSide(by('side'), window, tried, (depth, gap) => move({ depth: within(depth, 0.05, 3), gap: within(gap, 0, 1.5) }));
      drawFront(by('front'), window, tried, (key, past) => move({ [key]: within(past, 0, 3) }));
    }
    by('keep').disabled = what() === 'season';
    by('keep-says').hidden = what() !== 'season';
    figures();
  }

  const trying = () => ({ text: state.sound, changes: changes(), window: state.window });

  function move(values) {
    Object.assign(tried, values);
    draw();
    const asking = trying();
    const of = JSON.stringify(asking.changes);
    if (of === tried.of) return;
    by('trial-form').dataset.of = of;
    weighing.drop();
    Object.assign(tried, { of, weighed: null });
    by('trial-fault').textContent = by('weigh-says').textContent = '';
    pictures.take({ asking, day: iso(day()), of });
  }

  const pictures = series({
    quick: [
      {
        ask: (one) => ['day', { ...one.asking, day: one.day }],
        draw: (found, one) => show({ day: { ...found, day: one.day, of: one.of }, ready: true }),
      },
      yearOf(true),
    ],
    late: [
      { ask: ({ asking }) => ['house', { ...asking, year }], draw: (house, { of }) => show({ house: { ...house, of } }) },
      { rest: RESTS_MS, ...yearOf(false) },
      { ask: ({ asking }) => ['closed', { ...asking, year }], draw: (plan) => show({ plan }) },
    ],
  }, (wrong) => (by('trial-fault').textContent = told(wrong)));

  function yearOf(rough) {
    return {
      ask: ({ asking }) => ['sun', { ...asking, year, rough }],
      draw: (sun, { of }) => show({ sun: unpacked(sun, of), day: null, ...(rough ? { house: null, plan: null } : {}) }),
    };
  }

  function show(found) {
    Object.assign(tried, found);
    figures();
    drawSun();
  }

  function figures() {
    if (!state.site) return;
    const number = (value, digits = 0) => (value === undefined ? '–' : value.toFixed(digits));
    const now = state.sun;
    const all = (house) => house && number(Object.values(house.sun_h).reduce((sum, hours) => sum + hours, 0));
    const onDay = (one, sun) => {
      const here = ofDay(one, sun);
      return here && lasting(daySeconds(here, day()));
    };
    const rows = [
      ['Sun on that day', onDay(state.oneDay, now), onDay(tried.day, tried.sun)],
      ['Hours of sun in the year', now && number(now.sun_h), tried.sun && number(tried.sun.sun_h)],
      ['Of all windows together', all(state.house), all(tried.house)],
      ['Sun on the glass under clear skies, kWh', now && number(now.clear_kwh), tried.sun && number(tried.sun.clear_kwh)],
      ['Closings in the year', state.plan && number(state.plan.closings), tried.plan && number(tried.plan.closings)],
      ['Hours closed in the year', state.plan && number(state.plan.closed_h), tried.plan && number(tried.plan.closed_h)],
      ...(tried.weighed ? weighedRows(tried.weighed) : []),
    ];
    by('figures').tBodies[0].replaceChildren(
      ...rows.map(([name, one, then]) => make('tr', {}, make('th', { scope: 'row' }, name), make('td', {}, one || '–'), make('td', {}, then || '–'))),
    );
    by('figures').dataset.of = tried.house ? tried.house.of : '';
    by('weigh').disabled = by('adopt').disabled = !tried.ready;
  }

  function weighedRows({ options, currency }) {
    const [now, then] = options.map((one) => one.window);
    return [
      ['Sun and sky into the room, kWh a year', now.admitted_kwh.toFixed(0), then.admitted_kwh.toFixed(0)],
      ['Kept out on hot days, kWh', '', range(then.kept_out_on_cooling_days_kwh)],
      ['Lost on cold days, kWh', '', range(then.lost_on_heating_days_kwh)],
      ['Worth a year', '', then.worth_a_year ? money(then.worth_a_year, currency) : 'no price in [money]'],
    ];
  }

  const weighing = series({
    quick: [
      {
        ask: (asking) => ['weigh', asking],
        draw: (weighed) => {
          tried.weighed = weighed;
          by('weigh-says').textContent = [weighed.source, ...weighed.remarks, ...weighed.assumptions].join('. ');
          figures();
        },
      },
    ],
  }, (wrong) => {
    by('weigh-says').textContent = '';
    by('trial-fault').textContent = told(wrong);
  });

  function weigh() {
    by('weigh-says').textContent = 'weighing: a year of weather through every window takes some seconds';
    weighing.take(trying());
  }

  // A trial as an [[option]]: what the comparison holds beside what stands.
  function keep() {
    const name = by('keep-name').value.trim() || freeName('option', `${state.window}, ${what()}`);
    const values = { name, windows: [state.window] };
    if (what() === 'overhang') {
      values.overhang = { depth: toFile(tried.depth), gap: toFile(tried.gap) };
      for (const key of ['left', 'right']) if (tried[key] !== null) values.overhang[key] = toFile(tried[key]);
    } else if (what() === 'cloth') Object.assign(values, { fabric: by('try-fabric').value, place: by('try-place').value });
    else {
      const raw = entries('tree')[indexOf('tree', by('try-tree').value)];
      delete values.windows;
      values.tree = raw ? grownTree(raw) : newTree(theWindow());
    }
    by('keep-name').value = '';
    edit([{ add: ['option'], values }], `keep ${name}`, { failed: (words) => (by('trial-fault').textContent = words) });
  }

  const comparing = series({ quick: [{ ask: (asking) => ['weigh', asking], draw: showKept }] }, (wrong) => (by('kept-says').textContent = told(wrong)));

  function showKept({ options, currency, source, remarks }) {
    const row = ({ option, window, house }) => make('tr', {}, make('th', { scope: 'row' }, option), ...[
      window.admitted_kwh.toFixed(0), window.closed_h.toFixed(0), range(house.kept_out_on_cooling_days_kwh), range(house.lost_on_heating_days_kwh),
      house.worth_a_year ? money(house.worth_a_year, currency) : '–',
    ].map((words) => make('td', {}, words)));
    by('kept').tBodies[0].replaceChildren(...options.map(row));
    by('kept').hidden = false;
    by('kept-says').textContent = [source, ...remarks].join('. ');
  }

  function compare() {
    by('kept-says').textContent = 'comparing';
    comparing.take({ text: state.sound, window: state.window });
  }

  for (const key of ['depth', 'gap']) by(key).addEventListener('input', () => move({ [key]: Number(by(key).value) }));
  for (const key of ['left', 'right']) {
    const field = by(`past-${key}`);
    field.addEventListener('input', () => move({ [key]: Number(field.value) > 3 ? null : Number(field.value) }));
  }
  for (const key of ['top', 'width', 'away', 'fabric', 'place', 'first', 'last']) by(`try-${key}`).addEventListener('input', () => move({}));
  by('try-tree').addEventListener('change', () => {
    const tree = named('trees', by('try-tree').value);
    if (tree) [by('try-top').value, by('try-width').value] = [tree.top, tree.width];
    move({});
  });
  by('trial-form').addEventListener('submit', (event) => event.preventDefault());
  for (const choice of by('trial-form').elements.what) choice.addEventListener('change', () => {
    forget();
    draw();
    drawSun();
  });
  by('adopt').addEventListener('click', () => edit(changes(), 'adopt', { failed: (words) => (by('trial-fault').textContent = words) }));
  by('weigh').addEventListener('click', weigh);
  by('keep').addEventListener('click', keep);
  by('compare').addEventListener('click', compare);
  on('site', begin);
  on('window', begin);
  return {
    figures,
    redraw: () => theWindow() && draw(),
    get sun() { return tried.sun; },
    get day() { return tried.day; },
    get plan() { return tried.plan; },
  };
}

const short = (value) => (value === null ? '∞' : Math.abs(value) >= 10 ? value.toFixed(0) : value.toFixed(1).replace(/^-0\.0$/, '0.0'));
const between = (pair, words) => {
  if (!pair) return '–';
  const [low, high] = pair.map(words);
  return low === high ? low : `${low} to ${high}`;
};
const range = (pair) => between(pair, (value) => short(value).replace('-', '−'));
const money = (pair, currency) => between(pair, (value) => (short(value).startsWith('-') ? `−${currency}${short(-value)}` : `${currency}${short(value)}`));
