// SPDX-License-Identifier: GPL-3.0-or-later
/* Depths at which the order of boxes or layouts turns. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "sim/crew.h"
#include "study/sensitivity_private.h"

enum { GRID = 9, BEST = 3, BISECTIONS_MAX = 40 };
static const double fine = 1e-3; /* of a depth */

typedef struct contender {
  pc_name name;
  pc_choice choice;
  double now_s; /* INFINITY: does not finish, or can't be made */
  double times_s[GRID];
} contender;

typedef struct search {
  const pc_scenario *scenario;
  const pc_sensitivity_plan *plan;
  pc_steps *steps;
  pc_sensitivity *out;
  const pc_faults *faults; /* in whose units reasons are told */
  bool of_layouts;
  bool stopped;
} search;

/* Mean time at a depth; INFINITY where it does not finish or does not fit the lot. If stopped, it says
 * nothing. */
static pc_status time_at(search *s, const pc_choice *choice, double depth_m, double *time_s) {
  pc_faults unheard = {0};
  pc_trial trial;
  pc_choice deep = *choice;
  deep.depth_m = depth_m;
  pc_status status = pc_trial_run(s->scenario, &deep, s->plan, s->steps, &trial, &unheard);
  s->stopped |= trial.stopped;
  *time_s = status == PC_OK && trial.finished ? trial.mean_s : (double)INFINITY;
  if (status != PC_ERR_MEMORY && unheard.dropped == 0)
    status = PC_OK;
  free(trial.times_s);
  pc_faults_free(&unheard);
  return status;
}

/* −1: the first is quicker, 1: the second, 0: alike, or neither finishes. */
static int order_of(double a, double b) {
  return a < b ? -1 : a > b;
}

static pc_status bisect(search *s, const pc_choice *a, const pc_choice *b, int order_below, double low,
                        double high, double *depth_m) {
  for (int i = 0; i < BISECTIONS_MAX && high - low > fine * low; i++) {
    double middle = 0.5 * (low + high), ta, tb;
    pc_steps_more(s->steps, 2 * s->plan->replications);
    pc_status status = time_at(s, a, middle, &ta);
    if (status == PC_OK)
      status = time_at(s, b, middle, &tb);
    if (status != PC_OK || s->stopped)
      return status;
    if (order_of(ta, tb) == order_below)
      low = middle;
    else
      high = middle;
  }
  *depth_m = 0.5 * (low + high);
  return PC_OK;
}

/* What can't be made at any depth has no time to compare: that is a fault, not an order. */
static pc_status check_can_be_made(const pc_scenario *scenario, const pc_choice *choice, double depth_m,
                                   pc_faults *faults) {
  pc_choice deep = *choice;
  pc_faults found = pc_faults_like(faults);
  pc_lot *lot = NULL;
  deep.depth_m = depth_m;
  pc_status status = pc_lot_create(scenario, &deep, &lot, &found);
  if (status != PC_OK)
    pc_faults_move(faults, &found);
  pc_faults_free(&found);
  pc_lot_free(lot);
  return status;
}

static pc_status check_search(const pc_scenario *scenario, const pc_choice *a, const pc_choice *b,
                              const pc_sensitivity_plan *plan, double least_m, double most_m,
                              pc_faults *faults) {
  if (!(least_m > 0.0 && least_m < most_m))
    return pc_faults_add(faults, PC_ERR_RANGE, "snow.depth", NULL,
                         "the least depth must be more than 0 and less than the most");
  if (plan->replications == 0)
    return pc_faults_add(faults, PC_ERR_RANGE, "chance.replications", NULL, "at least 1 is needed");
  pc_status status = check_can_be_made(scenario, a, most_m, faults);
  return status == PC_OK ? check_can_be_made(scenario, b, most_m, faults) : status;
}

pc_status pc_break_even_depth(const pc_scenario *scenario, const pc_choice *a, const pc_choice *b,
                              const pc_sensitivity_plan *plan, double least_m, double most_m, double *depth_m,
                              pc_faults *faults) {
  pc_status good = check_search(scenario, a, b, plan, least_m, most_m, faults);
  if (good != PC_OK)
    return good;
  double t[4];
  pc_steps steps;
  search s = {.scenario = scenario, .plan = plan, .steps = &steps};
  pc_steps_begin(&steps, NULL, 0);
  pc_status status = time_at(&s, a, least_m, &t[0]);
  if (status == PC_OK)
    status = time_at(&s, b, least_m, &t[1]);
  if (status == PC_OK)
    status = time_at(&s, a, most_m, &t[2]);
  if (status == PC_OK)
    status = time_at(&s, b, most_m, &t[3]);
  int below = status == PC_OK ? order_of(t[0], t[1]) : 0;
  bool turns = below != 0 && order_of(t[2], t[3]) == -below;
  if (turns)
    status = bisect(&s, a, b, below, least_m, most_m, depth_m);
  pc_steps_end(&steps);
  if (status == PC_OK && !turns)
    return pc_faults_add(faults, PC_ERR_RANGE, "snow.depth", NULL, "the order is the same at both depths");
  return status == PC_OK ? status
                         : pc_faults_add(faults, status, NULL, NULL, "%s", pc_status_describe(status));
}

/* ---- pairs ---- */

static double grid_depth(const search *s, size_t i) {
  return s->out->least_m * pow(s->out->most_m / s->out->least_m, (double)i / (GRID - 1));
}

static pc_break_even *add_turn(pc_sensitivity *out) {
  void *items = out->break_evens;
  if (pc_reserve(&items, &out->break_even_room, out->break_even_count + 1, sizeof *out->break_evens) != 0)
    return NULL;
  out->break_evens = items;
  return &out->break_evens[out->break_even_count++];
}

static pc_status leave_out(pc_sensitivity *out, bool of_layouts, const pc_name *name,
                           const pc_faults *found) {
  void *items = out->no_turns;
  const pc_error *first = pc_faults_first(found, 0);
  if (pc_reserve(&items, &out->no_turn_room, out->no_turn_count + 1, sizeof *out->no_turns) != 0)
    return PC_ERR_MEMORY;
  out->no_turns = items;
  pc_no_turn *item = &out->no_turns[out->no_turn_count++];
  *item = (pc_no_turn){.of_layouts = of_layouts, .name = *name};
  if (first)
    snprintf(item->reason, sizeof item->reason, "%s", first->message);
  return PC_OK;
}

static double quicker_by(double a, double b) {
  double least = fmin(a, b), most = fmax(a, b);
  return isinf(most) ? 1.0 : (most - least) / most;
}

/* Every depth at which the order of two contenders turns; where it never does, who is quicker. */
static pc_status compare_pair(search *s, const contender *a, const contender *b) {
  int order = 0;
  size_t last = 0, before = s->out->break_even_count;
  double most = 0.0;
  for (size_t i = 0; i < GRID; i++) {
    int now = order_of(a->times_s[i], b->times_s[i]);
    double by = quicker_by(a->times_s[i], b->times_s[i]);
    if (now == 0)
      continue;
    if (order != 0 && now != order) {
      pc_break_even *turn = add_turn(s->out);
      if (!turn)
        return PC_ERR_MEMORY;
      *turn = (pc_break_even){.of_layouts = s->of_layouts,
                              .below = order < 0 ? a->name : b->name,
                              .above = now < 0 ? a->name : b->name,
                              .least = most};
      pc_status status =
          bisect(s, &a->choice, &b->choice, order, grid_depth(s, last), grid_depth(s, i), &turn->depth_m);
      if (status != PC_OK || s->stopped)
        return status;
      most = 0.0;
    }
    most = fmax(most, by);
    if (s->out->break_even_count > before)
      s->out->break_evens[s->out->break_even_count - 1].most = most;
    order = now;
    last = i;
  }
  if (s->out->break_even_count == before && order != 0) {
    pc_break_even *turn = add_turn(s->out);
    if (!turn)
      return PC_ERR_MEMORY;
    *turn = (pc_break_even){.of_layouts = s->of_layouts,
                            .below = order < 0 ? a->name : b->name,
                            .above = order < 0 ? a->name : b->name,
                            .depth_m = NAN,
                            .least = most,
                            .most = most};
  }
  return PC_OK;
}

static int quicker_first(const void *a, const void *b) {
  const contender *x = a, *y = b;
  return x->now_s != y->now_s ? (x->now_s > y->now_s) - (x->now_s < y->now_s)
                              : strcmp(x->name.text, y->name.text);
}

/* The best three as the scenario stands, over the grid of depths, pair by pair. All of them or none: what
 * some pairs say could be taken for what all say. */
static pc_status compare_all(search *s, contender *items, size_t count) {
  pc_status status = PC_OK;
  size_t before = s->out->break_even_count;
  s->stopped = false;
  for (size_t i = 0; i < count && status == PC_OK && !s->stopped; i++)
    status = time_at(s, &items[i].choice, s->scenario->snow.depth_m, &items[i].now_s);
  qsort(items, count, sizeof *items, quicker_first);
  size_t best = count < BEST ? count : BEST;
  for (size_t i = 0; i < best; i++)
    for (size_t g = 0; g < GRID && status == PC_OK && !s->stopped; g++)
      status = time_at(s, &items[i].choice, grid_depth(s, g), &items[i].times_s[g]);
  for (size_t i = 0; i < best; i++)
    for (size_t j = i + 1; j < best && status == PC_OK && !s->stopped; j++)
      status = compare_pair(s, &items[i], &items[j]);
  if (s->stopped) {
    s->out->break_even_count = before;
    s->out->stopped = s->out->turns_missing = true;
  }
  return status;
}

/* ---- what is compared ---- */

static bool all_boxes(const pc_scenario *scenario) {
  const pc_names *wanted = &scenario->compare.boxes;
  return wanted->count == 0 || pc_names_have(wanted, "all");
}

static bool is_blade(const pc_scenario *scenario, const char *name) {
  const pc_box *box = pc_scenario_box(scenario, name);
  return box && box->blade != PC_BLADE_NONE;
}

/* "12 ft + 10 ft", as those boxes are called elsewhere. */
static pc_name own_name(const pc_scenario *scenario, const pc_choice *choice) {
  pc_mix mix = pc_mix_own(scenario, choice->machines);
  pc_name name;
  return pc_mix_write(scenario, &mix, &name) == PC_OK ? name : pc_name_of("the crew's own boxes");
}

static size_t add_box(const pc_scenario *scenario, const pc_choice *choice, const char *box, size_t count,
                      contender *items) {
  if (box && is_blade(scenario, box))
    return count;
  if (items) {
    items[count] =
        (contender){.name = box ? pc_name_long_of(box) : own_name(scenario, choice), .choice = *choice};
    items[count].choice.box = box;
  }
  return count + 1;
}

/* Boxes to compare, and the crew's own where its machines differ in them: else those are one box on all,
 * which is there already. items NULL: only how many. */
static size_t list_boxes(const pc_scenario *scenario, const pc_choice *choice, contender *items) {
  const pc_names *wanted = &scenario->compare.boxes;
  bool all = all_boxes(scenario);
  size_t count = 0;
  if (choice && choice->box)
    return 0;
  if (all && pc_crew_differs(scenario, offsetof(pc_crew_entry, box)))
    count = add_box(scenario, choice, NULL, count, items);
  for (size_t i = 0; i < (all ? scenario->box_count : wanted->count); i++) {
    const char *box = all ? scenario->boxes[i].name.text : wanted->items[i].text;
    bool own = !all && strcmp(box, PC_OWN) == 0;
    count = add_box(scenario, choice, own ? NULL : box, count, items);
  }
  return count > 1 ? count : 0;
}

static size_t list_layouts(const pc_scenario *scenario, const pc_choice *choice, contender *items) {
  if ((choice && choice->layout) || scenario->layout_count < 2)
    return 0;
  for (size_t i = 0; items && i < scenario->layout_count; i++) {
    items[i] = (contender){.name = scenario->layouts[i].name, .choice = *choice};
    items[i].choice.layout = scenario->layouts[i].name.text;
  }
  return scenario->layout_count;
}

static size_t trials_of(size_t count) {
  return count + GRID * (count < BEST ? count : BEST);
}

size_t pc_break_even_trials(const pc_scenario *scenario, const pc_choice *choice) {
  return trials_of(list_boxes(scenario, choice, NULL)) + trials_of(list_layouts(scenario, choice, NULL));
}

/* Takes out what no lot can be made of, with the reason: it would lose at every depth, which is no order. */
static pc_status take_out(search *s, contender *items, size_t *count) {
  size_t kept = 0;
  for (size_t i = 0; i < *count; i++) {
    pc_faults found = pc_faults_like(s->faults);
    pc_status status = check_can_be_made(s->scenario, &items[i].choice, s->scenario->snow.depth_m, &found);
    if (status == PC_OK)
      items[kept++] = items[i];
    else if (status != PC_ERR_MEMORY && found.dropped == 0)
      status = leave_out(s->out, s->of_layouts, &items[i].name, &found);
    else
      status = PC_ERR_MEMORY;
    pc_faults_free(&found);
    if (status != PC_OK)
      return status;
  }
  pc_steps_skip(s->steps, (trials_of(*count) - trials_of(kept)) * s->plan->replications);
  *count = kept;
  return PC_OK;
}

static pc_status compare_those(search *s, contender *items, size_t count, bool of_layouts) {
  s->of_layouts = of_layouts;
  pc_status status = take_out(s, items, &count);
  if (status == PC_OK && count > 1)
    status = compare_all(s, items, count);
  else
    pc_steps_skip(s->steps, trials_of(count) * s->plan->replications);
  return status;
}

static void find_limits(const pc_scenario *scenario, const pc_sensitivity_plan *plan, pc_sensitivity *out) {
  const pc_field *field = pc_fields_find(&pc_snow_fields, "depth");
  double depth = scenario->snow.depth_m, most = field ? field->max : (double)INFINITY;
  out->least_m = isnan(plan->least_m) ? fmax(depth / 3.0, 1.5 * scenario->snow.done_below_m) : plan->least_m;
  out->most_m = isnan(plan->most_m) ? fmin(3.0 * depth, most) : plan->most_m;
}

pc_status pc_break_even_find(const pc_scenario *scenario, const pc_choice *choice,
                             const pc_sensitivity_plan *plan, pc_steps *steps, pc_sensitivity *out,
                             pc_faults *faults) {
  size_t boxes = list_boxes(scenario, choice, NULL), layouts = list_layouts(scenario, choice, NULL);
  search s = {.scenario = scenario, .plan = plan, .steps = steps, .out = out, .faults = faults};
  find_limits(scenario, plan, out);
  if (!(out->most_m > out->least_m) || !(out->least_m > scenario->snow.done_below_m))
    return isnan(plan->least_m) && isnan(plan->most_m)
               ? PC_OK /* all snow falls during the work: there is no depth to vary */
               : pc_faults_add(faults, PC_ERR_RANGE, "snow.depth", NULL,
                               "the depths to look between must rise and be more than snow.done_below");
  contender *items = pc_alloc(boxes > layouts ? boxes : layouts, sizeof *items);
  if (!items)
    return PC_ERR_MEMORY;
  pc_status status = PC_OK;
  if (boxes > 0)
    status = compare_those(&s, items, list_boxes(scenario, choice, items), false);
  if (status == PC_OK && layouts > 0)
    status = compare_those(&s, items, list_layouts(scenario, choice, items), true);
  free(items);
  return status;
}
