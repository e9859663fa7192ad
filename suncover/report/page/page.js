  // The third part: what sliders, switches, folds and the clock do.

  // What the sliders move.
  const draw = { year: drawYear, day: drawDay, sky: drawSky, side: drawSide, top: drawTop };
  const live = [...document.querySelectorAll("svg[data-live]")].filter((svg) => svg.dataset.live in draw);
  const daySlider = document.getElementById("day"), timeSlider = document.getElementById("time");
  const written = new Map([...document.querySelectorAll("svg[data-live]")].map((svg) => [svg, svg.ariaLabel]));
  const seen = new Set();
  let stale = new Set(live), asked = false;

  function redraw(svg) {
    const n = Number(svg.dataset.window);
    const day = Number(daySlider.value);
    draw[svg.dataset.live](svg, n, day, slotOf(n, day));
    describe(svg);
    stale.delete(svg);
  }

  // What a picture shows, in words, as the sliders and the units stand.
  function describe(svg) {
    const isAsWritten = document.documentElement.dataset.units === facts.units;
    const alt = isAsWritten ? written.get(svg) : svg.dataset.otherwise;
    const n = Number(svg.dataset.window), day = Number(daySlider.value);
    const title = svg.closest("figure").querySelector("figcaption").textContent;
    const moving = `${whenWords(day)}: ${dayWords(n, day)} ${timeWords(n, day, slotOf(n, day))}`;
    const still = { year: alt, depth: alt, today: alt, side: `${alt} ${moving}` };
    const words = svg.dataset.live in still ? still[svg.dataset.live] : `${title}. ${moving}`;
    if (words) svg.setAttribute("aria-label", words);
  }

  const length = (list) => list.reduce((sum, [a, b]) => sum + b - a, 0);
  function dayWords(n, day) {
    const list = sun[n](day), shut = closed[n](day);
    let words = "No direct sun.";
    if (list.length) {
      const lasts = duration(length(list));
      words = `Sun ${spans(list)} (${lasts}), at the most ${strongest(n, day)} W/m².${doubtWords(n, day)}`;
    }
    words += ` Shade ${shut.length ? "closed " + spans(shut) : "open all day"}.`;
    for (const [spot, name] of facts.windows[n].spots)
      words += ` ${name}: ${spans(spotSun[spot](day)) || "no sun"}.`;
    return words;
  }

  // How far the sun's times may be off in a day's month: as `doubt.py` in the program.
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
    const at = clock(slot * SLOT);
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
      document.getElementById("spoken").textContent = `${whenWords(day)}. ${words.join(" ")}`;
    }, 700);
  }

  function followSliders() {
    asked = false;
    const day = Number(daySlider.value), time = chosen ? clock(timeSlider.value * SLOT) : "best hour";
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
    for (const svg of live) if (seen.has(svg)) redraw(svg);
  }
  const soon = () => {
    if (!asked) requestAnimationFrame(followSliders);
    asked = true;
  };

  // Pictures out of sight are drawn when they come into it.
  const watcher = new IntersectionObserver(
    (changes) => {
      for (const { target, isIntersecting } of changes) {
        if (isIntersecting) seen.add(target);
        else seen.delete(target);
        if (isIntersecting && stale.has(target)) redraw(target);
      }
    },
    { rootMargin: "400px" },
  );
  addEventListener("beforeprint", () => [...stale].forEach(redraw));
  for (const svg of live) watcher.observe(svg);
  daySlider.addEventListener("input", soon);
  timeSlider.addEventListener("input", () => {
    chosen = true;
    soon();
  });
  for (const bar of document.querySelectorAll(".sliders")) bar.hidden = false;
  let started = false;
  followSliders();
  started = true;

  // The table of a window's year: all days in place of one a week, when it is asked for.
  function fillDays(fold) {
    const n = Number(fold.dataset.days), body = document.createElement("tbody");
    for (let day = 0; day < facts.days; day++) {
      const lit = sun[n](day);
      const row = body.insertRow(), name = document.createElement("th");
      name.scope = "row";
      name.textContent = dateWords(day);
      row.append(name);
      for (const words of [spans(lit) || "–", (length(lit) / 60 + 1e-6).toFixed(1), strongest(n, day), spans(closed[n](day)) || "–"])
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
  const followDepth = () => {
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
    depthSlider.addEventListener("input", followDepth);
    followDepth();
  }

  // Switches: units and light.
  const showPressed = (name, value) => {
    for (const button of document.querySelectorAll(`button[data-${name}]`))
      button.setAttribute("aria-pressed", String(button.dataset[name] === value));
  };
  const setUnits = (units) => {
    document.documentElement.dataset.units = units;
    for (const element of document.querySelectorAll("[data-m]"))
      element.textContent = metres(Number(element.dataset.m), units);
    for (const svg of document.querySelectorAll("svg[data-live]")) describe(svg);
    showPressed("units", units);
    if (depthSlider) followDepth();
  };
  const setLight = (light) => {
    if (light === "auto") delete document.documentElement.dataset.light;
    else document.documentElement.dataset.light = light;
    showPressed("light", light);
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
    const x = scale(...layout.today)(slot * SLOT + Math.min(now - slots[day][slot], SLOT));
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
      const begun = JSON.parse(state.dataset.states).filter(([from]) => from <= now);
      state.textContent = begun[begun.length - 1][1];
      state.hidden = false;
    }
  }
  showNow();
  setInterval(showNow, 30000);
  document.documentElement.dataset.ready = "";
})();
