  // The second part: each picture as the program would draw it.

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
    for (const [a, b] of up(day).sort(([start], [next]) => start - next)) {
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
    moveTo(part(figure, "time"), clockX(slot * SLOT));
  }

  // A direction as a vector: to the right of straight out, straight out, and up.
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
    const pointAt = (s) => {
      const height = elevation(day, s), side = turned(azimuth(day, s) - facing);
      return height > 0 && side >= -around && side <= around ? [x(side), y(height)] : null;
    };
    const drawn = [], taken = namesOf(figure, "names");
    for (let s = 0; s < SLOTS; s += 2) {
      const at = pointAt(s);
      if (!at) continue;
      const places = [[at[0], at[1] + sky.below], [at[0], at[1] - sky.above]];
      drawn.push(hourDot(at, sky.dot, isLit(n, day, s)), ...hourWord(s / 2, places, taken, WIDE_ROOM));
    }
    part(figure, "hours").replaceChildren(...drawn);
    moveDisc(part(figure, "now"), pointAt(slot));
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

  // The line above a picture of one time: as `pictures/moment.py` in the program.
  function drawMoment(figure, n, day, slot) {
    part(figure, "when").textContent = `${dateWords(day)}, ${clock(slot * SLOT)}`;
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
    const edgeFrom = (start, go, box) => {
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
        edgeFrom(start, [beam.out, beam.up], [left, right, low, high - less]),
        start,
        edgeFrom(start, [-beam.out, -beam.up], [left, right, 0, high]),
      ];
    };
    const beam = beamOf(w, azimuth(day, slot) - w.azimuth, elevation(day, slot));
    const enters = beam && beam.high > beam.low && isLit(n, day, slot);
    // Between a ray that leaves by the side and one by floor or top, the corner is lit too.
    const corner = (from, to) => {
      const atSide = ([out]) => Math.min(out - left, right - out) < 1e-9;
      if (atSide(from) === atSide(to)) return [];
      return [atSide(from) ? [from[0], to[1]] : [to[0], from[1]]];
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
      return [edgeFrom(face, [beam.out, beam.up], [left, right, low, high - less]), face];
    };
    part(figure, "ray").setAttribute("d", beam ? path(limit().map(paper)) : "");
    const angle = beam && Math.atan2(beam.up, beam.out) / rad;
    part(figure, "angle").textContent = !beam
      ? "sun not in front"
      : angle <= 90 ? `rays at ${Math.round(angle)}°` : `rays at ${Math.round(180 - angle)}°, over the house`;
  }

  // Where a patch's hour may stand, first where the fewest other rings lie: as `label_places` in the
  // program.
  function labelPlaces(rings, hiding) {
    const deepest = (ring) => Math.max(...ring.map((point) => point[0]));
    const ring = rings.reduce((best, next) => (deepest(next) > deepest(best) ? next : best));
    const mean = (points) => [0, 1].map((i) => points.reduce((sum, point) => sum + point[i], 0) / points.length);
    const middle = mean(ring), deep = deepest(ring);
    const { shallow, farthest, within } = layout.top;
    if (deep < shallow) return [];
    const far = ring.filter((point) => point[0] > deep - farthest);
    const first = (better) => far.reduce((best, next) => (better(next[1], best[1]) ? next : best));
    const ends = [mean(far), first((a, b) => a < b), first((a, b) => a > b)];
    const places = ends.map((end) => [0, 1].map((i) => within * end[i] + (1 - within) * middle[i]));
    places.push(middle);
    const hidden = places.map((place) => hiding.filter((above) => encloses(above, place)).length);
    return places.map((_, i) => i).sort((a, b) => hidden[a] - hidden[b]).map((i) => places[i]);
  }
  function encloses(ring, [inward, right]) {
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
    const shapes = [], names = [], dots = [], slots = [];
    for (let s = 0; s < SLOTS; s += 2) slots.push(s);
    const inside = namesOf(figure, "room"), around = [];
    for (const s of slots) {
      const rings = patches[n](day, s);
      if (rings.length) {
        shapes.push(make("path", { d: outline(rings), class: "patch " + strength(s) }));
        const hiding = slots.filter((t) => t !== s).flatMap((t) => patches[n](day, t));
        const places = labelPlaces(rings, hiding)
          .filter(([deep, across]) => deep <= depth && Math.abs(across) < half - layout.top.aside)
          .map(paper);
        names.push(...hourWord(s / 2, places.map(([x, y]) => [x, y + layout.top.foot]), inside));
      }
      const side = sideOf(s);
      if (side === null) continue;
      const [x, y] = dial(side, layout.top.labels);
      dots.push(hourDot(dial(side), layout.top.dot, isLit(n, day, s)));
      dots.push(...hourWord(s / 2, [[x, y + layout.top.foot]], around));
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
