// SPDX-License-Identifier: GPL-3.0-or-later
// What replay and board share: reading the data, units, and drawing the lot. Colours are the eight of Okabe & Ito
// (2008), "Color Universal Design", which people with any kind of colour vision tell apart; shapes, letters and
// hatching say the same without colour.
"use strict";

const Lot = (() => {
  const COLOURS = {
    black: "#000000", orange: "#E69F00", sky: "#56B4E9", green: "#009E73", yellow: "#F0E442",
    blue: "#0072B2", vermillion: "#D55E00", purple: "#CC79A7",
  };
  const PAVEMENT = "#8d8d8d";
  const BARE = [106, 106, 106]; // of an area to clear, without snow
  const BAR = 20; // room for the scale below the map
  const MACHINE_COLOURS = ["orange", "green", "purple", "yellow", "vermillion", "sky", "blue"];

  // Kinds of time as the JSON of a run has them, and in words.
  const TIMES = [["fill", "push"], ["carry", "carry"], ["dump", "dump"], ["return", "return"], ["turn", "turn"],
    ["lower_raise", "lower + raise"], ["wait", "wait"], ["clean_up", "clean up"], ["idle", "idle"]];

  const read = () => JSON.parse(document.getElementById("data").textContent);

  // ---- text ----

  const element = (name, attributes = {}, ...children) => {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    for (const child of children) made.append(child); // text stays text, whatever is in it
    return made;
  };

  const pad = (number) => String(number).padStart(2, "0");

  const clock = (seconds) => {
    const whole = Math.floor(seconds + 1e-6);
    return `${Math.floor(whole / 3600)}:${pad(Math.floor(whole / 60) % 60)}:${pad(whole % 60)}`;
  };

  // The clock time so long after a start that is given, in the form of the start. From a day on, where the same time has
  // been before, with the number of midnights since: what pc_clock_show prints.
  const timeOfDay = (start, seconds, fine) => {
    const step = fine ? 1 : 60, after = Math.floor((seconds + (fine ? 1e-6 : 30)) / step) * step;
    const time = 60 * start.minutes + after, hour = Math.floor(time / 3600) % 24, days = Math.floor(time / 86400);
    const rest = `${pad(Math.floor(time / 60) % 60)}${fine ? `:${pad(time % 60)}` : ""}`;
    const text = start.twelve ? `${hour % 12 || 12}:${rest} ${hour < 12 ? "am" : "pm"}` : `${pad(hour)}:${rest}`;
    return after < 86400 ? text : `${text} +${days} day${days === 1 ? "" : "s"}`;
  };

  const spoken = (seconds) => {
    const minutes = Math.round(seconds / 60);
    return minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
  };

  const minutes = (seconds) => (seconds / 60).toFixed(1);

  // SI to what is shown; short tons and US units where they are asked for.
  const unitsOf = (name) => {
    const us = name === "us";
    const rounded = (value) => value.toFixed(Math.abs(value) < 9.95 ? 1 : 0);
    return {
      mass: (kg) => `${(us ? kg / 907.18474 : kg / 1000).toFixed(1)} ${us ? "ton" : "t"}`,
      volume: (m3) => `${rounded(us ? m3 / 0.764554857984 : m3)} ${us ? "yd\u00b3" : "m\u00b3"}`,
      depth: (m) => `${rounded(us ? m / 0.0254 : m * 100)} ${us ? "in" : "cm"}`,
      length: (m) => `${rounded(us ? m / 0.3048 : m)} ${us ? "ft" : "m"}`,
      scale: us ? 0.3048 : 1,
      lengthUnit: us ? "ft" : "m",
    };
  };

  // 0 -> A, 25 -> Z, 26 -> AA
  const letter = (index) => (index < 26 ? "" : letter(Math.floor(index / 26) - 1)) + String.fromCharCode(65 + (index % 26));

  const short = (text, most) => (text.length > most ? `${text.slice(0, most - 1)}\u2026` : text);

  // ---- geometry ----

  const pointsOf = (thing) => thing.outline || [thing.at];

  const middle = (thing) => {
    const ring = pointsOf(thing);
    let area = 0, x = 0, y = 0;
    for (let i = 0; i < ring.length; i++) {
      const [x0, y0] = ring[i], [x1, y1] = ring[(i + 1) % ring.length];
      const cross = x0 * y1 - x1 * y0;
      area += cross;
      x += (x0 + x1) * cross;
      y += (y0 + y1) * cross;
    }
    if (Math.abs(area) > 1e-9) return [x / (3 * area), y / (3 * area)];
    return [0, 1].map((k) => ring.reduce((sum, point) => sum + point[k], 0) / ring.length);
  };

  const inside = (ring, [x, y]) => {
    let found = false;
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
      const [x0, y0] = ring[i], [x1, y1] = ring[j];
      if (y0 > y !== y1 > y && x < x0 + ((y - y0) * (x1 - x0)) / (y1 - y0)) found = !found;
    }
    return found;
  };

  const crosses = ([ax, ay], [bx, by], [cx, cy], [dx, dy]) => {
    const side = (px, py, qx, qy, rx, ry) => (qx - px) * (ry - py) - (qy - py) * (rx - px);
    return side(ax, ay, bx, by, cx, cy) * side(ax, ay, bx, by, dx, dy) < 0 && side(cx, cy, dx, dy, ax, ay) * side(cx, cy, dx, dy, bx, by) < 0;
  };

  const meets = (thing, a, b) => {
    const ring = thing.outline;
    if (!ring) {
      const dx = b[0] - a[0], dy = b[1] - a[1], [x, y] = thing.at, square = dx * dx + dy * dy || 1;
      const share = Math.min(1, Math.max(0, ((x - a[0]) * dx + (y - a[1]) * dy) / square));
      return Math.hypot(a[0] + share * dx - x, a[1] + share * dy - y) < (thing.radius_m || 0);
    }
    return inside(ring, a) || inside(ring, b) || ring.some((point, i) => crosses(a, b, point, ring[(i + 1) % ring.length]));
  };

  // How far to the left (or, if negative, right) of its line a box of this half width stands so as to touch nothing: the
  // simulation keeps it on the middle of its lane, and in nobody's way; 0 if there is no room on either side.
  const aside = (things, [x, y], facing, half) => {
    const across = [-Math.sin(facing), Math.cos(facing)], grazing = half - 0.05;
    const near = things.filter((thing) => {
      const [x0, y0, x1, y1] = thing.bounds;
      return x > x0 - 2 * half && x < x1 + 2 * half && y > y0 - 2 * half && y < y1 + 2 * half;
    });
    const free = (by) => {
      const end = (k) => [x + (by + k) * across[0], y + (by + k) * across[1]];
      return !near.some((thing) => meets(thing, end(-grazing), end(grazing)));
    };
    for (let by = 0; by <= half; by += 0.1) {
      if (free(by)) return by;
      if (free(-by)) return -by;
    }
    return 0;
  };

  const boundsOf = (lists) => {
    const box = [Infinity, Infinity, -Infinity, -Infinity];
    for (const list of lists)
      for (const thing of list)
        for (const [x, y] of pointsOf(thing)) {
          const r = thing.radius_m || 0;
          box[0] = Math.min(box[0], x - r);
          box[1] = Math.min(box[1], y - r);
          box[2] = Math.max(box[2], x + r);
          box[3] = Math.max(box[3], y + r);
        }
    return box;
  };

  // A canvas that shows a part of the world to scale, north (y) up.
  class View {
    constructor(canvas, bounds) {
      this.canvas = canvas;
      this.bounds = bounds;
      this.context = canvas.getContext("2d");
      this.fit();
    }

    // Takes the width that the page gives it, at most so high. True if anything changed.
    fit(mostHigh = 640) {
      const wide = Math.max(160, this.canvas.parentElement.clientWidth), ratio = window.devicePixelRatio || 1;
      const [x0, y0, x1, y1] = this.bounds, margin = 14;
      const across = Math.max(1, x1 - x0), up = Math.max(1, y1 - y0);
      const scale = Math.min((wide - 2 * margin) / across, (mostHigh - 2 * margin - BAR) / up);
      const high = Math.round(up * scale + 2 * margin + BAR);
      if (this.wide === wide && this.high === high && this.ratio === ratio) return false;
      Object.assign(this, { wide, high, ratio, scale });
      this.left = (wide - across * scale) / 2;
      this.top = margin;
      this.canvas.width = Math.round(wide * ratio);
      this.canvas.height = Math.round(high * ratio);
      this.canvas.style.width = `${wide}px`;
      this.canvas.style.height = `${high}px`;
      return true;
    }

    screen([x, y]) {
      return [this.left + (x - this.bounds[0]) * this.scale, this.top + (this.bounds[3] - y) * this.scale];
    }

    world([x, y]) {
      return [this.bounds[0] + (x - this.left) / this.scale, this.bounds[3] - (y - this.top) / this.scale];
    }

    begin() {
      const c = this.context;
      c.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
      c.lineJoin = "round";
      c.fillStyle = "#e4e4e0";
      c.fillRect(0, 0, this.wide, this.high);
    }

    path(thing) {
      const c = this.context;
      c.beginPath();
      if (!thing.outline) {
        const [x, y] = this.screen(thing.at);
        c.arc(x, y, Math.max(2, (thing.radius_m || 0) * this.scale), 0, 2 * Math.PI);
        return;
      }
      thing.outline.forEach((point, i) => (i ? c.lineTo(...this.screen(point)) : c.moveTo(...this.screen(point))));
      c.closePath();
    }

    fill(thing, style) {
      this.path(thing);
      this.context.fillStyle = style;
      this.context.fill();
    }

    stroke(thing, style, width = 1, dash = []) {
      const c = this.context;
      this.path(thing);
      c.strokeStyle = style;
      c.lineWidth = width;
      c.setLineDash(dash);
      c.stroke();
      c.setLineDash([]);
    }

    // Slanting lines over a shape.
    hatch(thing, style, gap = 6) {
      const c = this.context;
      c.save();
      this.path(thing);
      c.clip();
      const ends = boundsOf([[thing]]), [x0, y1] = this.screen([ends[0], ends[1]]), [x1, y0] = this.screen([ends[2], ends[3]]);
      c.beginPath();
      for (let x = x0 - (y1 - y0) - 8; x < x1 + 8; x += gap) {
        c.moveTo(x, y1 + 4);
        c.lineTo(x + (y1 - y0) + 8, y0 - 4);
      }
      c.strokeStyle = style;
      c.lineWidth = 1;
      c.stroke();
      c.restore();
    }

    // Text with a light rim, so that it reads on anything.
    label(text, [x, y], { size = 12, weight = "normal", align = "center", colour = "#000" } = {}) {
      const c = this.context;
      c.font = `${weight} ${size}px system-ui, "DejaVu Sans", sans-serif`;
      c.textAlign = align;
      c.textBaseline = "middle";
      c.lineWidth = 3;
      c.strokeStyle = "rgba(255,255,255,0.9)";
      c.strokeText(text, x, y);
      c.fillStyle = colour;
      c.fillText(text, x, y);
    }

    textWidth(text, size) {
      this.context.font = `${size}px system-ui, "DejaVu Sans", sans-serif`;
      return this.context.measureText(text).width;
    }

    scaleBar(units) {
      const c = this.context, steps = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
      const step = steps.find((s) => s * units.scale * this.scale >= 60) || 1000;
      const long = step * units.scale * this.scale, x = this.left, y = this.high - 6;
      c.strokeStyle = "#000";
      c.lineWidth = 1.5;
      c.beginPath();
      c.moveTo(x, y - 4);
      c.lineTo(x, y);
      c.lineTo(x + long, y);
      c.lineTo(x + long, y - 4);
      c.stroke();
      this.label(`${step} ${units.lengthUnit}`, [x + long / 2, y - 9], { size: 11 });
    }
  }

  // ---- the lot ----

  const drawPavement = (view, site) => {
    for (const part of site.ground) view.fill(part, PAVEMENT);
    for (const area of site.areas) view.fill(area, `rgb(${BARE.join(",")})`);
  };

  const OBSTACLE_STYLES = {
    building: ["#3a3a3a", "#000"], island: ["#7f9f7a", "#2f4f2f"], pole: ["#000", "#000"],
    parked: ["#c9b8a0", "#4a3b28"], fence: ["#000", "#000"], "old-pile": ["#bcd4e4", "#33556b"],
  };
  // Words: single letters are machines, numbers are zones.
  const CLEAR_SIGNS = { hydrant: "hydrant", drain: "drain", door: "door", accessible: "\u267f", sight: "sight",
    "no-piles": "no piles" };

  // What keeps its place all night; names where there is room for them.
  const drawThings = (view, site) => {
    for (const area of site.areas) view.stroke(area, "rgba(0,0,0,0.55)", 1, [5, 3]);
    for (const passage of site.passages) {
      if (!passage.outline && !passage.radius_m) continue;
      view.stroke(passage, COLOURS.blue, 1.5, [2, 3]);
    }
    for (const thing of site.obstacles) {
      const [fill, edge] = OBSTACLE_STYLES[thing.kind] || OBSTACLE_STYLES.parked;
      view.fill(thing, fill);
      view.stroke(thing, edge, thing.kind === "fence" ? 2 : 1);
      if (thing.kind === "building") view.hatch(thing, "#666", 7);
    }
    for (const thing of site.keep_clear) {
      view.stroke(thing, COLOURS.vermillion, 1.5, [3, 2]);
      if (thing.outline) view.hatch(thing, "rgba(213,94,0,0.5)", 8);
      else view.label(CLEAR_SIGNS[thing.kind] || "!", view.screen(thing.at).map((v, k) => v + (k ? -9 : 0)), { size: 10, weight: "bold", colour: "#8a3c00" });
    }
    for (const thing of site.obstacles.filter((o) => o.kind === "building")) nameInside(view, thing);
    if (site.fuel_point) drawFuel(view, site.fuel_point);
  };

  // Where machines refuel: a diamond, as on printed maps.
  const drawFuel = (view, at) => {
    const c = view.context, [x, y] = view.screen(at), half = 5.5;
    c.beginPath();
    for (const [dx, dy] of [[0, -half], [half, 0], [0, half], [-half, 0]]) c.lineTo(x + dx, y + dy);
    c.closePath();
    c.fillStyle = COLOURS.orange;
    c.fill();
    c.strokeStyle = COLOURS.black;
    c.lineWidth = 1;
    c.stroke();
    view.label("fuel", [x, y + 13], { size: 10, weight: "bold" });
  };

  const nameInside = (view, thing) => {
    const [x0, y0, x1, y1] = boundsOf([[thing]]), wide = (x1 - x0) * view.scale, high = (y1 - y0) * view.scale;
    if (high < 13) return;
    let size = 12, name = thing.name;
    if (view.textWidth(name, size) > wide - 4) size = 10;
    while (name.length > 4 && view.textWidth(name, size) > wide - 4) name = short(name, name.length - 1);
    if (name.length > 4 || name === thing.name) view.label(name, view.screen(middle(thing)), { size });
  };

  const shrunk = (thing, share) => {
    const [mx, my] = middle(thing);
    return { outline: thing.outline.map(([x, y]) => [mx + (x - mx) * share, my + (y - my) * share]) };
  };

  // A pile zone, its number, and the heap in it: `share` of what it holds, or of the most that will lie there.
  const drawZone = (view, zone, number, share, { edge = COLOURS.blue, width = 2 } = {}) => {
    const base = zone.outline ? zone : { at: zone.at, radius_m: 4 };
    view.fill(base, "rgba(255,255,255,0.35)");
    if (share > 0.005) {
      const grown = Math.sqrt(Math.min(1, share));
      for (const [part, style] of [[1, "#d5e6f1"], [0.66, "#eaf3f9"], [0.33, "#ffffff"]]) {
        const heap = zone.outline ? shrunk(zone, grown * part) : { at: zone.at, radius_m: 4 * grown * part };
        view.fill(heap, style);
        view.stroke(heap, "#5b7d95", 0.75);
      }
    }
    view.stroke(base, edge, width);
    const at = view.screen(middle(zone));
    const c = view.context;
    c.fillStyle = "#fff";
    c.strokeStyle = "#000";
    c.lineWidth = 1.25;
    c.fillRect(at[0] - 8, at[1] - 8, 16, 16);
    c.strokeRect(at[0] - 8, at[1] - 8, 16, 16);
    c.font = `bold ${number > 9 ? 10 : 12}px system-ui, "DejaVu Sans", sans-serif`;
    c.textAlign = "center";
    c.textBaseline = "middle";
    c.fillStyle = "#000";
    c.fillText(String(number), at[0], at[1] + 0.5);
  };

  // The sign of a machine: one of four shapes, a colour, a letter.
  const drawSign = (c, index, [x, y], r = 8) => {
    c.beginPath();
    if (index % 4 === 0) c.arc(x, y, r, 0, 2 * Math.PI);
    else if (index % 4 === 1) c.rect(x - r, y - r, 2 * r, 2 * r);
    else if (index % 4 === 2) [[0, -1.35], [1.35, 0], [0, 1.35], [-1.35, 0]].forEach(([dx, dy], i) => (i ? c.lineTo(x + r * dx, y + r * dy) : c.moveTo(x + r * dx, y + r * dy)));
    else [[-1.2, 0.85], [1.2, 0.85], [0, -1.5]].forEach(([dx, dy], i) => (i ? c.lineTo(x + r * dx, y + r * dy) : c.moveTo(x + r * dx, y + r * dy)));
    c.closePath();
    c.fillStyle = COLOURS[MACHINE_COLOURS[index % MACHINE_COLOURS.length]];
    c.strokeStyle = "#000";
    c.lineWidth = 1.5;
    c.fill();
    c.stroke();
    c.font = `bold ${Math.round(r * (index > 25 ? 1.1 : 1.4))}px system-ui, "DejaVu Sans", sans-serif`;
    c.textAlign = "center";
    c.textBaseline = "middle";
    c.lineJoin = "round";
    c.strokeStyle = "#fff"; // a rim: letters read on any of the colours, and on their greys
    c.lineWidth = 3;
    c.strokeText(letter(index), x, y + (index % 4 === 3 ? 1.5 : 0.5));
    c.fillStyle = "#000";
    c.fillText(letter(index), x, y + (index % 4 === 3 ? 1.5 : 0.5));
  };

  // The same sign as a small picture for a table.
  const signPicture = (index) => {
    const canvas = element("canvas", { width: 44, height: 44, "aria-hidden": "true" });
    canvas.className = "sign";
    const c = canvas.getContext("2d");
    c.scale(2, 2);
    drawSign(c, index, [11, 11.5], 7);
    return canvas;
  };

  // ---- snow ----

  // Grey of bare pavement to white at all of the night's snow, then to a blue at four times that, which is lighter
  // than bare pavement without colour too.
  const rampOf = (full) => {
    const most = 4 * full, table = new Uint8ClampedArray(3 * (most + 1)), blue = [86, 180, 233];
    for (let level = 0; level <= most; level++) {
      const white = Math.min(1, level / full) ** 0.6, deep = level <= full ? 0 : ((level - full) / (most - full)) ** 0.8;
      for (let k = 0; k < 3; k++) {
        const pale = BARE[k] + (250 - BARE[k]) * white;
        table[3 * level + k] = pale + (blue[k] - pale) * deep;
      }
    }
    return table;
  };

  return {
    CLEAR_SIGNS, COLOURS, TIMES, View, aside, boundsOf, clock, drawPavement, drawSign, drawThings, drawZone, element, inside, letter, middle, minutes,
    pointsOf, rampOf, read, short, signPicture, spoken, timeOfDay, unitsOf,
  };
})();
