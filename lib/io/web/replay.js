// SPDX-License-Identifier: GPL-3.0-or-later
// Plays recorded nights.
"use strict";

(() => {
  const { Ground, addFacings, addSums, keyOf, legAt, readLegs, turned } = Night, { TIMES } = Lot;
  const data = Lot.read(), units = Lot.unitsOf(data.units);
  const byId = (id) => document.getElementById(id);
  const still = window.matchMedia("(prefers-reduced-motion: reduce)");
  const things = data.site.obstacles.map((thing) => ({ ...thing, bounds: Lot.boundsOf([[thing]]) }));
  const SPEEDS = [1, 2, 5, 10, 30, 60, 120, 300, 600, 1200];

  // ---- one run ----

  const describe = (run, leg, load) => {
    const zone = leg.zone >= 0 ? ` ${leg.phase === "carry" ? "to" : "at"} ${run.zones[leg.zone].name}` : "";
    switch (leg.phase) {
      case "lower": return "lowering the box";
      case "raise": return "raising the box";
      case "fill": return `pushing, ${units.mass(load)}`;
      case "clean_up": return `cleaning up, ${units.mass(load)}`;
      case "turn": return load > 0.05 ? "turning, loaded" : "turning";
      case "carry": return `carrying ${units.mass(load)}${zone}`;
      case "wait": return `waiting${zone}`;
      case "dump": return leg.zone >= 0 ? `dumping${zone}` : "dropping on the next area";
      case "return": return leg.reverse ? "backing, empty" : "driving, empty";
      default: return "standing";
    }
  };

  class Run {
    constructor(run) {
      this.run = run;
      this.legs = readLegs(run);
      for (const legs of this.legs) {
        addFacings(legs);
        addSums(legs);
      }
      this.ground = new Ground(run);
      this.slow = 60 / run.work_minutes_per_hour; // the clock runs on while the crew stands still for part of each hour
      this.total = run.result.total_time_s.mean;
      this.dumps = run.zones.map(() => []);
      for (const legs of this.legs)
        for (const leg of legs) if (leg.phase === "dump" && leg.zone >= 0) this.dumps[leg.zone].push(leg);
      for (const list of this.dumps) list.sort((a, b) => a.end - b.end);
      this.most = this.dumps.map((list) => list.reduce((sum, leg) => sum + leg.load, 0));
      this.build();
    }

    build() {
      const { run } = this, e = Lot.element;
      const canvas = e("canvas", { role: "img" });
      canvas.setAttribute("aria-label", `Map of the lot, ${run.label}. The tables below say the same in words.`);
      const map = e("div", { class: "map" }, canvas);
      this.sums = e("p", { class: "sums" });
      this.machineRows = run.machines.map((machine, m) => this.machineRow(machine, m));
      this.zoneRows = run.zones.map((zone, z) => this.zoneRow(zone, z));
      const heads = (names, left) => e("tr", {}, ...names.map((name, i) => e("th", { scope: "col", class: i < left ? "text" : "" }, name)));
      const machines = e("table", {}, e("caption", {}, "Machines"), e("thead", {}, heads(["", "machine", "now", "loads", "piled"], 3)),
        e("tbody", {}, ...this.machineRows.map((row) => row.row)));
      const times = e("table", { class: "times" }, e("caption", {}, "Minutes so far"),
        e("thead", {}, heads(["", ...TIMES.map(([, name]) => name)], 1)), e("tbody", {}, ...this.machineRows.map((row) => row.times)));
      const zones = e("table", {}, e("caption", {}, "Pile zones"),
        e("thead", {}, heads(["", "zone", "loads", "snow", "volume", "of", "full"], 2)),
        e("tbody", {}, ...this.zoneRows.map((row) => row.row)));
      machines.className = "machines";
      zones.className = "zones";
      this.section = e("section", { class: "run", "aria-label": `Run: ${run.label}` }, e("h2", {}, run.label), map, this.sums,
        e("div", { class: "tables", tabindex: "0", role: "region", "aria-label": `Machines and zones, ${run.label}` }, machines, times, zones));
      byId("runs").append(this.section);
      const site = data.site;
      this.view = new Lot.View(canvas, Lot.boundsOf([site.areas, site.ground, site.obstacles, site.keep_clear, run.zones]));
    }

    machineRow(machine, m) {
      const e = Lot.element, cells = [...Array(3 + TIMES.length)].map(() => e("td")), name = `${Lot.letter(m)}: ${machine.name}, ${machine.box}`;
      cells[0].className = "text now";
      const row = e("tr", {}, e("td", {}, Lot.signPicture(m)), e("td", { class: "text name" }, name), ...cells.slice(0, 3));
      const times = e("tr", {}, e("th", { scope: "row", class: "text", title: name }, Lot.letter(m)), ...cells.slice(3));
      return { row, times, cells };
    }

    zoneRow(zone, z) {
      const e = Lot.element, cells = [...Array(5)].map(() => e("td")), bar = e("span"), percent = e("span", { class: "percent" });
      const row = e("tr", {}, e("td", {}, e("span", { class: "number" }, String(z + 1))), e("td", { class: "text name" }, zone.name), ...cells);
      cells[3].textContent = zone.capacity_kg === null ? "no limit" : units.volume(zone.capacity_kg / this.run.pile_density_kgpm3);
      cells[4].append(e("span", { class: "bar", "aria-hidden": "true" }, bar), " ", percent);
      return { row, cells, bar, percent };
    }

    // All about one machine at a time of its own clock.
    machineAt(m, time) {
      const legs = this.legs[m], i = legAt(legs, time), machine = this.run.machines[m];
      if (i < 0) return { at: machine.start, facing: legs.length ? legs[0].facing0 : 0, load: 0, now: "standing", times: {}, loads: 0, placed: 0 };
      const leg = legs[i], after = i + 1 < legs.length ? legs[i + 1].before : legs.after;
      if (time >= leg.end)
        return { at: leg.to, facing: leg.facing1, load: after.box, now: i + 1 < legs.length ? "standing" : "done", ...after };
      const share = leg.end > leg.start ? (time - leg.start) / (leg.end - leg.start) : 1;
      const fills = leg.phase === "fill" || leg.phase === "clean_up", before = leg.before;
      const load = fills ? before.box + (leg.load - before.box) * share : leg.phase === "dump" ? leg.load * (1 - share) : leg.load;
      const key = keyOf(leg.phase);
      return {
        at: leg.from.map((value, k) => value + (leg.to[k] - value) * share), facing: turned(leg.facing0, leg.facing1, share),
        load, now: describe(this.run, leg, load), loads: before.loads, placed: before.placed,
        times: { ...before.times, [key]: before.times[key] + time - leg.start },
      };
    }

    // Where the line of its lane is nearer to something than half a box, it is drawn beside that.
    besideThings(state, machine) {
      const by = Lot.aside(things, state.at, state.facing, machine.box_width_m / 2);
      return { ...state, at: [state.at[0] - by * Math.sin(state.facing), state.at[1] + by * Math.cos(state.facing)] };
    }

    // kg and loads in a zone.
    zoneAt(z, time) {
      let kg = 0, loads = 0;
      for (const leg of this.dumps[z]) {
        if (leg.end <= time) {
          kg += leg.load;
          loads++;
        } else if (leg.start < time) {
          kg += (leg.load * (time - leg.start)) / (leg.end - leg.start);
        }
      }
      return { kg, loads };
    }

    // What has fallen by then: kg/m2 and depth.
    fallenAt(time) {
      const falls = this.run.falls;
      let last = [0, 0, 0];
      for (const fall of falls) {
        if (fall[0] > time) {
          const share = (time - last[0]) / (fall[0] - last[0]);
          return last.map((value, k) => value + (fall[k] - value) * share);
        }
        last = fall;
      }
      return last;
    }

    show(clock) {
      const shown = Math.min(clock, this.total), time = shown / this.slow + 0.001; // legs are kept to a thousandth of a second
      const states = this.run.machines.map((machine, m) => this.besideThings(this.machineAt(m, time), machine));
      const zones = this.run.zones.map((_, z) => this.zoneAt(z, time));
      this.ground.moveTo(time, this.fallenAt(time)[1] / this.run.level_kgpm2);
      this.draw(states, zones);
      this.showMachines(states, shown);
      this.showZones(zones);
      this.showSums(zones, states, shown, clock);
    }

    draw(states, zones) {
      const view = this.view;
      view.begin();
      Lot.drawPavement(view, data.site);
      this.ground.draw(view, data.site.areas);
      this.run.zones.forEach((zone, z) => Lot.drawZone(view, zone, z + 1, zones[z].kg / (zone.capacity_kg || this.most[z] || 1)));
      Lot.drawThings(view, data.site);
      states.forEach((state, m) => this.drawMachine(state, m));
      this.drawSigns(states);
      view.scaleBar(units);
    }

    // On its body, between its box and its back.
    signPlace(state, m) {
      const back = 0.6 * this.run.machines[m].length_m;
      return this.view.screen([state.at[0] - back * Math.cos(state.facing), state.at[1] - back * Math.sin(state.facing)]);
    }

    // Where machines stand close together, signs give way to the right.
    drawSigns(states) {
      const size = Math.min(13, Math.max(8, 0.6 * this.view.scale)), taken = [];
      states.forEach((state, m) => {
        const [x, y] = this.signPlace(state, m), at = [x, y];
        while (taken.some((other) => Math.hypot(other[0] - at[0], other[1] - at[1]) < 1.9 * size)) at[0] += 2 * size;
        taken.push(at);
        Lot.drawSign(this.view.context, m, at, size);
      });
    }

    drawMachine(state, m) {
      const machine = this.run.machines[m], view = this.view, c = view.context, deep = 1.3;
      c.save();
      c.translate(...view.screen(state.at));
      c.rotate(-state.facing);
      c.scale(view.scale, view.scale);
      c.fillStyle = "#f4f4f4";
      c.strokeStyle = "#000";
      c.lineWidth = 1.25 / view.scale;
      c.beginPath();
      c.rect(-machine.length_m, -machine.width_m / 2, machine.length_m - deep, machine.width_m);
      c.fill();
      c.stroke();
      const half = machine.box_width_m / 2;
      if (machine.blade !== "none") { // a slanting blade: the side it throws to is behind
        const slant = machine.blade === "left" ? 1 : -1;
        c.lineWidth = 3 / view.scale;
        c.beginPath();
        c.moveTo(-0.2, slant * half);
        c.moveTo(-deep, slant * half);
        c.lineTo(-0.1, -slant * half);
        c.stroke();
      } else {
        const share = machine.capacity_kg > 0 ? Math.min(1, state.load / machine.capacity_kg) : 0;
        c.fillStyle = Lot.COLOURS.sky;
        c.fillRect(-deep, -half, deep * share, 2 * half);
        c.lineWidth = 2.5 / view.scale;
        c.beginPath();
        c.moveTo(0, -half);
        c.lineTo(-deep, -half);
        c.lineTo(-deep, half);
        c.lineTo(0, half);
        c.stroke();
      }
      c.restore();
    }

    showMachines(states, shown) {
      this.machineRows.forEach(({ cells }, m) => {
        const state = states[m];
        const busy = TIMES.reduce((sum, [key]) => sum + (key === "idle" ? 0 : state.times[key] || 0), 0);
        const texts = [state.now, state.loads, units.mass(state.placed),
          ...TIMES.map(([key]) => Lot.minutes(key === "idle" ? Math.max(0, shown - busy) : state.times[key] || 0))];
        texts.forEach((text, i) => (cells[i].textContent = String(text)));
      });
    }

    showZones(zones) {
      this.zoneRows.forEach(({ cells, bar, percent }, z) => {
        const { kg, loads } = zones[z], capacity = this.run.zones[z].capacity_kg;
        cells[0].textContent = String(loads);
        cells[1].textContent = units.mass(kg);
        cells[2].textContent = units.volume(kg / this.run.pile_density_kgpm3);
        const share = capacity === null ? 0 : kg / capacity;
        bar.style.width = `${Math.min(100, 100 * share)}%`;
        percent.textContent = capacity === null ? "" : `${Math.round(100 * share)} %`;
      });
    }

    showSums(zones, states, shown, clock) {
      const result = this.run.result, fallen = this.fallenAt(shown / this.slow), end = this.run.falls.at(-1);
      const share = end && end[1] > 0 ? fallen[1] / end[1] : 0;
      const all = result.snow_kg.start + result.snow_kg.fallen * share, piled = zones.reduce((sum, zone) => sum + zone.kg, 0);
      const loads = states.reduce((sum, state) => sum + state.loads, 0);
      const over = clock >= this.total;
      const end_text = result.finished ? `Done after ${Lot.minutes(this.total)} min` : `Ended after ${Lot.minutes(this.total)} min, not finished: ${result.reason}`;
      const falling = this.run.falls.length ? `; ${units.depth(fallen[2])} fell so far` : "";
      this.sums.textContent = `${over ? `${end_text}; ` : ""}${loads} loads, ${units.mass(piled)} piled of ${units.mass(all)}${falling}`;
    }
  }

  // ---- legend ----

  const addLegend = (runs) => {
    const e = Lot.element, legend = byId("legend"), run = runs[0].run;
    const scale = e("canvas", { width: 200, height: 14, "aria-hidden": "true" }), c = scale.getContext("2d"), ramp = Lot.rampOf(run.full_level);
    for (let x = 0; x < 200; x++) {
      const level = Math.round((x / 200) * 4 * run.full_level);
      c.fillStyle = `rgb(${ramp[3 * level]},${ramp[3 * level + 1]},${ramp[3 * level + 2]})`;
      c.fillRect(x, 0, 1, 14);
    }
    const full = (run.level_kgpm2 * run.full_level) / run.lying_kgpm3;
    legend.append(e("span", {}, scale, `snow on the ground, as fresh snow: bare, ${units.depth(full)} (white), windrows to ${units.depth(4 * full)} (blue)`));
    legend.append(e("span", {}, e("span", { class: "number" }, "1"), " pile zone; the heap in it grows with what it holds"));
    legend.append(e("span", {}, "Machines are drawn to scale, with a letter each, and beside what stands in the way of a box on the middle of its lane; a slanting line is a blade. Dashed orange: keep clear of snow."));
    legend.append(e("span", {}, "Colours: Okabe & Ito (2008)."));
  };

  // ---- the clock ----

  const start = () => {
    const runs = data.runs.map(({ label, run }) => new Run({ ...run, label }));
    const total = Math.max(...runs.map((run) => run.total));
    const [play, seek, speed, status] = ["play", "seek", "speed", "status"].map(byId);
    let time = 0, playing = false, last = 0, pending = 0;

    // "00:30, 2 h 0 min of 6 h 32 min"
    const standing = () => `${data.start ? `${Lot.timeOfDay(data.start, time)}, ` : ""}${Lot.spoken(time)} of ${Lot.spoken(total)}`;
    const show = () => {
      byId("clock").textContent = data.start ? Lot.timeOfDay(data.start, time, true) : Lot.clock(time);
      seek.value = String(Math.round(time));
      seek.setAttribute("aria-valuetext", standing());
      for (const run of runs) run.show(time);
    };
    const setPlaying = (on) => {
      playing = on;
      play.textContent = on ? "Pause" : "Play";
      status.textContent = on ? "" : `${time >= total ? "Over" : "Paused"} at ${data.start ? Lot.timeOfDay(data.start, time) : Lot.spoken(time)}`;
      last = performance.now();
      cancelAnimationFrame(pending);
      clearTimeout(pending);
      if (on) next();
    };
    const setTime = (value) => {
      time = Math.min(total, Math.max(0, value));
      show();
      if (!playing) status.textContent = standing();
    };
    // Where less motion is asked for: one still picture a second.
    const next = () => {
      if (still.matches) pending = setTimeout(() => step(performance.now()), 1000);
      else pending = requestAnimationFrame(step);
    };
    const step = (now) => {
      if (!playing) return;
      time = Math.min(total, time + (Math.max(0, now - last) / 1000) * SPEEDS[speed.value]);
      last = now;
      show();
      if (time >= total) setPlaying(false);
      else next();
    };
    const toggle = () => {
      if (!playing && time >= total) time = 0;
      setPlaying(!playing);
    };
    const showSpeed = () => {
      const times = SPEEDS[speed.value], text = times === 1 ? "as it happens" : `${times} times as fast: 1 s shows ${times < 60 ? `${times} s` : Lot.spoken(times)}`;
      byId("speed-text").textContent = text;
      speed.setAttribute("aria-valuetext", text);
    };
    const setSpeed = (value) => {
      speed.value = String(value);
      showSpeed();
    };

    const keys = {
      " ": toggle, ArrowLeft: (e) => setTime(time - (e.shiftKey ? 600 : 60)), ArrowRight: (e) => setTime(time + (e.shiftKey ? 600 : 60)),
      ArrowUp: () => setSpeed(Number(speed.value) + 1), ArrowDown: () => setSpeed(Number(speed.value) - 1),
      Home: () => setTime(0), End: () => setTime(total),
    };
    document.addEventListener("keydown", (event) => {
      const act = keys[event.key];
      if (!act || event.altKey || event.ctrlKey || event.metaKey) return;
      if (event.target === speed || (event.key === " " && event.target === play)) return; // they know these keys themselves
      event.preventDefault();
      act(event);
    });
    play.addEventListener("click", toggle);
    seek.addEventListener("input", () => setTime(Number(seek.value)));
    speed.addEventListener("input", showSpeed);
    window.addEventListener("resize", () => {
      for (const run of runs) run.view.fit();
      show();
    });

    byId("title").textContent = data.scenario || "A night";
    document.title = `${data.scenario || "A night"} - replay`;
    if (data.start) byId("clock").setAttribute("aria-label", "Time of day");
    seek.max = String(Math.ceil(total));
    addLegend(runs);
    showSpeed();
    for (const run of runs) run.view.fit();
    show();
    document.documentElement.dataset.ready = "yes";
  };

  start();
})();
