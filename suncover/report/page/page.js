"use strict";
// Moves the pictures: reads the numbers packed into the page and draws what the program would.
// Times are those of the home's clock, as numbers since midnight; the reader's clock plays no part
// but for what comes next.
(async () => {
  const facts = JSON.parse(document.getElementById("facts").textContent);
  const numbers = await unpack(document.getElementById("numbers").textContent.trim(), facts.arrays);
  const SVG = "http://www.w3.org/2000/svg", SLOTS = 48, CELLS = 144, CELL = 600, DAY = 86400;
  const MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split(" ");
  const WEEKDAYS = "Sun Mon Tue Wed Thu Fri Sat".split(" ");
  const rad = Math.PI / 180, { steps, layout } = facts;

  // As `pack.py` writes them: five letters of 85 are four bytes, all of it compressed.
  async function unpack(packed, arrays) {
    const LETTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz!#$%&()*+-;,=>?@^_`{|}~";
    const [bytes, text] = packed.split(" "), place = {};
    [...LETTERS].forEach((letter, i) => (place[letter] = i));
    const view = new DataView(new ArrayBuffer((text.length / 5) * 4));
    for (let at = 0; at < text.length; at += 5) {
      let word = 0;
      for (let i = at; i < at + 5; i++) word = word * 85 + place[text[i]];
      view.setUint32((at / 5) * 4, word);
    }
    const stream = new Blob([new Uint8Array(view.buffer, 0, Number(bytes))]).stream();
    const plain = stream.pipeThrough(new DecompressionStream("deflate"));
    const buffer = await new Response(plain).arrayBuffer();
    const kinds = { u1: Uint8Array, u2: Uint16Array, i2: Int16Array, i4: Int32Array };
    const found = {};
    let at = 0;
    for (const [name, kind, count, row] of arrays) {
      const values = new kinds[kind](buffer, at, count);
      if (row) for (let i = 1; i < count; i++) values[i] += values[i - 1];
      if (row > 1) for (let i = row; i < count; i++) values[i] += values[i - row];
      at += count * values.BYTES_PER_ELEMENT;
      found[name] = values;
    }
    return found;
  }

  // Where each day's, or each key's, part of a list begins.
  const begins = (counts) => {
    const found = new Uint32Array(counts.length + 1);
    counts.forEach((count, i) => (found[i + 1] = found[i] + count));
    return found;
  };
  const spansOf = (name) => {
    const start = numbers[name + ".start"], end = numbers[name + ".end"], first = begins(numbers[name + ".count"]);
    return (day) => {
      const found = [];
      for (let i = first[day]; i < first[day + 1]; i++) found.push([start[i], end[i]]);
      return found;
    };
  };
  const up = spansOf("up");
  const sun = facts.windows.map((_, n) => spansOf("sun" + n));
  const closed = facts.windows.map((w) => (w.shade === null ? () => [] : spansOf("closed" + w.shade)));
  const spotSun = facts.spots.map((_, n) => spansOf("spot" + n));
  const onSpot = (n, day, slot) => spotSun[n](day).some(([a, b]) => a <= slot * 1800 && slot * 1800 < b);
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
    const place = new Map();
    keys.forEach((key, i) => place.set(key, i));
    return (day, slot) => {
      const i = place.get(slot * 366 + day), found = [];
      if (i === undefined) return found;
      for (let r = rings[i]; r < rings[i + 1]; r++) {
        const ring = [];
        for (let p = points[r]; p < points[r + 1]; p++) ring.push([inward[p] * steps.patch, right[p] * steps.patch]);
        found.push(ring);
      }
      return found;
    };
  }

  const azimuth = (day, slot) => numbers.azimuth[day * SLOTS + slot] * steps.angle;
  const elevation = (day, slot) => numbers.elevation[day * SLOTS + slot] * steps.angle;
  const powerIn = (n, day, cell) => numbers["power" + n][day * CELLS + cell] * steps.power;
  const power = (n, day, slot) => powerIn(n, day, slot * 3);
  const strongest = (n, day) =>
    Math.max(...numbers["power" + n].subarray(day * CELLS, (day + 1) * CELLS)) * steps.power;
  const isLit = (n, day, slot) => sun[n](day).some(([a, b]) => a <= slot * 1800 && slot * 1800 < b);

  // Words.
  const two = (value) => String(value).padStart(2, "0");
  const clock = (seconds) => two(Math.floor(seconds / 3600)) + ":" + two(Math.floor(seconds / 60) % 60);
  const spans = (list) => list.map(([a, b]) => clock(a) + "–" + clock(b)).join(", ");
  const date = (day) => new Date(Date.UTC(facts.first[0], facts.first[1] - 1, facts.first[2] + day));
  const dateWords = (day) => date(day).getUTCDate() + " " + MONTHS[date(day).getUTCMonth()];
  const duration = (seconds) => {
    const minutes = Math.floor((seconds + 1e-3) / 60), hours = Math.floor(minutes / 60), rest = minutes % 60;
    if (!minutes) return seconds ? "less than a minute" : "none";
    return !hours ? rest + " min" : rest ? hours + " h " + rest + " min" : hours + " h";
  };
  const metres = (value, units) => {
    const minus = value < 0 ? "\u2212" : "";
    if (units === "metric") return minus + Math.abs(value).toFixed(2) + " m";
    const halves = Math.round((Math.abs(value) / 0.0254) * 2), feet = Math.floor(halves / 24);
    const rest = halves % 24, whole = Math.floor(rest / 2);
    const inches = (whole || !(rest % 2) ? String(whole) : "") + (rest % 2 ? "\u00bd" : "");
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
  // Room for words: as `labels.py` in the program.
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
      const crowds = (other) =>
        other.hour
          ? Math.abs(other.x - x) < across && Math.abs(other.y - y) < up
          : Math.abs(other.y - y) < TALL && x - half < other.right && other.left < x + half;
      if (taken.some(crowds)) continue;
      taken.push({ hour: true, x, y });
      return [make("text", { x: short(x, 2), y: short(y, 2), class: "t m sunt halo" }, hour)];
    }
    return [];
  };
  const clockX = scale(...layout.clock);
  const moveTo = (mark, x) => mark.setAttribute("transform", `translate(${short(x, 2)} 0)`);
  const moveDisc = (mark, at) => {
    mark.setAttribute("visibility", at ? "visible" : "hidden");
    if (at) ["cx", "cy"].forEach((name, i) => mark.setAttribute(name, short(at[i], 2)));
  };
  const part = (figure, name) => figure.querySelector(`[data-part=${name}]`);

  function drawYear(figure, n, day) {
    moveTo(part(figure, "mark"), scale(...layout.days)(day + 0.5));
  }

  const boxes = (list) =>
    list
      .map(([a, b]) => `M${short(clockX(a))} ${layout.day[1]}H${short(clockX(b))}V${layout.day[0]}H${short(clockX(a))}Z`)
      .join("");

  function drawDay(figure, n, day, slot) {
    const y = scale(0, facts.windows[n].power, ...layout.day);
    const night = [];
    let at = 0;
    for (const [a, b] of up(day).sort((one, other) => one[0] - other[0])) {
      if (a > at) night.push([at, a]);
      at = Math.max(at, b);
    }
    if (at < DAY) night.push([at, DAY]);
    let area = "";
    for (const [a, b] of sun[n](day)) {
      area += `M${short(clockX(a))} ${layout.day[0]}`;
      for (let cell = Math.floor(a / CELL); cell < Math.min(Math.ceil(b / CELL), CELLS); cell++) {
        const end = Math.min((cell + 1) * CELL, b);
        area += `V${short(y(powerIn(n, day, cell)))}H${short(clockX(end))}`;
      }
      area += `V${layout.day[0]}Z`;
    }
    part(figure, "night").setAttribute("d", boxes(night));
    part(figure, "wash").setAttribute("d", boxes(closed[n](day)));
    part(figure, "edge").setAttribute("d", boxes(closed[n](day)));
    part(figure, "sun").setAttribute("d", area);
    part(figure, "doubt").setAttribute("d", boxes(doubtful(n, day)));
    moveTo(part(figure, "time"), clockX(slot * 1800));
  }

  const way = (side, height) => [
    Math.cos(height * rad) * Math.sin(side * rad),
    Math.cos(height * rad) * Math.cos(side * rad),
    Math.sin(height * rad),
  ];

  function drawSky(figure, n, day, slot) {
    const { azimuth: facing, around } = facts.windows[n], sky = layout.sky, STEPS = sky.steps;
    const x = scale(-around, around, ...layout.sides), y = scale(...sky.up);
    let line = "", drawing = false, last = 0;
    const ends = day + 1 < facts.days ? SLOTS : SLOTS - 1; // on to midnight, where it is known
    for (let s = 0; s < ends; s++) {
      const a = way(azimuth(day, s) - facing, elevation(day, s));
      const b = way(azimuth(day, s + 1) - facing, elevation(day, s + 1));
      for (let step = 0; step < STEPS; step++) {
        const share = step / STEPS, [e, m, u] = a.map((v, i) => v * (1 - share) + b[i] * share);
        const side = Math.atan2(e, m) / rad, height = Math.atan2(u, Math.hypot(e, m)) / rad;
        const seen = height > 0 && side >= -around && side <= around;
        if (!seen || Math.abs(side - last) > 180) drawing = false;
        if (seen) {
          line += (drawing ? "L" : "M") + short(x(side)) + " " + short(y(height));
          drawing = true;
        }
        last = side;
      }
    }
    part(figure, "path").setAttribute("d", line);
    const place = (s) => {
      const height = elevation(day, s), side = turned(azimuth(day, s) - facing);
      return height > 0 && side >= -around && side <= around ? [x(side), y(height)] : null;
    };
    const drawn = [], taken = namesOf(figure, "names");
    for (let s = 0; s < SLOTS; s += 2) {
      const at = place(s);
      if (!at) continue;
      const style = isLit(n, day, s) ? "dot" : "ring";
      drawn.push(make("circle", { cx: short(at[0], 2), cy: short(at[1], 2), r: sky.dot, class: style }));
      drawn.push(...hourWord(s / 2, [[at[0], at[1] + sky.below], [at[0], at[1] - sky.above]], taken, WIDE_ROOM));
    }
    part(figure, "hours").replaceChildren(...drawn);
    moveDisc(part(figure, "now"), place(slot));
  }

  // The sun in the plane of the cut: as `beam_of` in the program.
  function beamOf(w, side, height) {
    const tilt = w.tilt * rad, out = Math.cos(height * rad) * Math.cos(side * rad), rise = Math.sin(height * rad);
    const away = out * Math.sin(tilt) + rise * Math.cos(tilt);
    if (height <= 0 || away <= 0) return null;
    const q = (-out * Math.cos(tilt) + rise * Math.sin(tilt)) / away;
    let high = Math.min(w.height, w.height - q * w.reveal);
    if (w.tip) high = Math.min(high, w.tip[0] - q * w.tip[1]);
    return { out, up: rise, low: Math.max(0, -q * w.reveal), high };
  }

  // The line above a picture of one time: as `moment.py`.
  function drawMoment(figure, n, day, slot) {
    part(figure, "when").textContent = `${dateWords(day)}, ${clock(slot * 1800)}`;
    const deepest = Math.max(...patches[n](day, slot).flat().map(([inward]) => inward));
    const words = metres(deepest, document.documentElement.dataset.units);
    const length = make("tspan", { "data-m": deepest.toFixed(4) }, words);
    const reaches = deepest < facts.deep ? "reaches " : "reaches over ";
    part(figure, "reach").replaceChildren(...(deepest > -Infinity ? [reaches, length] : [facts.noSun]));
  }

  function drawSide(figure, n, day, slot) {
    drawMoment(figure, n, day, slot);
    const w = facts.windows[n], tilt = w.tilt * rad, [left, right, low, high] = w.bounds;
    const { corner: [inmost, lowest], short: less } = layout.side;
    const at = (along) => [-along * Math.cos(tilt), w.sill + along * Math.sin(tilt)];
    const paper = ([out, rise]) => [inmost - (out - left) * w.scale, lowest - (rise - low) * w.scale];
    const until = (start, go, box) => {
      const steps = [];
      for (const i of [0, 1]) {
        const speed = go[i], ends = i ? [box[2], box[3]] : [box[0], box[1]];
        if (Math.abs(speed) > 1e-9) steps.push(Math.max((ends[speed > 0 ? 1 : 0] - start[i]) / speed, 0));
      }
      const step = steps.length ? Math.min(...steps) : 0;
      return [start[0] + step * go[0], start[1] + step * go[1]];
    };
    const ray = (beam, along) => {
      const start = at(along);
      return [
        until(start, [beam.out, beam.up], [left, right, low, high - less]),
        start,
        until(start, [-beam.out, -beam.up], [left, right, 0, high]),
      ];
    };
    const beam = beamOf(w, azimuth(day, slot) - w.azimuth, elevation(day, slot));
    const enters = beam && beam.high > beam.low && isLit(n, day, slot);
    // Between a ray that leaves by the side and one by floor or top, the corner is lit too.
    const corner = (one, other) => {
      const aside = ([out]) => Math.min(out - left, right - out) < 1e-9;
      if (aside(one) === aside(other)) return [];
      return [aside(one) ? [one[0], other[1]] : [other[0], one[1]]];
    };
    const band = [];
    if (enters) {
      const upper = ray(beam, beam.high), lower = ray(beam, beam.low);
      band.push(...upper, ...corner(upper[2], lower[2]), ...lower.reverse(), ...corner(lower[2], upper[0]));
    }
    part(figure, "beam").setAttribute("d", path(band.map(paper), true));
    // The ray past the upper limit of what is lit: to the glass, or else to the wall's face.
    const limit = () => {
      if (beam.high > beam.low) return ray(beam, beam.high).slice(0, 2);
      const step = w.reveal / (beam.out * Math.sin(tilt) + beam.up * Math.cos(tilt)), deep = at(beam.high);
      let face = [deep[0] + step * beam.out, deep[1] + step * beam.up];
      const lift = Math.max((low - face[1]) / beam.up, 0); // it meets the ground before the wall
      face = [face[0] + lift * beam.out, face[1] + lift * beam.up];
      return [until(face, [beam.out, beam.up], [left, right, low, high - less]), face];
    };
    part(figure, "ray").setAttribute("d", beam ? path(limit().map(paper)) : "");
    const angle = beam && Math.atan2(beam.up, beam.out) / rad;
    part(figure, "angle").textContent = !beam
      ? "sun not in front"
      : angle <= 90 ? `rays at ${Math.round(angle)}°` : `rays at ${Math.round(180 - angle)}°, over the house`;
  }

  // Where a patch's hour may stand, first where the fewest others lie: as `label_places`.
  function labelPlaces(rings, others) {
    const deepest = (ring) => Math.max(...ring.map((point) => point[0]));
    const ring = rings.reduce((one, other) => (deepest(other) > deepest(one) ? other : one));
    const mean = (points) => [0, 1].map((i) => points.reduce((sum, p) => sum + p[i], 0) / points.length);
    const middle = mean(ring), deep = deepest(ring);
    const { shallow, farthest, within } = layout.top;
    if (deep < shallow) return [];
    const far = ring.filter((point) => point[0] > deep - farthest);
    const first = (better) => far.reduce((one, other) => (better(other[1], one[1]) ? other : one));
    const ends = [mean(far), first((a, b) => a < b), first((a, b) => a > b)];
    const places = ends.map((end) => [0, 1].map((i) => within * end[i] + (1 - within) * middle[i]));
    places.push(middle);
    const hidden = places.map((place) => others.filter((other) => holds(other, place)).length);
    return places.map((_, i) => i).sort((a, b) => hidden[a] - hidden[b]).map((i) => places[i]);
  }
  function holds(ring, [inward, right]) {
    let odd = false;
    ring.forEach((start, i) => {
      const end = ring[(i + 1) % ring.length];
      if (start[1] > right === end[1] > right) return;
      const share = (right - start[1]) / (end[1] - start[1]);
      if (start[0] + share * (end[0] - start[0]) > inward) odd = !odd;
    });
    return odd;
  }

  function drawTop(figure, n, day, slot) {
    drawMoment(figure, n, day, slot);
    const w = facts.windows[n], { half, depth, scale: size, foot } = w.top, { dial: DIAL, middle } = layout.top;
    const paper = ([inward, right]) => [middle + right * size, foot - inward * size];
    const dial = (side, beyond = 0) => [
      middle - (DIAL + beyond) * Math.sin(side * rad),
      foot + (DIAL + beyond) * Math.cos(side * rad),
    ];
    const sideOf = (s) => {
      const side = turned(azimuth(day, s) - w.azimuth);
      return elevation(day, s) > 0 && Math.abs(side) < 90 ? side : null;
    };
    const outline = (rings) => rings.map((ring) => path(ring.map(paper), true)).join("");
    const strength = (s) => "f" + Math.min(Math.floor(power(n, day, s) / layout.levels[0]), layout.levels[1] - 1);
    const shapes = [], names = [], dots = [];
    const inside = namesOf(figure, "room"), around = [];
    for (let s = 0; s < SLOTS; s += 2) {
      const rings = patches[n](day, s);
      if (rings.length) {
        shapes.push(make("path", { d: outline(rings), class: "patch " + strength(s) }));
        const others = [];
        for (let t = 0; t < SLOTS; t += 2) if (t !== s) others.push(...patches[n](day, t));
        const places = labelPlaces(rings, others)
          .filter(([deep, across]) => deep <= depth && Math.abs(across) < half - layout.top.aside)
          .map(paper);
        names.push(...hourWord(s / 2, places.map(([x, y]) => [x, y + layout.top.foot]), inside));
      }
      const side = sideOf(s);
      if (side === null) continue;
      const [x, y] = dial(side), style = isLit(n, day, s) ? "dot" : "ring";
      dots.push(make("circle", { cx: short(x, 2), cy: short(y, 2), r: layout.top.dot, class: style }));
      const label = dial(side, layout.top.labels);
      dots.push(...hourWord(s / 2, [[label[0], label[1] + layout.top.foot]], around));
    }
    part(figure, "patches").replaceChildren(...shapes);
    part(figure, "names").replaceChildren(...names);
    part(figure, "hours").replaceChildren(...dots);
    part(figure, "patch").setAttribute("d", outline(patches[n](day, slot)));
    part(figure, "patch").setAttribute("class", "now " + strength(slot));
    w.spots.forEach(([number], i) => {
      const mark = part(figure, "spots").children[i];
      mark.setAttribute("class", onSpot(number, day, slot) ? "spot lit" : "spot");
    });
    const now = sideOf(slot);
    part(figure, "ray").setAttribute("d", now === null ? "" : path([dial(now), paper([0, 0])]));
    moveDisc(part(figure, "now"), now === null ? null : dial(now));
  }

  function drawDepth(figure, n, depth) {
    const { depth: depths, net, x: across, y: up } = facts.depths[n];
    const x = scale(...across)(depth), y = scale(...up)(net[nearest(depths, depth)]);
    moveTo(part(figure, "depth"), x);
    part(figure, "net").setAttribute("cx", short(x, 2));
    part(figure, "net").setAttribute("cy", short(y, 2));
  }

  const nearest = (values, wanted) =>
    values.reduce((best, value, i) => (Math.abs(value - wanted) < Math.abs(values[best] - wanted) ? i : best), 0);

  // What the sliders move.
  const draw = { year: drawYear, day: drawDay, sky: drawSky, side: drawSide, top: drawTop };
  const live = [...document.querySelectorAll("svg[data-live]")].filter((svg) => svg.dataset.live in draw);
  const daySlider = document.getElementById("day"), timeSlider = document.getElementById("time");
  const written = new Map([...document.querySelectorAll("svg[data-live]")].map((svg) => [svg, svg.ariaLabel]));
  const seen = new Set();
  let stale = new Set(live), asked = false;

  function drawn(svg) {
    const n = Number(svg.dataset.window);
    const day = Number(daySlider.value);
    draw[svg.dataset.live](svg, n, day, slotOf(n, day));
    describe(svg);
    stale.delete(svg);
  }

  // What a picture shows, in words, as the sliders and the units stand.
  function describe(svg) {
    const own = document.documentElement.dataset.units === facts.units ? written.get(svg) : svg.dataset.otherwise;
    const n = Number(svg.dataset.window), day = Number(daySlider.value);
    const title = svg.closest("figure").querySelector("figcaption").textContent;
    const moving = `${whenWords(day)}: ${dayWords(n, day)} ${timeWords(n, day, slotOf(n, day))}`;
    const still = { year: own, depth: own, today: own, side: `${own} ${moving}` };
    const words = svg.dataset.live in still ? still[svg.dataset.live] : `${title}. ${moving}`;
    if (words) svg.setAttribute("aria-label", words);
  }

  function dayWords(n, day) {
    const list = sun[n](day), shut = closed[n](day);
    let said = "No direct sun.";
    if (list.length) {
      const lasts = duration(list.reduce((sum, [a, b]) => sum + b - a, 0));
      said = `Sun ${spans(list)} (${lasts}), at the most ${strongest(n, day)} W/m².`;
    }
    if (list.length) said += doubtWords(n, day);
    said += ` Shade ${shut.length ? "closed " + spans(shut) : "open all day"}.`;
    for (const [spot, name] of facts.windows[n].spots)
      said += ` ${name}: ${spans(spotSun[spot](day)) || "no sun"}.`;
    return said;
  }

  // How far the sun's times may be off in a day's month: as `doubt.py`.
  const doubtOn = (n, day) => {
    const { doubt } = facts.windows[n], month = date(day).getUTCMonth();
    return doubt ? doubt.map((months) => months[month]) : [];
  };
  function doubtWords(n, day) {
    const parts = doubtOn(n, day)
      .map((minutes, i) => (minutes < 0.5 ? "" : `${Math.floor(minutes + 0.5)} min as it ${["comes", "leaves"][i]}`))
      .filter((part) => part);
    return parts.length ? ` Give or take ${parts.join(", ")}.` : "";
  }
  const doubtful = (n, day) =>
    doubtOn(n, day).flatMap((minutes, i) => {
      const half = Math.round(minutes * 60);
      return minutes >= 0.5 ? sun[n](day).map((piece) => [Math.max(piece[i] - half, 0), Math.min(piece[i] + half, DAY)]) : [];
    });

  function timeWords(n, day, slot) {
    const at = clock(slot * 1800);
    if (!isLit(n, day, slot)) return `At ${at}: no direct sun.`;
    const lit = facts.windows[n].spots.filter(([spot]) => onSpot(spot, day, slot)).map(([, name]) => name);
    const onSpots = lit.length ? ` In sun: ${lit.join(", ")}.` : "";
    return `At ${at}: ${power(n, day, slot)} W/m² on the glass.${onSpots}`;
  }

  // Until a time is chosen, each window shows the one at which its sun is strongest.
  let chosen = false;
  function slotOf(n, day) {
    if (chosen) return Number(timeSlider.value);
    let best = facts.slot, most = 0;
    for (let s = 0; s < SLOTS; s++)
      if (isLit(n, day, s) && power(n, day, s) > most) [best, most] = [s, power(n, day, s)];
    return best;
  }

  const whenWords = (day) => WEEKDAYS[date(day).getUTCDay()] + " " + dateWords(day);
  let speaking = 0;
  function speak(day) {
    clearTimeout(speaking);
    speaking = setTimeout(() => {
      const words = facts.windows.map((w, n) => `${w.name}: ${timeWords(n, day, slotOf(n, day))}`);
      document.getElementById("said").textContent = `${whenWords(day)}. ${words.join(" ")}`;
    }, 700);
  }

  function moved() {
    asked = false;
    const day = Number(daySlider.value), time = chosen ? clock(timeSlider.value * 1800) : "best hour";
    const when = whenWords(day);
    if (started) speak(day);
    document.getElementById("day-shown").textContent = when;
    daySlider.setAttribute("aria-valuetext", when);
    document.getElementById("time-shown").textContent = time;
    timeSlider.setAttribute("aria-valuetext", time);
    for (const output of document.querySelectorAll("p[data-says=day],p[data-says=time]")) {
      const n = Number(output.dataset.window);
      output.textContent =
        output.dataset.says === "day" ? `${when}: ${dayWords(n, day)}` : timeWords(n, day, slotOf(n, day));
    }
    stale = new Set(live);
    for (const svg of live) if (seen.has(svg)) drawn(svg);
  }
  const soon = () => {
    if (!asked) requestAnimationFrame(moved);
    asked = true;
  };

  // Pictures out of sight are drawn when they come into it.
  const watcher = new IntersectionObserver(
    (changes) => {
      for (const { target, isIntersecting } of changes) {
        if (isIntersecting) seen.add(target);
        else seen.delete(target);
        if (isIntersecting && stale.has(target)) drawn(target);
      }
    },
    { rootMargin: "400px" },
  );
  addEventListener("beforeprint", () => [...stale].forEach(drawn));
  for (const svg of live) watcher.observe(svg);
  daySlider.addEventListener("input", soon);
  timeSlider.addEventListener("input", () => {
    chosen = true;
    soon();
  });
  for (const bar of document.querySelectorAll(".sliders")) bar.hidden = false;
  let started = false;
  moved();
  started = true;

  // The table of a window's year: all days in place of one a week, when it is asked for.
  function fillDays(fold) {
    const n = Number(fold.dataset.days), body = document.createElement("tbody");
    for (let day = 0; day < facts.days; day++) {
      const lit = sun[n](day), seconds = lit.reduce((sum, [a, b]) => sum + b - a, 0);
      const row = body.insertRow(), name = document.createElement("th");
      name.scope = "row";
      name.textContent = dateWords(day);
      row.append(name);
      for (const words of [spans(lit) || "–", (seconds / 60 + 1e-6).toFixed(1), strongest(n, day), spans(closed[n](day)) || "–"])
        row.insertCell().textContent = words;
    }
    const table = fold.querySelector("table"), caption = table.caption.textContent;
    table.tBodies[0].replaceWith(body);
    table.caption.textContent = caption.slice(0, caption.lastIndexOf(":"));
    fold.querySelector(".scroll").setAttribute("aria-label", table.caption.textContent);
  }
  for (const fold of document.querySelectorAll("details[data-days]"))
    fold.addEventListener("toggle", () => fillDays(fold), { once: true });

  // What colours mean stands below the first picture of each kind, and behind the fold of the others.
  for (const figure of document.querySelectorAll("figure[data-kind]")) {
    if (figure.querySelector(".legend")) continue;
    const legend = document.querySelector(`figure[data-kind=${figure.dataset.kind}] .legend`);
    const fold = figure.querySelector("summary");
    if (!legend || !fold) continue;
    fold.textContent = "Colours and numbers";
    fold.after(legend.cloneNode(true));
  }

  // A link to a window opens its pictures.
  const openTarget = () => {
    const target = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    const fold = target && target.closest("details.window");
    if (!fold) return;
    fold.open = true;
    target.scrollIntoView();
  };
  addEventListener("hashchange", openTarget);
  openTarget();

  const depthSlider = document.getElementById("depth");
  const depthMoved = () => {
    const depth = Number(depthSlider.value) / 100;
    const words = metres(depth, document.documentElement.dataset.units);
    document.getElementById("depth-shown").textContent = words;
    depthSlider.setAttribute("aria-valuetext", words);
    for (const svg of document.querySelectorAll("svg[data-live=depth]"))
      drawDepth(svg, Number(svg.dataset.window), depth);
    for (const output of document.querySelectorAll("p[data-says=depth]")) {
      const { depth: depths, figures } = facts.depths[Number(output.dataset.window)];
      const does = facts.does.replace(/{(\d)}/g, (_, i) => figures[nearest(depths, depth)].split("|")[i]);
      output.textContent = `${words} deep: ${does}`;
    }
  };
  if (depthSlider) {
    depthSlider.addEventListener("input", depthMoved);
    depthMoved();
  }

  // Switches: units and light.
  const pressed = (name, value) => {
    for (const button of document.querySelectorAll(`button[data-${name}]`))
      button.setAttribute("aria-pressed", String(button.dataset[name] === value));
  };
  const setUnits = (units) => {
    document.documentElement.dataset.units = units;
    for (const element of document.querySelectorAll("[data-m]"))
      element.textContent = metres(Number(element.dataset.m), units);
    for (const svg of document.querySelectorAll("svg[data-live]")) describe(svg);
    pressed("units", units);
    if (depthSlider) depthMoved();
  };
  const setLight = (light) => {
    if (light === "auto") delete document.documentElement.dataset.light;
    else document.documentElement.dataset.light = light;
    pressed("light", light);
  };
  for (const button of document.querySelectorAll("button[data-units]"))
    button.addEventListener("click", () => setUnits(button.dataset.units));
  for (const button of document.querySelectorAll("button[data-light]"))
    button.addEventListener("click", () => setLight(button.dataset.light));
  for (const bar of document.querySelectorAll(".switches")) bar.hidden = false;

  // What holds now, by the one clock that needs no zone: seconds since 1970.
  function showNow() {
    const now = Date.now() / 1000, [start, end] = facts.week, slots = facts.weekSlots;
    document.querySelector(".stale").hidden = now <= end;
    if (now < start || now > end) return;
    let day = slots.length - 1;
    while (day > 0 && slots[day][0] > now) day--;
    let slot = SLOTS - 1;
    while (slot > 0 && slots[day][slot] > now) slot--;
    const x = scale(...layout.today)(slot * 1800 + Math.min(now - slots[day][slot], 1800));
    const figure = document.querySelector("svg[data-live=today]");
    for (const group of figure.querySelectorAll("[data-day]"))
      group.classList.toggle("later", Number(group.dataset.day) !== day);
    moveTo(part(figure, "now"), x);
    part(figure, "now").setAttribute("visibility", "visible");
    for (const list of document.querySelectorAll("div[data-day]")) {
      list.hidden = Number(list.dataset.day) !== day;
      const heading = list.querySelector("h3");
      if (!list.hidden && !heading.textContent.startsWith("Today"))
        heading.textContent = "Today, " + heading.textContent;
    }
    for (const state of document.querySelectorAll("[data-states]")) {
      const known = JSON.parse(state.dataset.states).filter(([from]) => from <= now);
      state.textContent = known[known.length - 1][1];
      state.hidden = false;
    }
  }
  showNow();
  setInterval(showNow, 30000);
  document.documentElement.dataset.ready = "";
})();
