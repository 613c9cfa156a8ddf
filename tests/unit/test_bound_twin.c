// SPDX-License-Identifier: GPL-3.0-or-later
/* The form of the lower bound that counts whole cycles (docs/bound.md, "Cycles") against a slow twin: E and C
 * from their definitions, with vectors and acos; what a metre saves by differences over a hair; snow and
 * metres of all places and slants that a lane has, finely sampled. What the bound leaves to be on the safe
 * side keeps it below the twin, but not by much. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "base/memory.h"
#include "base/random.h"
#include "scene.h"
#include "simulate.h"
#include "study/bound_private.h"

static const double pi = 3.14159265358979323846;

enum { ZONES = 3, CASES = 120 };

typedef struct twin {
  double length_m, width_m; /* lanes along x, 4.5 m wide */
  size_t zones;
  pc_point zone[ZONES], out[ZONES];
  double carry, forward, back, turn_s, spared_s, push;
} twin;

static double angle(pc_point a, pc_point b) {
  double dot = a.x_m * b.x_m + a.y_m * b.y_m, size = hypot(a.x_m, a.y_m) * hypot(b.x_m, b.y_m);
  return acos(fmax(-1, fmin(1, dot / size)));
}

static pc_point minus(pc_point a, pc_point b) {
  return (pc_point){a.x_m - b.x_m, a.y_m - b.y_m};
}

static double reach(const twin *t, pc_point x, pc_point p) {
  double least = INFINITY;
  for (size_t z = 0; z < t->zones; z++) {
    pc_point e = minus(x, t->zone[z]);
    double w = hypot(e.x_m, e.y_m), turns = t->turn_s / pi * (angle(e, t->out[z]) + angle(e, p));
    least = fmin(least, fmin(w / fmax(t->back, t->carry), w / t->forward + turns) - t->spared_s);
  }
  return least;
}

static double bring(const twin *t, pc_point x, pc_point p) {
  double least = INFINITY;
  for (size_t z = 0; z < t->zones; z++) {
    pc_point f = minus(t->zone[z], x);
    double w = hypot(f.x_m, f.y_m), turns = t->turn_s / pi * (angle(p, f) - angle(f, t->out[z]));
    least = fmin(least, w / t->carry + turns);
  }
  return least;
}

/* What a metre costs, pushed with an empty box and with a full one. */
static double metre(const twin *t, pc_point x, pc_point p) {
  const double hair = 1e-4, size = hypot(p.x_m, p.y_m);
  pc_point on = {x.x_m + p.x_m / size * hair, x.y_m + p.y_m / size * hair};
  double longer = (reach(t, on, p) - reach(t, x, p)) / hair;
  double nearer = (bring(t, x, p) - bring(t, on, p)) / hair;
  return 1 / t->push - fmax(longer, nearer);
}

/* Nearer to a zone than five metres the bound counts next to nothing: no case has snow there. */
static double twin_s(const twin *t, double load_kg, double kgpm2) {
  const double step = 0.1, swath = 4.5;
  double sum = 0;
  for (double v = swath / 2; v < t->width_m; v += swath)
    for (double u = step / 2; u < t->length_m; u += step) {
      pc_point at = {u, v}, headings[] = {{1, 0}, {-1, 0}};
      double snow = INFINITY, way = INFINITY;
      for (int i = 0; i < 2; i++) {
        snow = fmin(snow, reach(t, at, headings[i]) + bring(t, at, headings[i]));
        way = fmin(way, metre(t, at, headings[i]));
      }
      for (size_t z = 0; z < t->zones; z++)
        for (double off = -swath / 2; off <= swath / 2; off += 0.05) {
          pc_point beside = {u, v + off}, ahead = minus(t->zone[z], beside);
          bool to = off == 0 || (off > 0) == (t->zone[z].y_m > v);
          if (!to || fabs(ahead.y_m) > 0.5 * fabs(ahead.x_m) || fabs(off) > fabs(t->zone[z].y_m - v))
            continue;
          snow = fmin(snow, reach(t, beside, ahead) + bring(t, beside, ahead));
          way = fmin(way, metre(t, beside, ahead));
        }
      sum += step * swath * kgpm2 / load_kg * snow + step * way;
    }
  return sum;
}

static double between(pc_stream *stream, double low, double high) {
  return low + (high - low) * (double)(pc_stream_next(stream) >> 11) * 0x1p-53;
}

static pc_point away_from(const twin *t, pc_point at) {
  const double off[] = {fabs(at.x_m), fabs(at.x_m - t->length_m), fabs(at.y_m), fabs(at.y_m - t->width_m)};
  static const pc_point out[] = {{-1, 0}, {1, 0}, {0, -1}, {0, 1}};
  int nearest = 0;
  for (int side = 1; side < 4; side++)
    nearest = off[side] < off[nearest] ? side : nearest;
  return out[nearest];
}

static void as_its_twin(void **state) {
  (void)state;
  double farthest = 0, mean = 0;
  for (uint64_t number = 0; number < CASES; number++) {
    pc_stream stream;
    pc_stream_start(&stream, 22, number, 0, 0);
    twin t = {.length_m = between(&stream, 20, 60), .width_m = 4.5 * (1 + (double)(number % 3))};
    t.zones = 1 + number % ZONES;
    for (size_t z = 0; z < t.zones; z++) {
      double far = between(&stream, 8, 60), along = between(&stream, 0, t.length_m);
      const pc_point at[] = {{-far, between(&stream, -10, 20)},
                             {t.length_m + far, between(&stream, -10, 20)},
                             {along, -far},
                             {along, t.width_m + far}};
      t.zone[z] = at[(int)between(&stream, 0, 3.999)];
      t.out[z] = away_from(&t, t.zone[z]);
    }
    pc_scenario s = scene_rectangle(t.length_m, t.width_m, t.zone, t.zones);
    pc_loader *l = &s.loaders[0];
    s.station_m = 0.5;
    t.push = l->push_speed_mps = between(&stream, 1, 2);
    t.carry = l->carry_speed_mps = between(&stream, 2, 4);
    t.forward = l->return_speed_mps = between(&stream, 4, 6);
    t.back = l->reverse_speed_mps = between(&stream, 1, 5);
    t.turn_s = l->turn_s = number % 4 == 0 ? 0 : between(&stream, 5, 30);
    l->lower_s = 1, l->raise_s = 2, l->dump_s = 97;
    if (number % 5 == 1 && t.back < t.forward) {
      l->back_out_m = 4;
      double forward = 1 / t.forward, within = 4 + t.turn_s / sqrt(1 / t.back / t.back - forward * forward);
      t.spared_s = within * (1 / fmax(t.back, t.carry) - forward);
    }
    pc_lot *lot = make_lot(&s);
    double load_kg = lot->full_at * lot->machines[0].unit.capacity_kg, all_kg = pc_lot_snow_kg(lot), got_s;
    double area_m2 = all_kg / 10, firsts_s = l->raise_s + 2 * t.turn_s;
    firsts_s += pc_bound_start_way_m(lot, 0) / t.forward;
    double wanted = all_kg / load_kg * 100 + twin_s(&t, load_kg, all_kg / area_m2) - firsts_s;
    assert_int_equal(pc_bound_cycles_s(lot, all_kg, 0, &got_s), PC_OK);
    double short_by = 1 - got_s / wanted;
    farthest = fmax(farthest, short_by);
    mean += short_by / CASES;
    if (!(short_by >= 0 && short_by <= 0.04))
      fail_msg("case %d: %g s, the twin %g s", (int)number, got_s, wanted);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
  print_message("below the twin by %.4f on average, %.4f at most\n", mean, farthest);
  assert_true(mean <= 0.01);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(as_its_twin)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
