// SPDX-License-Identifier: GPL-3.0-or-later
/* What the JSON writers share; not installed. A failed allocation leaves a NULL somewhere; jansson's "_new"
 * functions then fail too, and one flag per document keeps the news until the end. */
#ifndef PC_IO_RESULTS_JSON_PRIVATE_H
#define PC_IO_RESULTS_JSON_PRIVATE_H

#include <jansson.h>
#include <math.h>

#include "study/compare.h"
#include "study/order.h"

/* Adds value to map under key and takes it over; remembers a failure in *bad. */
static inline void put(json_t *map, const char *key, json_t *value, bool *bad) {
  if (json_object_set_new(map, key, value) != 0)
    *bad = true;
}

static inline void put_number(json_t *map, const char *key, double value, bool *bad) {
  put(map, key, isfinite(value) ? json_real(value) : json_null(), bad);
}

static inline void put_count(json_t *map, const char *key, uint64_t value, bool *bad) {
  put(map, key, json_integer((json_int_t)value), bad);
}

/* Text that is not UTF-8 (a program may have put anything into a name) keeps its plain letters. */
static inline json_t *make_text(const char *text) {
  json_t *made = json_string(text);
  if (made)
    return made;
  char plain[PC_MESSAGE_MAX];
  size_t i = 0;
  for (; i < sizeof plain - 1 && text[i]; i++)
    plain[i] = (unsigned char)text[i] < 0x80 ? text[i] : '?';
  plain[i] = '\0';
  return json_string(plain);
}

static inline void put_text(json_t *map, const char *key, const char *text, bool *bad) {
  put(map, key, make_text(text), bad);
}

static inline json_t *pc_json_statistic(const pc_statistic *statistic, bool *bad) {
  json_t *map = json_object();
  put_number(map, "mean", statistic->mean, bad);
  put_number(map, "half_width", statistic->half_width, bad);
  put_number(map, "level", statistic->level, bad);
  put_number(map, "min", statistic->min, bad);
  put_number(map, "max", statistic->max, bad);
  return map;
}

/* "starts_at": "22:30", where the scenario says when the work starts. */
static inline void pc_results_put_clock(json_t *root, const pc_clock *clock, bool *bad) {
  const pc_clock plain = {.given = true, .minutes = clock->minutes};
  if (clock->given)
    put_text(root, "starts_at", pc_clock_show(&plain, 0).text, bad);
}

/* results.c: layout, box, loader and policy of a row */
void pc_results_put_choice(json_t *map, const pc_compare_row *row, bool *bad);
/* results_season.c */
void pc_results_put_season(json_t *root, const pc_scenario *scenario, const pc_comparison *comparison,
                           bool *bad);
void pc_results_put_selection(json_t *root, const pc_comparison *comparison, bool *bad);

/* results_left_out.c: nothing if all could be made */
void pc_results_put_left_out(json_t *root, const pc_comparison *comparison, bool *bad);

/* results_night.c */

/* An order of areas that helps deadlines; null: none. */
void pc_results_put_order(json_t *root, const pc_lot *lot, const pc_order *order, bool *bad);
/* Areas, passages, the storm and the depth over time of a run; depths may be NULL. */
void pc_results_put_night(json_t *root, const pc_lot *lot, const pc_summary *summary,
                          const pc_depths_series *depths, bool *bad);
/* Who sets the time; null: nobody stands out. */
void pc_results_put_ends(json_t *map, const pc_ends *ends, const pc_lot_machine *machines, bool *bad);
/* Who drives across areas that are bound to others, as "crossings"; NULL: not known, null. */
void pc_results_put_crossings(json_t *map, const pc_crossed *crossed, bool *bad);
/* How the crew of one row spends its time. */
void pc_results_put_use(json_t *map, const pc_compare_row *row, bool *bad);
/* What the numbers of machines say, group by group. */
void pc_results_put_crews(json_t *root, const pc_comparison *comparison, bool *bad);

#endif
