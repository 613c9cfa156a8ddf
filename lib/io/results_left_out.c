// SPDX-License-Identifier: GPL-3.0-or-later
/* Combinations of a comparison of which no lot can be made, as JSON. */
#include "io/results_json_private.h"

static json_t *make_left_out(const pc_compare_left_out *left_out, bool *bad) {
  json_t *map = json_object();
  put_text(map, "layout", left_out->layout.text, bad);
  put_text(map, "box", left_out->box.text[0] ? left_out->box.text : PC_OWN, bad);
  put_text(map, "loader", left_out->loader.text[0] ? left_out->loader.text : PC_OWN, bad);
  put_text(map, "policy", left_out->policy.text, bad);
  put_number(map, "depth_m", left_out->depth_m, bad);
  put(map, "crew", left_out->crew > 0 ? json_integer(left_out->crew) : json_null(), bad);
  put_text(map, "key", left_out->why.key, bad);
  put_text(map, "why", left_out->why.message, bad);
  return map;
}

void pc_results_put_left_out(json_t *root, const pc_comparison *comparison, bool *bad) {
  if (comparison->left_out_count == 0)
    return;
  json_t *list = json_array();
  for (size_t i = 0; i < comparison->left_out_count; i++)
    if (json_array_append_new(list, make_left_out(&comparison->left_out[i], bad)) != 0)
      *bad = true;
  put(root, "left_out", list, bad);
}
