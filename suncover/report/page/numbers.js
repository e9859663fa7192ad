"use strict";
// The first of three parts of the page's script, which are put together in this order: numbers.js,
// pictures.js, page.js. Here are the numbers packed into the page, words, and tools to draw with.
//
// Moves the pictures: reads the numbers packed into the page and draws what the program would.
// Times are those of the home's clock, as numbers since midnight; the reader's clock plays no part
// but for what comes next.
(async () => {
  const facts = JSON.parse(document.getElementById("facts").textContent);
  const numbers = await unpack(document.getElementById("numbers").textContent.trim(), facts.arrays);
  const SVG = "http://www.w3.org/2000/svg", SLOTS = 48, SLOT = 1800, CELLS = 144, CELL = 600, DAY = 86400;
  const MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split(" ");
  const WEEKDAYS = "Sun Mon Tue Wed Thu Fri Sat".split(" ");
  const rad = Math.PI / 180, { steps, layout } = facts;

  // As `pack.py` writes them: five letters of 85 are four bytes, all of it compressed.
  async function unpack(packed, arrays) {
    const LETTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz!#$%&()*+-;,=>?@^_`{|}~";
    const [bytes, text] = packed.split(" "), digit = {};
    [...LETTERS].forEach((letter, i) => (digit[letter] = i));
    const view = new DataView(new ArrayBuffer((text.length / 5) * 4));
    for (let at = 0; at < text.length; at += 5) {
      let word = 0;
      for (let i = at; i < at + 5; i++) word = word * 85 + digit[text[i]];
      view.setUint32((at / 5) * 4, word);
    }
    const stream = new Blob([new Uint8Array(view.buffer, 0, Number(bytes))]).stream();
    const plain = stream.pipeThrough(new DecompressionStream("deflate"));
    const buffer = await new Response(plain).arrayBuffer();
    const kinds = { u1: Uint8Array, u2: Uint16Array, i2: Int16Array, i4: Int32Array };
    const lists = {};
    let at = 0;
    for (const [name, kind, count, row] of arrays) {
      const values = new kinds[kind](buffer, at, count);
      if (row) for (let i = 1; i < count; i++) values[i] += values[i - 1];
      if (row > 1) for (let i = row; i < count; i++) values[i] += values[i - row];
      at += count * values.BYTES_PER_ELEMENT;
      lists[name] = values;
    }
    return lists;
  }

  // Where each day's, or each key's, part of a list begins.
  const begins = (counts) => {
    const starts = new Uint32Array(counts.length + 1);
    counts.forEach((count, i) => (starts[i + 1] = starts[i] + count));
    return starts;
  };
  const spansOf = (name) => {
    const start = numbers[name + ".start"], end = numbers[name + ".end"], first = begins(numbers[name + ".count"]);
    return (day) => {
      const spans = [];
      for (let i = first[day]; i < first[day + 1]; i++) spans.push([start[i], end[i]]);
      return spans;
    };
  };
  const up = spansOf("up");
  const sun = facts.windows.map((_, n) => spansOf("sun" + n));
  const closed = facts.windows.map((w) => (w.shade === null ? () => [] : spansOf("closed" + w.shade)));
  const spotSun = facts.spots.map((_, n) => spansOf("spot" + n));
  const holds = (list, slot) => list.some(([a, b]) => a <= slot * SLOT && slot * SLOT < b);
  const isLit = (n, day, slot) => holds(sun[n](day), slot);
  const onSpot = (n, day, slot) => holds(spotSun[n](day), slot);
  const patches = facts.windows.map((_, n) => patchesOf("patch" + n));

  function patchesOf(name) {
    const keys = numbers[name + ".key"], points = begins(numbers[name + ".points"]);
    const rings = begins(numbers[name + ".rings"]);
    const inward = numbers[name + ".inward"], right = numbers[name + ".right"];
    // Rings in a row with as many points each: point by point, as what differs from ring to ring.
    for (let r = 0, next; r + 1 < points.length; r = next) {
      const many = points[r + 1] - points[r], from = points[r];
      for (next = r + 1; next + 1 < points.length && points[next + 1] - points[next] === many; ) next++;
      for (const values of [inward, right]) {
        const steps = values.slice(from, points[next]), rings = next - r;
        for (let p = 0; p < many; p++)
          for (let i = 0, sum = 0; i < rings; i++) values[from + i * many + p] = sum += steps[p * rings + i];
      }
    }
    const numberOf = new Map();
    keys.forEach((key, i) => numberOf.set(key, i));
    return (day, slot) => {
      const i = numberOf.get(slot * 366 + day), patch = [];
      if (i === undefined) return patch;
      for (let r = rings[i]; r < rings[i + 1]; r++) {
        const ring = [];
        for (let p = points[r]; p < points[r + 1]; p++) ring.push([inward[p] * steps.patch, right[p] * steps.patch]);
        patch.push(ring);
      }
      return patch;
    };
  }

  const azimuth = (day, slot) => numbers.azimuth[day * SLOTS + slot] * steps.angle;
  const elevation = (day, slot) => numbers.elevation[day * SLOTS + slot] * steps.angle;
  const powerIn = (n, day, cell) => numbers["power" + n][day * CELLS + cell] * steps.power;
  const power = (n, day, slot) => powerIn(n, day, slot * (SLOT / CELL));
  const strongest = (n, day) =>
    Math.max(...numbers["power" + n].subarray(day * CELLS, (day + 1) * CELLS)) * steps.power;

  // Words.
  const two = (value) => String(value).padStart(2, "0");
  const clock = (seconds) => two(Math.floor(seconds / 3600)) + ":" + two(Math.floor(seconds / 60) % 60);
  const spans = (list) => list.map(([a, b]) => clock(a) + "–" + clock(b)).join(", ");
  const date = (day) => new Date(Date.UTC(facts.first[0], facts.first[1] - 1, facts.first[2] + day));
  const dateWords = (day) => date(day).getUTCDate() + " " + MONTHS[date(day).getUTCMonth()];
  const duration = (seconds) => {
    const minutes = Math.floor((seconds + 1e-3) / 60), hours = Math.floor(minutes / 60), left = minutes % 60;
    if (!minutes) return seconds ? "less than a minute" : "none";
    return !hours ? left + " min" : left ? hours + " h " + left + " min" : hours + " h";
  };
  const metres = (value, units) => {
    const minus = value < 0 ? "\u2212" : "";
    if (units === "metric") return minus + Math.abs(value).toFixed(2) + " m";
    const halves = Math.round((Math.abs(value) / 0.0254) * 2), feet = Math.floor(halves / 24);
    const whole = Math.floor((halves % 24) / 2), half = halves % 2;
    const inches = (whole || !half ? String(whole) : "") + (half ? "\u00bd" : "");
    const sign = halves ? minus : "";
    if (!feet) return sign + inches + " in";
    return sign + feet + " ft" + (inches === "0" ? "" : " " + inches + " in");
  };

  // Drawing.
  const short = (value, digits = 1) => String(Number(value.toFixed(digits)) || 0);
  const path = (points, close) =>
    points.length ? "M" + points.map(([x, y]) => short(x) + " " + short(y)).join("L") + (close ? "Z" : "") : "";
  const make = (name, attributes, words) => {
    const element = document.createElementNS(SVG, name);
    for (const key in attributes) element.setAttribute(key, attributes[key]);
    if (words !== undefined) element.textContent = words;
    return element;
  };
  const scale = (low, high, start, end) => (value) => start + ((value - low) / (high - low)) * (end - start);
  const turned = (side) => ((((side + 180) % 360) + 360) % 360) - 180;
  // Room for words: as `pictures/labels.py` in the program.
  const { letter: LETTER, tall: TALL, room: ROOM, wide: WIDE_ROOM } = layout.labels;
  const namesOf = (figure, name) =>
    [...part(figure, name).children].map((element) => {
      const width = LETTER * element.textContent.length, x = Number(element.getAttribute("x"));
      const left = x - (element.classList.contains("m") ? width / 2 : element.classList.contains("e") ? width : 0);
      return { left, right: left + width, y: Number(element.getAttribute("y")) };
    });
  const hourWord = (hour, places, taken, [across, up] = ROOM) => {
    for (const [x, y] of places) {
      const half = (LETTER * String(hour).length) / 2;
      const crowds = (word) =>
        word.hour
          ? Math.abs(word.x - x) < across && Math.abs(word.y - y) < up
          : Math.abs(word.y - y) < TALL && x - half < word.right && word.left < x + half;
      if (taken.some(crowds)) continue;
      taken.push({ hour: true, x, y });
      return [make("text", { x: short(x, 2), y: short(y, 2), class: "t m sunt halo" }, hour)];
    }
    return [];
  };
  const hourDot = ([x, y], radius, lit) =>
    make("circle", { cx: short(x, 2), cy: short(y, 2), r: radius, class: lit ? "dot" : "ring" });
  const clockX = scale(...layout.clock);
  const moveTo = (mark, x) => mark.setAttribute("transform", `translate(${short(x, 2)} 0)`);
  const moveDisc = (mark, at) => {
    mark.setAttribute("visibility", at ? "visible" : "hidden");
    if (at) ["cx", "cy"].forEach((name, i) => mark.setAttribute(name, short(at[i], 2)));
  };
  const part = (figure, name) => figure.querySelector(`[data-part=${name}]`);
