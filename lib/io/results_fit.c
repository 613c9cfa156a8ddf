// SPDX-License-Identifier: GPL-3.0-or-later
#include <stdio.h>

#include "io/results.h"
#include "io/results_study_private.h"

static json_t *make_value(pc_fit_what what, const pc_fit_value *value, bool *bad) {
  const char *unit = what <= PC_FIT_REVERSE ? "mps" : what == PC_FIT_ACCELERATION ? "mps2" : "s";
  char error[16];
  snprintf(error, sizeof error, "error_%s", unit);
  json_t *map = json_object();
  put_text(map, "what", what == PC_FIT_TURN ? "mean_turn" : pc_fit_key(what), bad);
  put_number(map, unit, value->value, bad);
  put_number(map, error, value->error, bad);
  put_number(map, "spread", value->spread, bad);
  put_number(map, "spread_error", value->spread_error, bad);
  put_count(map, "rows", value->rows, bad);
  put_count(map, "weighted_down", value->down, bad);
  put_text(map, "fit", pc_fit_word_name(value->word), bad);
  return map;
}

static json_t *make_loader(const pc_fit_loader *loader, bool *bad) {
  json_t *map = json_object(), *values = json_array();
  put_text(map, "name", loader->name.text, bad);
  put_count(map, "rows", loader->rows, bad);
  put_count(map, "left_out", loader->left_out, bad);
  put(map, "directions_told", json_boolean(loader->told), bad);
  put(map, "told_apart_by_pace", json_boolean(loader->split_by_pace), bad);
  put_number(map, "slower_with_load", loader->slower_with_load, bad);
  for (int i = 0; i < PC_FIT_COUNT; i++)
    pc_json_append(values, make_value((pc_fit_what)i, &loader->values[i], bad), bad);
  put(map, "values", values, bad);
  return map;
}

pc_status pc_results_fit_json(const pc_fit *fit, const char *name, pc_text *out) {
  bool bad = false;
  json_t *root = json_object(), *loaders = json_array(), *chance = json_object();
  put_text(root, "format", "pushcycle-fit", &bad);
  put_count(root, "version", 1, &bad);
  put_text(root, "file", name, &bad);
  for (size_t i = 0; i < fit->loader_count; i++)
    pc_json_append(loaders, make_loader(&fit->loaders[i], &bad), &bad);
  put(root, "loaders", loaders, &bad);
  put_number(chance, "fill", fit->fill_spread, &bad);
  put_number(chance, "carry", fit->carry_spread, &bad);
  put_number(chance, "dump", fit->dump_spread, &bad);
  put_number(chance, "return", fit->return_spread, &bad);
  put(root, "chance", chance, &bad);
  return pc_json_end(root, bad, out);
}
