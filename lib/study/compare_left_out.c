// SPDX-License-Identifier: GPL-3.0-or-later
/* Combinations of which no lot can be made, and what else was found on the way. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "study/compare_private.h"

bool pc_compare_leaves_out(pc_status status, const pc_faults *found) {
  return (status == PC_ERR_GEOMETRY || status == PC_ERR_LIMIT) && found->dropped == 0 &&
         pc_faults_status(found) == status;
}

int pc_compare_left_out_format(const pc_compare_left_out *left_out, char *text, size_t size) {
  char loader[64] = "", crew[32] = "";
  if (left_out->loader.text[0])
    snprintf(loader, sizeof loader, " on %.50s", left_out->loader.text);
  if (left_out->crew > 0)
    snprintf(crew, sizeof crew, ", %d machine%s", left_out->crew, left_out->crew == 1 ? "" : "s");
  return snprintf(text, size, "layout \"%.50s\" with %s%s%s", left_out->layout.text,
                  left_out->box.text[0] ? left_out->box.text : "the boxes that the crew has", loader, crew);
}

static pc_compare_left_out describe(const pc_scenario *scenario, const pc_choice *choice,
                                    const pc_faults *found) {
  const char *first = scenario->layout_count > 0 ? scenario->layouts[0].name.text : "all zones";
  pc_compare_left_out left_out = {
      .layout = pc_name_of(choice->layout ? choice->layout : first),
      .box = pc_name_long_of(choice->box ? choice->box : ""),
      .loader = pc_name_of(choice->loader ? choice->loader : ""),
      .policy = pc_name_of(choice->policy ? choice->policy : scenario->policy.text),
      .depth_m = isfinite(choice->depth_m) ? choice->depth_m : scenario->snow.depth_m,
      .crew = choice->machines};
  const pc_error *why = pc_faults_first(found, 0);
  if (why)
    left_out.why = *why;
  return left_out;
}

static bool is_known(const pc_faults *faults, const pc_error *item) {
  for (size_t i = 0; i < faults->count; i++)
    if (faults->items[i].caution == item->caution && strcmp(faults->items[i].key, item->key) == 0 &&
        strcmp(faults->items[i].message, item->message) == 0)
      return true;
  return false;
}

/* Policies and depths make no difference to this: what is told already is not told again. */
static void tell(const pc_compare_left_out *left_out, const pc_faults *found, pc_faults *faults) {
  char name[PC_MESSAGE_MAX];
  pc_compare_left_out_format(left_out, name, sizeof name);
  for (size_t k = 0; k < found->count; k++) {
    if (found->items[k].caution)
      continue;
    pc_error caution = found->items[k];
    (void)pc_error_set(&caution, PC_OK, found->items[k].key, found->items[k].value, "left out: %s: %s", name,
                       found->items[k].message);
    caution.caution = true;
    pc_error_place(&caution, found->items[k].file, found->items[k].line, found->items[k].column);
    if (!is_known(faults, &caution))
      pc_faults_push(faults, &caution);
  }
}

void pc_compare_tell_left_out(const pc_scenario *scenario, const pc_choice *choice, const pc_faults *found,
                              pc_faults *faults) {
  pc_compare_left_out left_out = describe(scenario, choice, found);
  tell(&left_out, found, faults);
}

/* Takes rows out that are not complete. */
static void close_up(const bool *complete, pc_comparison *comparison) {
  size_t kept = 0;
  for (size_t i = 0; i < comparison->row_count; i++) {
    if (complete[i]) {
      comparison->rows[kept++] = comparison->rows[i];
      continue;
    }
    pc_crossed_free(&comparison->rows[i].crossed);
    free(comparison->rows[i].machines);
  }
  comparison->row_count = kept;
}

/* Cautions are the same for every row of a layout: those of the first row are heard, of others only what is
 * said of their machines. */
static void hand_on(const pc_faults *found, bool first, pc_faults *faults) {
  for (size_t k = 0; k < found->count; k++) {
    const pc_error *item = &found->items[k];
    bool heard = !item->caution || strcmp(item->key, "crew") == 0;
    if (heard ? !is_known(faults, item) : first)
      pc_faults_push(faults, item);
  }
}

pc_status pc_compare_settle(const pc_scenario *scenario, const pc_compare_plan *plan, pc_status status,
                            const bool *complete, pc_faults *found, pc_comparison *comparison,
                            pc_faults *faults) {
  size_t each = pc_compare_rows_of_layout(plan), left_out = 0, heard = SIZE_MAX;
  for (size_t i = 0; i < plan->count; i++) { /* what could not be kept leaves nothing to tell of it */
    left_out += pc_faults_fatal(&found[i]) > 0;
    if (status == PC_OK && found[i].dropped > 0)
      status = pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  }
  if (status == PC_OK && left_out == plan->count)
    status = pc_faults_status(&found[0]);
  if (status == PC_OK && left_out > 0 &&
      !(comparison->left_out = pc_alloc(left_out, sizeof *comparison->left_out)))
    status = pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  for (size_t i = 0; i < plan->count; i++) {
    size_t layout = i / each;
    if (status == PC_OK && pc_faults_fatal(&found[i]) > 0) {
      pc_choice choice = pc_compare_choice_at(plan, i);
      pc_compare_left_out *entry = &comparison->left_out[comparison->left_out_count++];
      *entry = describe(scenario, &choice, &found[i]);
      tell(entry, &found[i], faults);
    } else {
      hand_on(&found[i], layout < plan->layouts.count && layout != heard, faults);
      heard = layout;
    }
    pc_faults_free(&found[i]);
  }
  comparison->asked -= comparison->left_out_count;
  close_up(complete, comparison);
  return status;
}
