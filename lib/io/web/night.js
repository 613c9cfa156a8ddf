// SPDX-License-Identifier: GPL-3.0-or-later
// A recorded night, unpacked: what every machine does when, and how the ground lies then. lib/io/replay.c says what
// the packed numbers mean.
"use strict";

const Night = (() => {
  // ---- packed numbers ----

  class Numbers {
    constructor(text) {
      this.bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
      this.at = 0;
    }

    get more() {
      return this.at < this.bytes.length;
    }

    next() {
      let value = 0, weight = 1;
      for (;;) {
        const byte = this.bytes[this.at++];
        value += (byte & 0x7f) * weight;
        if (byte < 0x80) return value;
        weight *= 128;
      }
    }

    signed() {
      const value = this.next();
      return value % 2 ? -(value + 1) / 2 : value / 2;
    }
  }

  // ---- machines ----

  const keyOf = (phase) => (phase === "lower" || phase === "raise" ? "lower_raise" : phase);

  // The legs of every machine, each with the sums of all before it.
  const readLegs = (run) => {
    const numbers = new Numbers(run.rows);
    const tracks = run.machines.map((machine) => ({ legs: [], end: 0, x: Math.round(machine.start[0] * 100), y: Math.round(machine.start[1] * 100) }));
    while (numbers.more) {
      const track = tracks[numbers.next()], kind = numbers.next();
      if (kind & 32) {
        track.x += numbers.signed();
        track.y += numbers.signed();
      }
      const start = track.end + numbers.signed(), end = start + numbers.next();
      const x1 = track.x + numbers.signed(), y1 = track.y + numbers.signed();
      track.legs.push({
        phase: run.phases[kind & 15], reverse: (kind & 16) > 0, start: start / 1000, end: end / 1000,
        from: [track.x / 100, track.y / 100], to: [x1 / 100, y1 / 100], metres: numbers.next() / 100,
        load: numbers.next() / 10, zone: numbers.next() - 1,
      });
      Object.assign(track, { end, x: x1, y: y1 });
    }
    return tracks.map((track) => track.legs);
  };

  const angleOf = (leg) => {
    const dx = leg.to[0] - leg.from[0], dy = leg.to[1] - leg.from[1];
    if (Math.hypot(dx, dy) < 0.05) return null;
    return Math.atan2(dy, dx) + (leg.reverse ? Math.PI : 0);
  };

  // Which way it looks at the beginning and end of every leg: a turn ends as the next drive begins.
  const addFacings = (legs) => {
    let facing = legs.map(angleOf).find((angle) => angle !== null) || 0, next = null;
    const ahead = new Array(legs.length);
    for (let i = legs.length - 1; i >= 0; i--) {
      ahead[i] = next;
      const own = angleOf(legs[i]);
      if (own !== null) next = own;
    }
    legs.forEach((leg, i) => {
      const own = angleOf(leg);
      leg.facing0 = own === null ? facing : own;
      leg.facing1 = own !== null ? own : leg.phase === "turn" && ahead[i] !== null ? ahead[i] : facing;
      facing = leg.facing1;
    });
  };

  const addSums = (legs) => {
    const sums = Object.fromEntries(Lot.TIMES.map(([key]) => [key, 0]));
    let loads = 0, placed = 0, box = 0;
    for (const leg of legs) {
      leg.before = { times: { ...sums }, loads, placed, box };
      sums[keyOf(leg.phase)] += leg.end - leg.start;
      if (leg.phase === "dump") {
        loads++;
        if (leg.zone >= 0) placed += leg.load;
        box = 0;
      } else {
        box = leg.load;
      }
    }
    legs.after = { times: sums, loads, placed, box };
  };

  // Index of the leg under way; -1 before the first, and between two legs the one before.
  const legAt = (legs, time) => {
    let low = -1, high = legs.length;
    while (high - low > 1) {
      const mid = (low + high) >> 1;
      if (legs[mid].start <= time) low = mid;
      else high = mid;
    }
    return low;
  };

  const turned = (from, to, share) => {
    let by = (to - from) % (2 * Math.PI);
    if (by > Math.PI) by -= 2 * Math.PI;
    if (by < -Math.PI) by += 2 * Math.PI;
    return from + by * share;
  };

  // ---- the ground ----

  // Every change of a cell, in order of when the box comes past it.
  const readChanges = (run, cellPlace) => {
    const numbers = new Numbers(run.changes), times = [], cells = [], by = [];
    let clock = 0;
    while (numbers.more) {
      clock += numbers.signed();
      const lasts = numbers.next() / 1000, [x0, y0, x1, y1] = [0, 0, 0, 0].map(() => numbers.signed() / 100);
      const dx = x1 - x0, dy = y1 - y0, square = dx * dx + dy * dy;
      let cell = 0;
      for (let count = numbers.next(); count > 0; count = numbers.next()) {
        cell += numbers.next();
        const change = numbers.signed();
        for (const end = cell + count; cell < end; cell++) {
          const [x, y] = cellPlace(cell);
          const share = square > 0 ? Math.min(1, Math.max(0, ((x - x0) * dx + (y - y0) * dy) / square)) : 1;
          times.push(clock / 1000 + share * lasts);
          cells.push(cell);
          by.push(change);
        }
      }
    }
    const order = Uint32Array.from(times, (_, i) => i).sort((a, b) => times[a] - times[b]);
    return {
      times: Float64Array.from(order, (i) => times[i]), cells: Uint32Array.from(order, (i) => cells[i]),
      by: Int16Array.from(order, (i) => by[i]),
    };
  };

  const readStart = (run, cells) => {
    const numbers = new Numbers(run.start), levels = new Int16Array(cells), ground = new Uint8Array(cells);
    for (let cell = 0; numbers.more;) {
      const count = numbers.next(), value = numbers.next();
      levels.fill(value - 1, cell, cell + count);
      ground.fill(value > 0 ? 1 : 0, cell, cell + count);
      cell += count;
    }
    return { levels, ground };
  };

  class Ground {
    constructor(run) {
      this.patches = run.patches;
      let first = 0;
      for (const patch of this.patches) {
        patch.first = first;
        first += patch.strips * patch.stations;
        patch.canvas = document.createElement("canvas");
        patch.canvas.width = patch.strips;
        patch.canvas.height = patch.stations;
        patch.image = new ImageData(patch.strips, patch.stations);
      }
      Object.assign(this, readStart(run, first));
      this.changes = readChanges(run, (cell) => this.place(cell));
      this.ramp = Lot.rampOf(run.full_level);
      this.full = run.full_level;
      this.done = 0; // changes made so far
      this.fallen = 0;
      this.paint();
    }

    patchOf(cell) {
      let p = this.patches.length - 1;
      while (this.patches[p].first > cell) p--;
      return this.patches[p];
    }

    place(cell) {
      const patch = this.patchOf(cell), within = cell - patch.first;
      const u = patch.u0_m + (Math.floor(within / patch.strips) + 0.5) * patch.station_m;
      const v = patch.v0_m + ((within % patch.strips) + 0.5) * patch.strip_m;
      return [u * patch.cosine - v * patch.sine, u * patch.sine + v * patch.cosine];
    }

    dot(patch, cell) {
      const level = Math.min(4 * this.full, Math.max(0, this.levels[cell] + this.fallen)), at = 4 * (cell - patch.first);
      const pixels = patch.image.data;
      pixels[at] = this.ramp[3 * level];
      pixels[at + 1] = this.ramp[3 * level + 1];
      pixels[at + 2] = this.ramp[3 * level + 2];
      pixels[at + 3] = 255 * this.ground[cell];
    }

    paint() {
      for (const patch of this.patches) {
        for (let cell = patch.first; cell < patch.first + patch.strips * patch.stations; cell++) this.dot(patch, cell);
        patch.dirty = true;
      }
    }

    // Makes or takes back changes until the ground is as at this time; `fallen` in levels.
    moveTo(time, fallen) {
      const { times, cells, by } = this.changes, all = Math.round(fallen) !== this.fallen;
      this.fallen = Math.round(fallen);
      const change = (i, sign) => {
        this.levels[cells[i]] += sign * by[i];
        if (all) return;
        const patch = this.patchOf(cells[i]);
        this.dot(patch, cells[i]);
        patch.dirty = true;
      };
      while (this.done < times.length && times[this.done] <= time) change(this.done++, 1);
      while (this.done > 0 && times[this.done - 1] > time) change(--this.done, -1);
      if (all) this.paint();
    }

    draw(view, areas) {
      const c = view.context;
      this.patches.forEach((patch, p) => {
        if (patch.dirty) patch.canvas.getContext("2d").putImageData(patch.image, 0, 0);
        patch.dirty = false;
        c.save();
        view.path(areas[p]);
        c.clip();
        const [x, y] = view.screen([patch.u0_m * patch.cosine - patch.v0_m * patch.sine, patch.u0_m * patch.sine + patch.v0_m * patch.cosine]);
        const s = view.scale, across = patch.strip_m * s, along = patch.station_m * s;
        // a pixel's x runs over the strips (to the left of the heading), its y along the heading; the screen's y is down
        c.transform(-patch.sine * across, -patch.cosine * across, patch.cosine * along, -patch.sine * along, x, y);
        c.imageSmoothingEnabled = false;
        c.drawImage(patch.canvas, 0, 0);
        c.restore();
      });
    }
  }

  return { Ground, addFacings, addSums, keyOf, legAt, readLegs, turned };
})();
