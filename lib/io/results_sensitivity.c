// SPDX-License-Identifier: GPL-3.0-or-later
#include <math.h>

#include "io/csv.h"
#include "io/results.h"
#include "io/results_study_private.h"

static json_t *make_statistic(const pc_statistic *s, bool known, bool *bad) {
  if (!known)
    return json_null();
  json_t *map = json_object();
  put_number(map, "mean", s->mean, bad);
  put_number(map, "half_width", s->half_width, bad);
  put_number(map, "level", s->level, bad);
  put_number(map, "min", s->min, bad);
  put_number(map, "max", s->max, bad);
  return map;
}

static json_t *make_row(const pc_sensitivity_row *row, bool *bad) {
  json_t *map = json_object();
  put_text(map, "input", row->key, bad);
  put_text(map, "dimension", pc_dimension_name(row->dimension), bad);
  put_number(map, "now_min", row->now_least, bad);
  put_number(map, "now_max", row->now_most, bad);
  put_number(map, "low_factor", row->low, bad);
  put_number(map, "high_factor", row->high, bad);
  put(map, "low_change_s", make_statistic(&row->low_s, row->low != 1.0, bad), bad);
  put(map, "high_change_s", make_statistic(&row->high_s, row->high != 1.0, bad), bad);
  put(map, "elasticity", make_statistic(&row->elasticity, true, bad), bad);
  put_number(map, "swing_s", row->swing_s, bad);
  put(map, "note", row->note[0] ? make_text(row->note) : json_null(), bad);
  return map;
}

static json_t *make_turn(const pc_break_even *turn, bool *bad) {
  json_t *map = json_object();
  put_text(map, "of", turn->of_layouts ? "layouts" : "boxes", bad);
  put_text(map, "below", turn->below.text, bad);
  put_text(map, "above", turn->above.text, bad);
  put_number(map, "depth_m", turn->depth_m, bad);
  put_number(map, "quicker_below", turn->least, bad);
  put_number(map, "quicker_above", turn->most, bad);
  return map;
}

static json_t *make_no_turns(const pc_sensitivity *s, bool *bad) {
  json_t *list = json_array();
  for (size_t i = 0; i < s->no_turn_count; i++) {
    json_t *map = json_object();
    put_text(map, "of", s->no_turns[i].of_layouts ? "layouts" : "boxes", bad);
    put_text(map, "name", s->no_turns[i].name.text, bad);
    put_text(map, "reason", s->no_turns[i].reason, bad);
    pc_json_append(list, map, bad);
  }
  return list;
}

pc_status pc_results_sensitivity_json(const pc_sensitivity *s, const char *name, pc_text *out) {
  bool bad = false;
  json_t *root = json_object(), *rows = json_array(), *left_out = json_array(), *turns = json_array();
  put_text(root, "format", "pushcycle-sensitivity", &bad);
  put_count(root, "version", 1, &bad);
  if (s->stopped) {
    put(root, "stopped", json_true(), &bad);
    put(root, "break_evens_missing", json_boolean(s->turns_missing), &bad);
  }
  put_text(root, "scenario", name, &bad);
  put(root, "finished", json_boolean(s->base_finished), &bad);
  put(root, "total_time_s", make_statistic(&s->base_s, true, &bad), &bad);
  put_number(root, "share", s->share, &bad);
  for (size_t i = 0; i < s->row_count; i++)
    pc_json_append(rows, make_row(&s->rows[i], &bad), &bad);
  put(root, "rows", rows, &bad);
  for (size_t i = 0; i < s->left_out_count; i++) {
    json_t *map = json_object();
    put_text(map, "input", s->left_out[i].key, &bad);
    put_text(map, "reason", s->left_out[i].reason, &bad);
    if (s->left_out[i].stopped)
      put(map, "stopped", json_true(), &bad);
    pc_json_append(left_out, map, &bad);
  }
  put(root, "left_out", left_out, &bad);
  put_number(root, "depth_min_m", s->break_even_count > 0 ? s->least_m : (double)NAN, &bad);
  put_number(root, "depth_max_m", s->break_even_count > 0 ? s->most_m : (double)NAN, &bad);
  for (size_t i = 0; i < s->break_even_count; i++)
    pc_json_append(turns, make_turn(&s->break_evens[i], &bad), &bad);
  put(root, "break_evens", turns, &bad);
  if (s->no_turn_count > 0)
    put(root, "break_evens_left_out", make_no_turns(s, &bad), &bad);
  return pc_json_end(root, bad, out);
}

pc_status pc_results_sensitivity_csv(const pc_sensitivity *s, pc_text *out) {
  pc_text_add(out,
              "input,now_min,now_max,low_factor,high_factor,low_change_s,high_change_s,elasticity,"
              "elasticity_half_width,swing_s,note\n");
  for (size_t i = 0; i < s->row_count; i++) {
    const pc_sensitivity_row *row = &s->rows[i];
    const double numbers[] = {row->now_least,
                              row->now_most,
                              row->low,
                              row->high,
                              row->low != 1.0 ? row->low_s.mean : (double)NAN,
                              row->high != 1.0 ? row->high_s.mean : (double)NAN,
                              row->elasticity.mean,
                              row->elasticity.half_width,
                              row->swing_s};
    pc_csv_add_text(out, row->key);
    for (size_t k = 0; k < sizeof numbers / sizeof numbers[0]; k++)
      pc_csv_next_number(out, numbers[k]);
    pc_text_add(out, ",");
    pc_csv_add_text(out, row->note);
    pc_text_add(out, "\n");
  }
  for (size_t i = 0; i < s->left_out_count; i++) { /* so that nobody takes the table for all of it */
    if (!s->left_out[i].stopped)
      continue;
    pc_csv_add_text(out, s->left_out[i].key);
    pc_text_add(out, ",,,,,,,,,,");
    pc_csv_add_text(out, s->left_out[i].reason);
    pc_text_add(out, "\n");
  }
  return out->failed ? PC_ERR_MEMORY : PC_OK;
}
