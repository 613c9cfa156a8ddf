// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/sensitivity.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "sim/variant.h"
#include "study/replicate_private.h"
#include "study/sensitivity_private.h"

static const double level = 0.95;
static const double almost_full = 0.99; /* a box that spills is never quite full */

pc_sensitivity_plan pc_sensitivity_plan_default(void) {
  return (pc_sensitivity_plan){
      .share = 0.1, .least_m = NAN, .most_m = NAN, .replications = 1, .seed = 1, .break_even = true};
}

pc_status pc_trial_run(const pc_scenario *scenario, const pc_choice *choice, const pc_sensitivity_plan *plan,
                       pc_steps *steps, pc_trial *trial, pc_faults *faults) {
  pc_lot *lot = NULL;
  pc_summary summary;
  *trial = (pc_trial){.stopped = pc_steps_stopped(steps)};
  if (trial->stopped)
    return PC_OK;
  pc_status status = pc_lot_create(scenario, choice, &lot, faults);
  if (status != PC_OK) {
    pc_steps_skip(steps, plan->replications);
    return status;
  }
  status = pc_replicate_summary(lot, plan->replications, plan->seed, plan->threads, NULL, steps, &summary);
  if (status == PC_OK) {
    trial->stopped = summary.replications < plan->replications;
    if (!trial->stopped) {
      trial->times_s = summary.times_s;
      summary.times_s = NULL;
    }
    trial->mean_s = summary.total_time_s.mean;
    trial->finished = summary.unfinished == 0;
    trial->reason = summary.mean.reason;
    pc_summary_free(&summary);
  }
  pc_lot_free(lot);
  return status;
}

/* ---- inputs ---- */

typedef enum part { PART_SNOW, PART_STORM, PART_BOXES, PART_LOADERS, PART_SCENARIO } part;

typedef struct input {
  part part;
  const char *key; /* in the part's table */
} input;

static const input inputs[] = {
    {PART_SNOW, "depth"},           {PART_SNOW, "fresh_density"},    {PART_SNOW, "pushed_density"},
    {PART_STORM, "rate"},           {PART_BOXES, "width"},           {PART_BOXES, "overlap"},
    {PART_BOXES, "heap_factor"},    {PART_SCENARIO, "full_at"},      {PART_LOADERS, "speeds.push"},
    {PART_LOADERS, "speeds.carry"}, {PART_LOADERS, "speeds.return"}, {PART_LOADERS, "speeds.reverse"},
    {PART_LOADERS, "acceleration"}, {PART_LOADERS, "times.lower"},   {PART_LOADERS, "times.raise"},
    {PART_LOADERS, "times.dump"},   {PART_LOADERS, "times.shift"},   {PART_LOADERS, "times.turn"},
    {PART_LOADERS, "traction"},     {PART_LOADERS, "power"},
};

enum { INPUT_COUNT = sizeof inputs / sizeof inputs[0] };

static const pc_fields *table_of(part which) {
  switch (which) {
  case PART_SNOW:
    return &pc_snow_fields;
  case PART_STORM:
    return &pc_storm_fields;
  case PART_BOXES:
    return &pc_box_fields;
  case PART_LOADERS:
    return &pc_loader_fields;
  default:
    return &pc_scenario_fields;
  }
}

typedef struct variant {
  pc_scenario scenario;         /* with lists of its own of what is changed */
  bool *box_used, *loader_used; /* by the crew */
} variant;

static void base_free(variant *v) {
  pc_variant_free(&v->scenario);
  free(v->box_used);
  free(v->loader_used);
}

static pc_status base_make(const pc_scenario *scenario, const pc_lot *lot, variant *v) {
  v->box_used = pc_alloc(scenario->box_count, sizeof *v->box_used);
  v->loader_used = pc_alloc(scenario->loader_count, sizeof *v->loader_used);
  if (pc_variant_make(scenario, &v->scenario) != PC_OK || !v->box_used || !v->loader_used)
    return PC_ERR_MEMORY;
  for (size_t m = 0; m < lot->machine_count; m++) {
    const pc_unit *unit = &lot->machines[m].unit;
    for (size_t i = 0; i < scenario->box_count; i++)
      v->box_used[i] |= pc_name_is(&unit->box.name, scenario->boxes[i].name.text);
    for (size_t i = 0; i < scenario->loader_count; i++)
      v->loader_used[i] |= pc_name_is(&unit->loader.name, scenario->loaders[i].name.text);
  }
  /* what a run makes of things not given is given here, so that it can be changed */
  pc_snow *snow = &v->scenario.snow;
  snow->fresh_density_kgpm3 = pc_snow_fresh_density(snow);
  snow->air_temperature_c = NAN;
  for (size_t i = 0; i < scenario->box_count; i++)
    if (v->scenario.boxes[i].blade == PC_BLADE_NONE)
      v->scenario.boxes[i].heap_factor_m =
          pc_box_heap_factor_m(&v->scenario.boxes[i], snow->repose_angle_rad);
  return PC_OK;
}

static size_t things_of(const variant *v, part which) {
  return which == PART_STORM     ? v->scenario.storm_count
         : which == PART_BOXES   ? v->scenario.box_count
         : which == PART_LOADERS ? v->scenario.loader_count
                                 : 1;
}

/* The struct that holds the field, if the crew uses it, or if snow falls in it; else NULL. */
static void *thing_at(variant *v, part which, size_t i) {
  switch (which) {
  case PART_SNOW:
    return &v->scenario.snow;
  case PART_STORM:
    return v->scenario.storm[i].rate_mps > 0.0 ? &v->scenario.storm[i] : NULL;
  case PART_BOXES:
    return v->box_used[i] ? &v->scenario.boxes[i] : NULL;
  case PART_LOADERS:
    return v->loader_used[i] ? &v->scenario.loaders[i] : NULL;
  default:
    return &v->scenario;
  }
}

static double *field_at(variant *v, const input *in, const pc_field *field, size_t i) {
  char *thing = thing_at(v, in->part, i);
  /* a blade holds nothing, whatever heap factor it may have been given */
  if (thing && in->part == PART_BOXES && v->scenario.boxes[i].blade != PC_BLADE_NONE &&
      strcmp(in->key, "heap_factor") == 0)
    return NULL;
  double *value = thing ? (double *)(void *)(thing + field->offset) : NULL;
  return value && !isnan(*value) ? value : NULL;
}

/* Least and greatest value now; NaN if nothing has one. */
static void values_now(variant *v, const input *in, const pc_field *field, double *least, double *most) {
  *least = *most = NAN;
  for (size_t i = 0; i < things_of(v, in->part); i++) {
    const double *value = field_at(v, in, field, i);
    if (!value)
      continue;
    *least = isnan(*least) ? *value : fmin(*least, *value);
    *most = isnan(*most) ? *value : fmax(*most, *value);
  }
}

/* The factor nearest to the wanted one that keeps every value within its range. */
static double allowed_factor(variant *v, const input *in, const pc_field *field, double wanted) {
  double least, most, max = field->max;
  values_now(v, in, field, &least, &most);
  for (size_t i = 0; in->part == PART_SCENARIO && i < v->scenario.box_count; i++)
    if (v->box_used[i] && v->scenario.boxes[i].spill_from < 1.0)
      max = fmin(max, fmax(almost_full, most));
  if (wanted > 1.0)
    return fmin(wanted, max / most);
  return fmax(wanted, field->min > 0.0 ? field->min / least : 0.0);
}

static void check(const variant *v, part which, pc_faults *faults) {
  if (which == PART_SNOW || which == PART_SCENARIO)
    pc_snow_validate(&v->scenario.snow, "snow", faults);
  for (size_t i = 0; which == PART_BOXES && i < v->scenario.box_count; i++)
    if (v->box_used[i])
      pc_box_validate(&v->scenario.boxes[i], "boxes", faults);
  for (size_t i = 0; which == PART_LOADERS && i < v->scenario.loader_count; i++)
    if (v->loader_used[i])
      pc_loader_validate(&v->scenario.loaders[i], "loaders", faults);
  if (which == PART_SNOW && v->scenario.storm_count == 0 &&
      v->scenario.snow.depth_m <= v->scenario.snow.done_below_m)
    (void)pc_faults_add(faults, PC_ERR_RANGE, "snow.depth", NULL, "is not more than snow.done_below");
}

/* ---- one input ---- */

typedef struct study {
  const pc_scenario *scenario;
  pc_choice choice;
  const pc_sensitivity_plan *plan;
  variant base;
  pc_trial trial; /* as the scenario stands */
  pc_steps steps;
  pc_sensitivity *out;
} study;

static void keep_reason(char *text, size_t size, const char *which, const pc_faults *faults) {
  const pc_error *first = pc_faults_first(faults, 0);
  if (first)
    snprintf(text, size, "%s: %.40s %.90s", which, first->key, first->message);
}

static pc_status run_side(study *s, const input *in, const pc_field *field, double factor, pc_trial *trial,
                          pc_faults *faults) {
  variant now = s->base; /* what the crew uses is the same */
  pc_status status = pc_variant_make(&s->base.scenario, &now.scenario);
  for (size_t i = 0; i < things_of(&now, in->part) && status == PC_OK; i++) {
    double *value = field_at(&now, in, field, i);
    if (value)
      *value *= factor;
  }
  if (status == PC_OK)
    check(&now, in->part, faults);
  if (status == PC_OK && pc_faults_fatal(faults) == 0)
    status = pc_trial_run(&now.scenario, &s->choice, s->plan, &s->steps, trial, faults);
  else
    pc_steps_skip(&s->steps, s->plan->replications);
  pc_variant_free(&now.scenario);
  return faults->dropped > 0 ? PC_ERR_MEMORY : status;
}

/* Tries the input at *factor; where it can't be, *factor becomes 1 and *reason says why. */
static pc_status try_side(study *s, const input *in, const pc_field *field, double *factor, pc_trial *trial,
                          char *reason, size_t size) {
  pc_faults faults = {0};
  const char *which = *factor < 1.0 ? "smaller" : "larger";
  *factor = allowed_factor(&s->base, in, field, *factor);
  *trial = (pc_trial){0};
  if (fabs(*factor - 1.0) < 1e-6) {
    snprintf(reason, size, "%s: it is at the end of its range", which);
    *factor = 1.0;
    pc_steps_skip(&s->steps, s->plan->replications);
    return PC_OK;
  }
  pc_status status = run_side(s, in, field, *factor, trial, &faults);
  if (status != PC_ERR_MEMORY && !trial->times_s && !trial->stopped) {
    keep_reason(reason, size, which, &faults);
    *factor = 1.0;
    status = PC_OK;
  } else if (status == PC_OK && !trial->finished && !trial->stopped) {
    snprintf(reason, size, "%s: the work is then not finished", which);
    *factor = 1.0;
  }
  pc_faults_free(&faults);
  return status;
}

/* Statistics over replications of the change to the base, and of the elasticity. */
static pc_status weigh(const study *s, pc_sensitivity_row *row, const pc_trial *low, const pc_trial *high) {
  size_t n = s->plan->replications;
  const double *base = s->trial.times_s;
  const double *less = row->low < 1.0 ? low->times_s : base, *more = row->high > 1.0 ? high->times_s : base;
  double *elasticity = pc_alloc(n, sizeof *elasticity);
  if (!elasticity)
    return PC_ERR_MEMORY;
  for (size_t r = 0; r < n; r++)
    elasticity[r] = log(more[r] / less[r]) / log(row->high / row->low);
  row->low_s = pc_statistic_of_differences(less, base, n, level);
  row->high_s = pc_statistic_of_differences(more, base, n, level);
  row->elasticity = pc_statistic_of(elasticity, n, level);
  row->swing_s = fabs(row->high_s.mean - row->low_s.mean);
  free(elasticity);
  return PC_OK;
}

static void leave_out(pc_sensitivity *out, const char *key, const char *reason, bool stopped) {
  pc_left_out *item = &out->left_out[out->left_out_count++];
  item->stopped = stopped;
  snprintf(item->key, sizeof item->key, "%s", key);
  snprintf(item->reason, sizeof item->reason, "%s", reason);
  out->stopped |= stopped;
}

static pc_status try_input(study *s, const input *in) {
  static const char *const prefixes[] = {"snow.", "storm.", "boxes.", "loaders.", ""};
  const pc_field *field = pc_fields_find(table_of(in->part), in->key);
  pc_sensitivity_row row = {.low = 1.0 - s->plan->share, .high = 1.0 + s->plan->share};
  char low_reason[PC_MESSAGE_MAX / 2 - 8] = "", high_reason[PC_MESSAGE_MAX / 2 - 8] = "";
  pc_trial low = {0}, high = {0};
  snprintf(row.key, sizeof row.key, "%s%s", prefixes[in->part], in->key);
  if (!field) {
    leave_out(s->out, row.key, "there is no such input", false);
    pc_steps_skip(&s->steps, 2 * s->plan->replications);
    return PC_OK;
  }
  row.dimension = field->dimension;
  values_now(&s->base, in, field, &row.now_least, &row.now_most);
  if (isnan(row.now_most) || !(row.now_least > 0.0)) {
    leave_out(s->out, row.key,
              isnan(row.now_most) ? "it is not given" : "it is 0, of which a share is nothing", false);
    pc_steps_skip(&s->steps, 2 * s->plan->replications);
    return PC_OK;
  }
  pc_status status = try_side(s, in, field, &row.low, &low, low_reason, sizeof low_reason);
  if (status == PC_OK)
    status = try_side(s, in, field, &row.high, &high, high_reason, sizeof high_reason);
  snprintf(row.note, sizeof row.note, "%s%s%s", low_reason, low_reason[0] && high_reason[0] ? "; " : "",
           high_reason);
  if (status == PC_OK && (low.stopped || high.stopped)) {
    leave_out(s->out, row.key, "the work was stopped before this was done", true);
  } else if (status == PC_OK && row.low == 1.0 && row.high == 1.0) {
    leave_out(s->out, row.key, row.note, false);
  } else if (status == PC_OK) {
    status = weigh(s, &row, &low, &high);
    if (status == PC_OK)
      s->out->rows[s->out->row_count++] = row;
  }
  free(low.times_s);
  free(high.times_s);
  return status;
}

static int larger_first(const void *a, const void *b) {
  const pc_sensitivity_row *x = a, *y = b;
  return x->swing_s != y->swing_s ? (x->swing_s < y->swing_s) - (x->swing_s > y->swing_s)
                                  : strcmp(x->key, y->key);
}

/* ---- the whole ---- */

static pc_status prepare(study *s, pc_faults *faults) {
  pc_lot *lot = NULL;
  pc_status status = pc_lot_create(s->scenario, &s->choice, &lot, faults);
  if (status == PC_OK)
    status = base_make(s->scenario, lot, &s->base);
  pc_lot_free(lot);
  if (status != PC_OK)
    return status;
  if (isfinite(s->choice.depth_m)) {
    s->base.scenario.snow.depth_m = s->choice.depth_m;
    s->choice.depth_m = NAN;
  }
  pc_faults unheard = {0}; /* told above */
  status = pc_trial_run(&s->base.scenario, &s->choice, s->plan, &s->steps, &s->trial, &unheard);
  pc_faults_free(&unheard);
  return status;
}

static pc_status study_inputs(study *s) {
  pc_sensitivity *out = s->out;
  out->rows = pc_alloc(INPUT_COUNT, sizeof *out->rows);
  out->left_out = pc_alloc(INPUT_COUNT, sizeof *out->left_out);
  pc_status status = out->rows && out->left_out ? PC_OK : PC_ERR_MEMORY;
  for (size_t i = 0; i < INPUT_COUNT && status == PC_OK; i++)
    status = try_input(s, &inputs[i]);
  if (status == PC_OK)
    qsort(out->rows, out->row_count, sizeof *out->rows, larger_first);
  return status;
}

pc_status pc_sensitivity_make(const pc_scenario *scenario, const pc_choice *choice,
                              const pc_sensitivity_plan *plan, pc_sensitivity *out, pc_faults *faults) {
  *out = (pc_sensitivity){.share = plan->share};
  if (!(plan->share > 0.0 && plan->share <= 0.5) || plan->replications == 0)
    return pc_faults_add(
        faults, PC_ERR_RANGE, NULL, NULL,
        "inputs change by a share of more than 0 and at most 50 %%, over 1 replication or more");
  study s = {
      .scenario = scenario, .choice = choice ? *choice : pc_choice_default(), .plan = plan, .out = out};
  size_t turns = plan->break_even ? pc_break_even_trials(scenario, choice) : 0;
  pc_steps_begin(&s.steps, plan->watch, (1 + 2 * INPUT_COUNT + turns) * plan->replications);
  pc_status status = prepare(&s, faults);
  if (status == PC_OK && s.trial.stopped) {
    out->stopped = true;
    out->turns_missing = turns > 0;
  } else if (status == PC_OK) {
    out->base_finished = s.trial.finished;
    out->base_reason = s.trial.reason;
    out->base_s = pc_statistic_of(s.trial.times_s, plan->replications, level);
  }
  if (status == PC_OK && out->base_finished)
    status = study_inputs(&s);
  if (status == PC_OK && out->base_finished && plan->break_even)
    status = pc_break_even_find(&s.base.scenario, &s.choice, plan, &s.steps, out, faults);
  pc_steps_end(&s.steps);
  if (status != PC_OK && pc_faults_fatal(faults) == 0)
    (void)pc_faults_add(faults, status, NULL, NULL, "%s", pc_status_describe(status));
  base_free(&s.base);
  free(s.trial.times_s);
  if (status != PC_OK)
    pc_sensitivity_free(out);
  return status;
}

void pc_sensitivity_free(pc_sensitivity *sensitivity) {
  if (!sensitivity)
    return;
  free(sensitivity->rows);
  free(sensitivity->left_out);
  free(sensitivity->break_evens);
  free(sensitivity->no_turns);
  *sensitivity = (pc_sensitivity){0};
}
