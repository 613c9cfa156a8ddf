// SPDX-License-Identifier: GPL-3.0-or-later
// Pile zones dragged about, and what the simulation says of each place. lib/io/board.h describes the requests.
"use strict";

(() => {
  const data = Lot.read(), units = Lot.unitsOf(data.units), e = Lot.element, { TIMES } = Lot;
  const byId = (id) => document.getElementById(id);
  const token = new URLSearchParams(location.search).get("token") || "";
  const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
  const FULL_AFTER_MS = 350; // of rest, before all nights are simulated

  // ---- the plan: what is drawn, asked and undone ----

  const zonesOf = (layout) => layout.zones.map((name) => {
    const zone = data.zones.find((z) => z.name === name);
    return { ...zone, from: zone.name, ...(zone.outline ? { outline: zone.outline.map((p) => [...p]) } : { at: [...zone.at] }) };
  });
  const layoutNamed = (name) => data.layouts.find((layout) => layout.name === name) || data.layouts[0];

  const plan = { zones: [], box: data.box, policy: data.policy, layout: layoutNamed(data.layout).name };
  const history = [];
  let chosen = 0, answer = null, base = null, edition = 0; // edition: grows with every change

  const copyOf = () => JSON.stringify({ zones: plan.zones, box: plan.box, policy: plan.policy, layout: plan.layout });
  const remember = (state = copyOf()) => {
    if (history[history.length - 1] !== state) history.push(state);
    if (history.length > 200) history.shift();
  };
  const undo = () => {
    const state = history.pop();
    if (!state) return;
    Object.assign(plan, JSON.parse(state));
    chosen = Math.min(chosen, plan.zones.length - 1);
    changed();
  };

  // Drags go in tenths of a metre or halves of a foot, keys in metres or feet.
  const perMetre = units.lengthUnit === "ft" ? 2 / units.scale : 10;
  const rounded = (value) => Math.round(value * perMetre) / perMetre;
  const moved = (zone, dx, dy) => {
    const shift = ([x, y]) => [x + dx, y + dy];
    return zone.outline ? { ...zone, outline: zone.outline.map(shift) } : { ...zone, at: shift(zone.at) };
  };
  const turned = (zone, degrees) => {
    if (!zone.outline) return zone;
    const [mx, my] = Lot.middle(zone), a = (degrees * Math.PI) / 180, c = Math.cos(a), s = Math.sin(a);
    return { ...zone, outline: zone.outline.map(([x, y]) => [mx + (x - mx) * c - (y - my) * s, my + (x - mx) * s + (y - my) * c]) };
  };

  // ---- asking ----

  const body = (full) => JSON.stringify({
    zones: plan.zones.map(({ name, from, outline, at }) => ({ name, from, ...(outline ? { outline } : { at }) })),
    box: plan.box, policy: plan.policy, full, layout: byId("name").value,
    ...(base && (full ? base.full_s : base.one_s) ? { against_s: full ? base.full_s : base.one_s } : {}),
  });

  const post = (path, text) => fetch(path, {
    method: "POST", headers: { "Content-Type": "application/json", "X-Pushcycle-Token": token }, body: text,
  });

  let busy = false, wanted = null, rest = 0, startBody = "";

  // One question at a time; while it is answered only the newest of those to come is kept.
  const ask = (full) => {
    wanted = { full, edition };
    if (!busy) next();
  };

  const next = async () => {
    if (!wanted) return;
    const { full } = wanted, asked = edition, begun = performance.now();
    wanted = null;
    busy = true;
    byId("state").textContent = full ? "simulating all nights \u2026" : "simulating one night \u2026";
    try {
      if (full && asked > 0) await measureStart();
      const response = await post("/answer", body(full));
      if (response.status === 429) {
        await new Promise((resolve) => setTimeout(resolve, 300));
        wanted = wanted || { full };
      } else {
        take(await response.json(), full, asked, performance.now() - begun);
      }
    } catch {
      byId("state").textContent = "The program that answers has ended; start it again and open the address that it prints.";
    }
    busy = false;
    next();
  };

  // All nights of the layout at the start, if it was changed before they were simulated.
  const measureStart = async () => {
    if (!base || base.full_s) return;
    const response = await post("/answer", startBody);
    if (response.ok) base.full_s = (await response.json()).times_s;
  };

  const take = (found, full, asked, ms) => {
    if (found.error) {
      answer = { faults: [{ zone: null, message: found.error }], cautions: [] };
    } else {
      answer = found;
      if (!base) base = { kg: found.result ? found.result.snow_kg.start : null };
      if (found.result && asked === 0) base[full ? "full_s" : "one_s"] = found.times_s;
    }
    answer.full = full && asked === edition;
    show(ms);
    document.documentElement.dataset.answered = `${asked} ${full ? "full" : "one"}`;
  };

  // One night at once, all of them after some rest.
  const askBoth = () => {
    if (plan.zones.length === 0) {
      answer = { faults: [{ zone: null, message: "A layout needs at least one zone." }], cautions: [] };
      show(0);
      return;
    }
    ask(false);
    if (data.replications > 1) rest = setTimeout(() => ask(true), FULL_AFTER_MS);
  };

  // After every change.
  const changed = (asking = true) => {
    edition++;
    draw();
    buttons();
    showZones();
    clearTimeout(rest);
    if (asking) askBoth();
  };

  // ---- the map ----

  const canvas = byId("map");
  const bounds = () => {
    const [x0, y0, x1, y1] = Lot.boundsOf([data.site.areas, data.site.ground, data.site.obstacles, data.site.keep_clear, data.zones]);
    const spare = 0.03 * Math.max(x1 - x0, y1 - y0);
    return [x0 - spare, y0 - spare, x1 + spare, y1 + spare];
  };
  const view = new Lot.View(canvas, bounds());

  const draw = () => {
    view.begin();
    Lot.drawPavement(view, data.site);
    Lot.drawThings(view, data.site); // below the zones: one on a building has to be seen
    const wrong = new Set(answer ? answer.faults.map((fault) => fault.zone) : []);
    plan.zones.forEach((zone, z) => {
      const result = answer && answer.result && answer.result.zones[z];
      const share = result && result.capacity_m3 ? result.volume_m3 / result.capacity_m3 : result ? 0.5 : 0;
      Lot.drawZone(view, zone, z + 1, share, { edge: wrong.has(z) ? Lot.COLOURS.vermillion : Lot.COLOURS.blue, width: z === chosen ? 4 : 2 });
      const base = zone.outline ? zone : { at: zone.at, radius_m: 4 };
      if (wrong.has(z)) view.hatch(base, Lot.COLOURS.vermillion, 7);
    });
    const mark = plan.zones[chosen];
    if (mark) {
      view.stroke(mark.outline ? mark : { at: mark.at, radius_m: 4 }, "#000", 1.5, [6, 4]);
      const [x, y] = view.screen(Lot.middle(mark)), name = Lot.short(mark.name, 34), half = view.textWidth(name, 12) * 0.57 + 4 /* bold letters are wider */;
      view.label(name, [Math.min(view.wide - half, Math.max(half, x)), y + 20], { weight: "bold" });
    }
    view.scaleBar(units);
    canvas.setAttribute("aria-label", mark ? `Map. Chosen: zone ${chosen + 1} of ${plan.zones.length}, ${mark.name}` : "Map without zones");
  };

  // The zone under a place of the map, or near enough to it for a finger; -1: none.
  const zoneAt = (place, reach) => {
    const at = view.world(place);
    for (const z of [chosen, ...plan.zones.keys()].filter((k) => plan.zones[k]))
      if (plan.zones[z].outline && Lot.inside(plan.zones[z].outline, at)) return z;
    let best = -1, least = reach;
    plan.zones.forEach((zone, z) => {
      const [x, y] = view.screen(Lot.middle(zone)), away = Math.hypot(x - place[0], y - place[1]);
      if (away < least) [best, least] = [z, away];
    });
    return best;
  };

  let drag = null;
  const placeOf = (event) => {
    const box = canvas.getBoundingClientRect();
    return [event.clientX - box.left - canvas.clientLeft, event.clientY - box.top - canvas.clientTop];
  };
  canvas.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || drag) return;
    const place = placeOf(event), z = zoneAt(place, event.pointerType === "mouse" ? 14 : 28);
    if (z < 0) return;
    chosen = z;
    drag = { id: event.pointerId, from: view.world(place), zone: plan.zones[z], before: copyOf(), moved: false };
    canvas.setPointerCapture(event.pointerId);
    canvas.classList.add("dragging");
    draw();
    showZones();
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!drag || event.pointerId !== drag.id) return;
    const at = view.world(placeOf(event)), dx = rounded(at[0] - drag.from[0]), dy = rounded(at[1] - drag.from[1]);
    if (!drag.moved && dx === 0 && dy === 0) return;
    drag.moved = true;
    plan.zones[chosen] = moved(drag.zone, dx, dy);
    changed();
  });
  const drop = (event) => {
    if (!drag || event.pointerId !== drag.id) return;
    if (drag.moved) remember(drag.before);
    drag = null;
    canvas.classList.remove("dragging");
    buttons();
  };
  canvas.addEventListener("pointerup", drop);
  canvas.addEventListener("pointercancel", drop);

  // ---- acts ----

  const change = (make) => {
    const before = copyOf();
    make();
    if (copyOf() === before) return;
    remember(before);
    changed();
  };
  const choose = (z) => {
    if (plan.zones.length === 0) return;
    chosen = (z + plan.zones.length) % plan.zones.length;
    draw();
    showZones();
  };
  const shift = (dx, dy) => change(() => plan.zones[chosen] && (plan.zones[chosen] = moved(plan.zones[chosen], dx, dy)));
  const turn = (degrees) => change(() => plan.zones[chosen] && (plan.zones[chosen] = turned(plan.zones[chosen], degrees)));
  const remove = () => change(() => {
    plan.zones.splice(chosen, 1);
    chosen = Math.max(0, Math.min(chosen, plan.zones.length - 1));
  });
  // A new one stands in the middle of what is seen, for a person to drag to its place.
  const add = () => change(() => {
    if (plan.zones.length >= data.zones_max) return;
    const [x0, y0, x1, y1] = view.bounds, x = rounded((x0 + x1) / 2), y = rounded((y0 + y1) / 2);
    const w = data.new_length_m / 2, h = data.new_width_m / 2;
    let n = 1;
    while ([...plan.zones, ...data.zones].some((zone) => zone.name === `new ${n}`)) n++;
    plan.zones.push({ name: `new ${n}`, from: null, outline: [[x - w, y - h], [x + w, y - h], [x + w, y + h], [x - w, y + h]] });
    chosen = plan.zones.length - 1;
  });
  const start = (name) => change(() => {
    plan.layout = name;
    plan.zones = zonesOf(layoutNamed(name));
    chosen = 0;
  });

  const keys = {
    ArrowLeft: (step) => shift(-step, 0), ArrowRight: (step) => shift(step, 0), ArrowUp: (step) => shift(0, step),
    ArrowDown: (step) => shift(0, -step), "[": () => turn(5), "]": () => turn(-5), Delete: remove,
    n: () => choose(chosen + 1), p: () => choose(chosen - 1),
  };
  canvas.addEventListener("keydown", (event) => {
    if (event.altKey || event.metaKey || event.ctrlKey) return;
    const act = keys[event.key], number = /^[1-9]$/.test(event.key) ? Number(event.key) : 0;
    if (!act && (number === 0 || number > plan.zones.length)) return;
    event.preventDefault();
    if (act) act((event.shiftKey ? 10 : 1) * units.scale);
    else choose(number - 1);
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "z" || !(event.ctrlKey || event.metaKey) || event.target.tagName === "INPUT") return;
    event.preventDefault();
    undo();
  });

  if (units.lengthUnit === "ft") byId("step").textContent = "one foot";

  const buttons = () => {
    byId("undo").disabled = history.length === 0 && !drag;
    byId("remove").disabled = byId("left").disabled = byId("right").disabled = plan.zones.length === 0;
    byId("add").disabled = plan.zones.length >= data.zones_max;
    byId("layout").value = plan.layout;
    byId("box").value = plan.box === null ? "" : plan.box;
    byId("policy").value = plan.policy;
  };

  // ---- what it takes ----

  const signed = (seconds) => (Math.abs(seconds) < 3 ? "no difference" : `${Lot.minutes(Math.abs(seconds))} min ${seconds > 0 ? "longer" : "shorter"}`);

  const showTotal = () => {
    const result = answer.result;
    if (!result) {
      byId("total").textContent = "Not possible";
      byId("against").textContent = "";
      return;
    }
    const time = result.total_time_s, spread = time.half_width > 0 ? ` \u00b1 ${Lot.minutes(time.half_width)}` : "";
    byId("total").textContent = `${Lot.minutes(time.mean)}${spread} min${time.mean < 3600 ? "" : ` (${Lot.spoken(time.mean)})`}${data.start && result.finished ? `, clear at ${Lot.timeOfDay(data.start, time.mean)}` : ""}`;
    const difference = answer.difference_s, parts = [];
    if (difference && edition > 0) {
      const even = difference.half_width > 0 ? ` \u00b1 ${Lot.minutes(difference.half_width)}` : "";
      const text = signed(difference.mean);
      parts.push(text === "no difference" ? "as long as at the start" : `${text.replace(" min", `${even} min`)} than at the start`);
    }
    const less = base && base.kg !== null ? base.kg - result.snow_kg.start : 0;
    if (Math.abs(less) > 50) parts.push(`${units.mass(Math.abs(less))} ${less > 0 ? "less" : "more"} to move, as zones cover ${less > 0 ? "more" : "less"} of the areas`);
    byId("against").textContent = parts.join("; ");
  };

  const showState = (ms) => {
    const result = answer.result, bound = result && result.bound_s > 0 ? `; lower bound ${Lot.minutes(result.bound_s)} min` : "";
    const nights = result ? (result.replications > 1 ? `mean of ${result.replications} simulated nights` : "one simulated night") : "";
    byId("state").textContent = result ? `${nights}${bound}; answered in ${Math.round(ms)} ms` : "";
  };

  const showFaults = () => {
    const list = answer.faults.map((fault) => e("p", {}, `\u2716 ${fault.message}`)), result = answer.result;
    if (result && !result.finished) {
      const piled = result.zones.reduce((sum, zone) => sum + zone.snow_kg, 0), volume = result.zones.reduce((sum, zone) => sum + zone.volume_m3, 0);
      const haul = result.snow_kg.haul_off > 0 && piled > 0 ? `; ${units.volume((result.snow_kg.haul_off * volume) / piled)} would have to be hauled off` : "";
      list.push(e("p", {}, `\u2716 Not finished: ${result.reason}${haul}`));
    }
    for (const late of answer.late || []) list.push(e("p", {}, late));
    byId("faults").replaceChildren(...list);
  };

  const heads = (names, left) => e("tr", {}, ...names.map((name, i) => e("th", { scope: "col", class: i < left ? "text" : "" }, name)));

  const showZones = () => {
    const rows = plan.zones.map((zone, z) => {
      const result = answer && answer.result && answer.result.zones[z] && answer.result.zones[z].name === zone.name ? answer.result.zones[z] : null;
      const pick = e("button", { type: "button", class: "pick", "aria-pressed": String(z === chosen), title: zone.name }, zone.name), bar = e("span");
      pick.addEventListener("click", () => {
        choose(z);
        canvas.focus({ preventScroll: true });
      });
      const share = result && result.capacity_m3 ? result.volume_m3 / result.capacity_m3 : 0;
      bar.style.width = `${Math.min(100, 100 * share)}%`;
      const row = e("tr", { class: z === chosen ? "chosen" : "" }, e("td", {}, e("span", { class: "number" }, String(z + 1))), e("td", { class: "text name" }, pick),
        e("td", {}, result ? String(result.loads) : ""), e("td", {}, result ? units.volume(result.volume_m3) : ""),
        e("td", {}, !result ? "" : result.capacity_m3 === null ? "no limit" : units.volume(result.capacity_m3)),
        e("td", {}, e("span", { class: "bar", "aria-hidden": "true" }, bar), " ", e("span", { class: "percent" }, result && result.capacity_m3 ? `${Math.round(100 * share)} %` : "")));
      return row;
    });
    byId("zones").replaceChildren(e("table", {}, e("caption", {}, "Pile zones"), e("thead", {}, heads(["", "zone", "loads", "snow", "of", "full"], 2)), e("tbody", {}, ...rows)));
  };

  const showTimes = () => {
    const result = answer.result;
    if (!result) {
      byId("times").replaceChildren();
      return;
    }
    const all = TIMES.reduce((sum, [key]) => sum + result.time_s[key], 0) || 1;
    const rows = TIMES.map(([key, name]) => {
      const bar = e("span"), share = result.time_s[key] / all;
      bar.style.width = `${100 * share}%`;
      return e("tr", {}, e("td", { class: "text" }, name), e("td", {}, Lot.minutes(result.time_s[key])),
        e("td", {}, e("span", { class: "bar", "aria-hidden": "true" }, bar), " ", e("span", { class: "percent" }, `${Math.round(100 * share)} %`)));
    });
    byId("times").replaceChildren(e("table", {}, e("caption", {}, "Time of all machines, minutes"), e("tbody", {}, ...rows)));
  };

  const showCautions = () => {
    const items = [];
    for (const finding of answer.result ? answer.siting : [])
      items.push(e("li", { class: finding.severity === "must not" ? "must" : "" }, `${capital(finding.severity)}: ${finding.message} (${finding.source})`));
    for (const caution of answer.cautions) items.push(e("li", {}, caution.message));
    byId("cautions").replaceChildren(...(items.length ? [e("h2", {}, "Cautions"), e("ul", {}, ...items)] : []));
  };

  const show = (ms) => {
    draw();
    showTotal();
    showState(ms);
    showFaults();
    showZones();
    showTimes();
    showCautions();
    tellNews();
  };

  // For those who hear the page: only what stays, not every step of a drag.
  const tellNews = () => {
    if (drag || !(answer.full || data.replications === 1 || answer.faults.length)) return;
    const text = [byId("total"), byId("against"), byId("faults")].map((part) => part.textContent.trim()).filter(Boolean).join("; ");
    if (byId("news").textContent !== text) byId("news").textContent = text;
  };

  // ---- keeping it ----

  const tell = (text) => (byId("saved").textContent = text);

  const keep = async (path, then) => {
    tell("");
    try {
      const response = await post(path, body(false)), text = await response.text();
      if (response.ok) then(text);
      else tell(`Not done: ${JSON.parse(text).error}`);
    } catch {
      tell("Not done: the program that answers has ended.");
    }
  };
  const download = () => keep("/scenario", (text) => {
    const link = e("a", { download: `${byId("name").value.replace(/[^\w-]+/g, "-") || "board"}.yaml` });
    link.href = URL.createObjectURL(new Blob([text], { type: "application/yaml" }));
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
    tell(`${link.download} has the layout "${byId("name").value || "board"}".`);
  });

  // ---- beginning ----

  const fill = (id, names, labels = names) => byId(id).replaceChildren(...names.map((name, i) => {
    const option = e("option", {}, labels[i]);
    option.value = name;
    return option;
  }));
  fill("layout", data.layouts.map((layout) => layout.name));
  fill("box", ["", ...data.boxes], ["as the crew has them", ...data.boxes]);
  fill("policy", data.policies);
  byId("layout").addEventListener("change", (event) => start(event.target.value));
  byId("box").addEventListener("change", (event) => change(() => (plan.box = event.target.value || null)));
  byId("policy").addEventListener("change", (event) => change(() => (plan.policy = event.target.value)));
  for (const [id, act] of [["add", add], ["remove", remove], ["left", () => turn(5)], ["right", () => turn(-5)], ["undo", undo], ["reset", () => start(plan.layout)], ["download", download]])
    byId(id).addEventListener("click", act);
  if (data.save_name !== null) {
    byId("save").hidden = false;
    byId("save").textContent = `Save to ${data.save_name}`;
    byId("save").addEventListener("click", () => keep("/save", () => tell(`${data.save_name} was written.`)));
  }
  window.addEventListener("resize", () => view.fit() && draw());

  byId("title").textContent = data.scenario ? `Planning board: ${data.scenario}` : "Planning board";
  byId("legend").append("Blue: pile zones, with a number each; the thick dashed one is chosen. Orange hatching: not possible there, or to be kept clear of snow. Colours: Okabe & Ito (2008).");
  plan.zones = zonesOf(layoutNamed(plan.layout));
  startBody = body(true);
  view.fit();
  draw();
  buttons();
  showZones();
  askBoth();
  document.documentElement.dataset.ready = "yes";
})();
