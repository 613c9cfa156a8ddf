// SPDX-License-Identifier: GPL-3.0-or-later
/* The tables by which the lower bound measures ways, against the same ways looked for one by one: a table
 * that belongs to other lanes gives lengths that are none. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "io/scenario.h"
#include "io/starter.h"
#include "sim/lot.h"
#include "site/routes.h"

static pc_scenario demonstration(void) {
  pc_scenario s;
  pc_faults faults = {0};
  const char *text = pc_demo_scenario();
  const pc_override apart[] = {{"crew[0].areas", "[car park]", NULL}, {"crew[1].areas", "[drop-off]", NULL}};
  assert_int_equal(pc_scenario_read_text("demonstration lot", text, strlen(text), apart, 2, &s, &faults),
                   PC_OK);
  pc_faults_free(&faults);
  return s;
}

/* Every seventh slot of the lanes by which a share is counted; how many there were. */
static size_t compare(const pc_lot *lot, const pc_lot_share *share) {
  const pc_lane_set *set = &lot->lane_sets[share->lane_set];
  size_t looked = 0;
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    for (int i = (int)(l % 7); i < lane->stations; i += 7) {
      const pc_slot_way *slot = &set->slot_ways[lane->first + (size_t)i];
      if (slot->node == PC_NO_NODE)
        continue;
      pc_place known = {pc_lane_point(lot, lane, slot->low_m), slot->node, 0.0},
               anywhere = pc_place_at(known.at);
      for (size_t z = 0; z < lot->zone_count; z++) {
        pc_way by_table, looked_for;
        pc_routes_to_zone(share->routes, &known, z, &by_table);
        pc_routes_to_zone(share->routes, &anywhere, z, &looked_for);
        looked++;
        if (!(fabs(by_table.length_m - looked_for.length_m) <= 1e-6 * looked_for.length_m))
          fail_msg("share %zu, lane %zu, slot %d, zone %zu: %.9g m by the table, looked for %.9g m",
                   (size_t)(share - lot->shares), l, i, z, by_table.length_m, looked_for.length_m);
      }
    }
  }
  return looked;
}

/* Each machine has an area, and lanes, of its own. */
static void of_the_demonstration_lot(void **state) {
  (void)state;
  pc_scenario s = demonstration();
  for (size_t n = 0; n < s.layout_count; n++) {
    pc_choice choice = pc_choice_default();
    pc_lot *lot = NULL;
    pc_faults faults = {0};
    bool other_lanes = false;
    choice.layout = s.layouts[n].name.text;
    assert_int_equal(pc_lot_create(&s, &choice, &lot, &faults), PC_OK);
    assert_true(lot->share_count > 1 && lot->lane_sets[0].slot_ways);
    for (size_t i = 0; i < lot->share_count; i++) {
      assert_true(compare(lot, &lot->shares[i]) > 5);
      other_lanes |= lot->shares[i].lane_set != lot->shares[0].lane_set;
    }
    assert_true(other_lanes);
    pc_lot_free(lot);
    pc_faults_free(&faults);
  }
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(of_the_demonstration_lot)};
  return cmocka_run_group_tests_name("ways of the lower bound", tests, NULL, NULL);
}
