// SPDX-License-Identifier: GPL-3.0-or-later
/* What nodes in a row see is found for all of them at once. The twin asks every node about every corner, and
 * looks at every edge for it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>

#include "random_site.h"
#include "site/net_private.h"

enum { SITES = 60, LINES = 8, NODES = 40 };

typedef struct scene {
  random_lot lot;
  const pc_zone *zones[8];
  pc_point nodes[LINES * NODES];
  pc_routes *routes;
} scene;

/* Straight lines of nodes across the site at any angle, as far apart as the stations of a lane. */
static void lay_nodes(scene *s, pc_stream *random) {
  for (size_t l = 0; l < LINES; l++) {
    pc_point from = random_free_point(random, &s->lot), to = random_free_point(random, &s->lot);
    double angle = atan2(to.y_m - from.y_m, to.x_m - from.x_m), step = random_between(random, 0.2, 4.0);
    for (size_t k = 0; k < NODES; k++)
      s->nodes[l * NODES + k] =
          (pc_point){from.x_m + (double)k * step * cos(angle), from.y_m + (double)k * step * sin(angle)};
  }
}

static void make_scene(scene *s, uint64_t seed) {
  random_site_options options = random_site_default();
  pc_stream random;
  pc_blocked blocked;
  pc_faults faults = {0};
  pc_stream_start(&random, seed, 0, 0, 0);
  options.obstacles_min = 3;
  s->lot = random_site(seed, &options);
  for (size_t z = 0; z < s->lot.zone_count; z++)
    s->zones[z] = &s->lot.zones[z];
  lay_nodes(s, &random);
  assert_int_equal(pc_blocked_make(&s->lot.site, s->zones, s->lot.zone_count,
                                   (pc_clearance){random_between(&random, 0.5, 2.5), true, false, NULL},
                                   &blocked),
                   PC_OK);
  assert_int_equal(pc_routes_net(&blocked, s->zones, s->lot.zone_count, s->nodes, LINES * NODES, true,
                                 &s->routes, &faults),
                   PC_OK);
  pc_faults_free(&faults);
}

static bool sees(const pc_net *net, pc_point from, const pc_corner *corner) {
  const pc_legs *wide = &net->blocked.wide;
  for (size_t k = 0; k < wide->count; k++)
    if (pc_leg_crosses(&wide->edges[k], from, corner->at))
      return false;
  return pc_taut(from, corner);
}

static size_t asked, seen_by_all, seen_by_none;

/* Every node of a row, and places between them that are no nodes. */
static void check_row(const pc_net *net, pc_hints *hints, size_t first, size_t last) {
  for (size_t c = 0; c < net->corners; c++) {
    const pc_corner *corner = &net->blocked.corners[c];
    pc_row_sight sight = pc_net_row_sees(net, hints, first, last, c);
    asked++;
    seen_by_all += sight == PC_ROW_ALL;
    seen_by_none += sight == PC_ROW_NONE;
    for (size_t node = first; node <= last && sight != PC_ROW_EACH; node++)
      assert_int_equal(sees(net, net->nodes[node], corner), sight == PC_ROW_ALL);
    for (int k = 0; k <= 100 && sight != PC_ROW_EACH; k++) {
      pc_point a = net->nodes[first], b = net->nodes[last];
      pc_point at = {a.x_m + 0.01 * k * (b.x_m - a.x_m), a.y_m + 0.01 * k * (b.y_m - a.y_m)};
      assert_int_equal(sees(net, at, corner), sight == PC_ROW_ALL);
    }
  }
}

static void rows_see_what_their_nodes_see(void **state) {
  (void)state;
  static scene s;
  for (uint64_t seed = 1; seed <= SITES; seed++) {
    pc_hints hints;
    make_scene(&s, seed);
    const pc_net *net = (const pc_net *)(const void *)s.routes;
    assert_int_equal(pc_hints_make(net, &hints), PC_OK);
    for (size_t node = 0, end; node < net->node_count; node = end) {
      end = net->node_near[node] ? node + 1 : pc_net_row(net, node, net->node_count);
      assert_true(end > node && end - node <= PC_NET_ROW_MAX);
      if (end - node >= PC_NET_ROW_MIN)
        check_row(net, &hints, node, end - 1);
    }
    pc_hints_free(&hints);
    pc_routes_free(s.routes);
    random_lot_free(&s.lot);
  }
  print_message("%zu corners asked of rows: all see %zu, none %zu\n", asked, seen_by_all, seen_by_none);
  assert_true(10 * (seen_by_all + seen_by_none) > 7 * asked && seen_by_all > asked / 50);
}

/* The lists that a net keeps for its nodes, as well: rows or not. */
static void lists_hold_what_is_seen(void **state) {
  (void)state;
  static scene s;
  for (uint64_t seed = 1; seed <= SITES; seed++) {
    make_scene(&s, seed);
    const pc_net *net = (const pc_net *)(const void *)s.routes;
    for (size_t node = 0; node < net->node_count; node++) {
      const uint16_t *next = net->seen + net->seen_first[node], *end = net->seen + net->seen_first[node + 1];
      for (size_t c = 0; c < net->corners && !net->node_near[node]; c++) {
        bool listed = next < end && *next == c;
        next += listed;
        assert_int_equal(listed, sees(net, net->nodes[node], &net->blocked.corners[c]));
      }
    }
    pc_routes_free(s.routes);
    random_lot_free(&s.lot);
  }
}

/* By hand: a square of 2 m in the middle, of which a triangle comes near, or not. */
static void triangles_keep_off(void **state) {
  (void)state;
  pc_leg_edge *edges = malloc(4 * sizeof *edges);
  assert_non_null(edges);
  edges[0] = (pc_leg_edge){4, 4, 6, 4};
  edges[1] = (pc_leg_edge){6, 4, 6, 6};
  edges[2] = (pc_leg_edge){6, 6, 4, 6};
  edges[3] = (pc_leg_edge){4, 6, 4, 4};
  pc_legs legs;
  assert_int_equal(pc_legs_make(edges, 4, &legs), PC_OK);
  const struct {
    pc_point at[3];
    bool clear;
  } cases[] = {
      {{{0, 0}, {3, 0}, {0, 3}}, true},
      {{{0, 0}, {10, 0}, {5, 3.9}}, true},
      {{{0, 0}, {10, 0}, {5, 4.1}}, false},
      {{{0, 0}, {0, 10}, {3.9, 5}}, true},
      {{{0, 0}, {5, 4.1}, {10, 0}}, false},
      {{{-10, -10}, {30, -10}, {5, 40}}, false},  /* around it */
      {{{4.9, 4.9}, {5.1, 4.9}, {5, 5.1}}, true}, /* within, but nowhere near an edge */
      {{{0, 5}, {10, 5.01}, {10, 4.99}}, false},  /* through it */
      {{{0, 0}, {5, 5}, {10, 10}}, false},        /* no area: not sure */
      {{{0, 4 - 2e-5}, {10, 4 - 2e-5}, {5, 0}}, true},
      {{{0, 4 - 5e-6}, {10, 4 - 5e-6}, {5, 0}}, false},
      {{{20, 20}, {30, 20}, {20, 30}}, true},
      {{{-9, 0}, {-5, 10}, {-9, 10}}, true},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
    assert_int_equal(pc_legs_clear_triangle(&legs, cases[i].at, 1e-5), cases[i].clear);
  pc_legs_free(&legs);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(rows_see_what_their_nodes_see),
      cmocka_unit_test(lists_hold_what_is_seen),
      cmocka_unit_test(triangles_keep_off),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
