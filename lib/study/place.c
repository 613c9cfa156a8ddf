// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/place.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "study/place_private.h"
#include "study/replicate_private.h"

/* Simulations of one number of zones: what takes about as long as so many loads, within limits. */
static const double loads_wanted = 20000.0;
enum { LEAST_TRIALS = 40, MOST_TRIALS = 400, FEWER_PART = 3, LEAST_FEWER = 12, ROUNDS = 6, PATIENCE = 4 };
/* Replicated are those that come so near to the best with chance off. */
static const double finalist_share = 0.05;
static const double level = 0.95;
/* Mirror images differ in rounding. */
static const double same_time = 1e-9;

typedef struct hunt {
  const pc_scenario *scenario;
  const pc_place_wanted *wanted;
  pc_placement *out;
  pc_place_stage stage;
  pc_lot *lot; /* any */
  pc_place_snow snow;
  pc_place_guesser guesser;
  pc_place_trial *trials; /* of the number of zones at work */
  size_t trial_count, trial_room;
  size_t allowance; /* of them */
  double left_kg;   /* most that any finished trial left */
  pc_steps steps;
  bool stopped; /* begin nothing more */
  pc_faults *faults;
} hunt;

static bool is_over(hunt *h) {
  h->stopped = h->stopped || pc_steps_stopped(&h->steps);
  return h->stopped;
}

/* ---- before the search ---- */

/* Any lot will do: the first place that one can be made with. */
static pc_status find_lot(hunt *h) {
  pc_faults found = {0};
  pc_status status = PC_ERR_GEOMETRY;
  for (size_t z = 0; z < h->out->site_count && !h->lot && status != PC_ERR_MEMORY; z++) {
    pc_faults_free(&found);
    status = pc_place_lot(&h->stage, h->wanted->choice, &z, 1, false, &h->lot, &found);
  }
  if (!h->lot)
    pc_faults_move(h->faults, &found); /* why not with the last one */
  if (!h->lot && pc_faults_fatal(h->faults) == 0)
    pc_faults_add(h->faults, status, "place", NULL, "no lot could be made with any of the places");
  pc_faults_free(&found);
  return h->lot ? PC_OK : pc_faults_status(h->faults);
}

static void find_allowance(hunt *h) {
  double load = 0.0;
  for (size_t m = 0; m < h->lot->machine_count; m++)
    load = fmax(load, h->lot->full_at * h->lot->machines[m].unit.capacity_kg);
  double loads = load > 0.0 ? h->snow.all_kg / load : loads_wanted;
  double allowed = fmax(LEAST_TRIALS, fmin(MOST_TRIALS, loads_wanted / fmax(1.0, loads)));
  h->allowance =
      h->scenario->place.simulations > 0 ? (size_t)h->scenario->place.simulations : (size_t)allowed;
}

/* With fewer zones than are asked for, a part of the allowance has to do, but at least so many. */
static size_t trials_for(const hunt *h, size_t zones) {
  size_t part = h->allowance / FEWER_PART, least = h->allowance < LEAST_FEWER ? h->allowance : LEAST_FEWER;
  if (zones == h->out->asked || h->allowance >= MOST_TRIALS)
    return h->allowance;
  return part > least ? part : least;
}

/* ---- trials ---- */

static bool is_tried(const hunt *h, const pc_place_guess *guess) {
  for (size_t i = 0; i < h->trial_count; i++)
    if (memcmp(h->trials[i].sites, guess->sites, guess->count * sizeof *guess->sites) == 0)
      return true;
  return false;
}

static pc_status add_trial(hunt *h, const pc_place_guess *guess) {
  void *trials = h->trials;
  if (pc_reserve(&trials, &h->trial_room, h->trial_count + 1, sizeof *h->trials) != 0)
    return PC_ERR_MEMORY;
  h->trials = trials;
  pc_place_trial *trial = &h->trials[h->trial_count++];
  *trial = (pc_place_trial){.count = guess->count};
  memcpy(trial->sites, guess->sites, guess->count * sizeof *guess->sites);
  return PC_OK;
}

/* Adds the next `wanted` guesses that are allowed and not tried yet; fewer if there are no more. */
static pc_status add_trials(hunt *h, pc_place_guesses *guesses, size_t wanted) {
  pc_status status = PC_OK;
  for (size_t i = 0; i < guesses->count && wanted > 0 && status == PC_OK && !is_over(h); i++) {
    pc_place_guess *guess = &guesses->items[i];
    if (is_tried(h, guess))
      continue;
    status = pc_place_guess_check(&h->guesser, guess);
    if (status != PC_OK || !guess->allowed)
      continue;
    status = add_trial(h, guess);
    wanted--;
  }
  return status;
}

static double covered_kg(const hunt *h, const pc_place_trial *trial) {
  double sum = 0.0;
  for (size_t k = 0; k < trial->count; k++)
    sum += h->snow.covered_kg[trial->sites[k]];
  return sum;
}

static pc_status run_new(hunt *h, size_t from) {
  size_t count = h->trial_count - from, done;
  pc_status status = pc_place_run_trials(&h->stage, h->wanted, &h->steps, h->trials + from, count, &done);
  h->stopped |= status == PC_OK && done < count;
  h->trial_count = from + done;
  for (size_t i = from; i < h->trial_count && status == PC_OK; i++) {
    const pc_place_trial *trial = &h->trials[i];
    if (!trial->made || !trial->finished)
      continue;
    double unreached = h->snow.all_kg - covered_kg(h, trial) - trial->start_kg - trial->fallen_kg;
    h->left_kg = fmax(h->left_kg, trial->left_kg + fmax(0.0, unreached));
  }
  return status;
}

static const pc_place_trial *best_trial(const hunt *h) {
  const pc_place_trial *best = NULL;
  for (size_t i = 0; i < h->trial_count; i++)
    if (!best || pc_place_is_better(&h->trials[i], best))
      best = &h->trials[i];
  return best && best->made && best->finished ? best : NULL;
}

/* The best of one zone less, with one more: what the guesses take for worse may be better still. */
static pc_status add_grown(hunt *h, const pc_place_choice *fewer, size_t wanted) {
  pc_place_guess best = {.count = fewer->count, .checked = true, .allowed = true};
  pc_place_guesses one = {.items = &best, .count = 1}, grown = {0};
  memcpy(best.sites, fewer->sites, fewer->count * sizeof *fewer->sites);
  pc_status status = pc_place_guess_more(&h->guesser, &one, &grown);
  if (status == PC_OK)
    status = add_trials(h, &grown, wanted);
  free(grown.items);
  return status;
}

/* Half of the allowance goes to the best guesses, the rest in rounds: one to what grows from the best with a
 * zone less, if that is known, the others to neighbours of the best so far. While none can be run and
 * finishes, there is patience for more. */
static pc_status try_guesses(hunt *h, pc_place_guesses *guesses, const pc_place_step *fewer,
                             size_t allowance) {
  size_t first = guesses->all && guesses->count <= allowance ? allowance : (allowance + 1) / 2;
  size_t each = (allowance - first) / ROUNDS + 1;
  pc_status status = add_trials(h, guesses, first);
  if (status == PC_OK && fewer && fewer->found && first + each <= allowance)
    status = add_grown(h, &fewer->best, each);
  if (status == PC_OK)
    status = run_new(h, 0);
  while (status == PC_OK && !is_over(h)) {
    size_t from = h->trial_count;
    const pc_place_trial *best = best_trial(h);
    size_t most = best ? allowance : PATIENCE * allowance, left = from < most ? most - from : 0;
    if (left == 0)
      break;
    pc_place_guesses near = {0};
    if (best)
      status = pc_place_guess_near(&h->guesser, best->sites, best->count, &near);
    if (status == PC_OK)
      status = add_trials(h, &near, left < each ? left : each);
    free(near.items);
    if (status == PC_OK && h->trial_count == from)
      status = add_trials(h, guesses, left < each ? left : each);
    if (h->trial_count == from)
      break;
    if (status == PC_OK)
      status = run_new(h, from);
  }
  return status;
}

static bool is_all(const hunt *h, const pc_place_guesses *guesses) {
  for (size_t i = 0; i < guesses->count; i++)
    if (!guesses->items[i].checked || (guesses->items[i].allowed && !is_tried(h, &guesses->items[i])))
      return false;
  return guesses->all;
}

/* ---- the search ---- */

static int better_first(const void *a, const void *b) {
  const pc_place_trial *x = a, *y = b;
  if (pc_place_is_better(x, y))
    return -1;
  if (pc_place_is_better(y, x))
    return 1;
  for (size_t k = 0; k < x->count; k++)
    if (x->sites[k] != y->sites[k])
      return x->sites[k] < y->sites[k] ? -1 : 1;
  return 0;
}

static pc_status fill_choice(hunt *h, const pc_place_trial *trial, pc_place_choice *choice) {
  *choice = (pc_place_choice){.count = trial->count, .once_s = trial->time_s};
  memcpy(choice->sites, trial->sites, trial->count * sizeof *trial->sites);
  pc_status status = pc_place_haul(&h->guesser, trial->sites, trial->count, &choice->haul_kgm);
  for (size_t k = 0; k < trial->count && status == PC_OK; k++) {
    double taken_m2 = 0.0;
    status = pc_place_taken(h->scenario, &h->out->sites[trial->sites[k]].zone.outline, &taken_m2);
    choice->taken_m2 += taken_m2;
  }
  return status;
}

/* The best with as many zones as these guesses have. */
static pc_status search(hunt *h, pc_place_guesses *guesses, pc_place_step *step) {
  size_t foreseen = trials_for(h, step->zones);
  h->trial_count = 0;
  pc_status status = try_guesses(h, guesses, step->zones > 1 ? step - 1 : NULL, foreseen);
  if (status != PC_OK)
    return status;
  if (h->trial_count < foreseen)
    pc_steps_skip(&h->steps, foreseen - h->trial_count);
  step->simulated = h->trial_count;
  step->all = is_all(h, guesses);
  if (h->trial_count > 0)
    qsort(h->trials, h->trial_count, sizeof *h->trials, better_first);
  const pc_place_trial *best = best_trial(h);
  step->found = best != NULL;
  return best ? fill_choice(h, best, &step->best) : PC_OK;
}

static pc_status search_all(hunt *h) {
  size_t zones = h->out->asked, kept = h->scenario->place.keep.count;
  pc_place_guesses now = {0}, before = {0};
  pc_status status = PC_OK;
  for (size_t n = kept > 1 ? kept : 1; n <= zones; n++)
    pc_steps_more(&h->steps, trials_for(h, n));
  pc_steps_more(&h->steps, (zones - 1 + PC_PLACE_FINALISTS) * h->wanted->replications);
  for (size_t n = 1; n <= zones && status == PC_OK && !is_over(h); n++) {
    pc_place_step *step = &h->out->steps[n - 1];
    *step = (pc_place_step){
        .zones = n, .saved_s = NAN, .saved_half_s = NAN, .bound_s = NAN, .least_haul_kgm = NAN};
    h->out->step_count = n;
    if (n < kept)
      continue;
    bool first = n == (kept > 1 ? kept : 1);
    status = pc_place_guess_more(&h->guesser, first ? NULL : &before, &now);
    if (status == PC_OK)
      status = search(h, &now, step);
    free(before.items);
    before = now;
    now = (pc_place_guesses){0};
    if (h->stopped && !step->found) /* which says nothing of so many zones */
      h->out->step_count = n - 1;
  }
  free(before.items);
  return status;
}

static pc_status bound_all(hunt *h) {
  pc_status status = PC_OK;
  h->out->left_kg = h->left_kg;
  for (size_t n = 0; n < h->out->step_count && status == PC_OK && !is_over(h); n++) {
    pc_place_step *step = &h->out->steps[n];
    if (step->found)
      status = pc_place_bound(h->lot, &h->snow, h->out, step->zones, &step->best, h->left_kg, step);
  }
  return status;
}

/* ---- finalists ---- */

static void free_runs(pc_place_choice *choice) {
  pc_summary_free(&choice->summary);
  pc_crossed_free(&choice->crossed);
}

static pc_status replicate(hunt *h, pc_place_choice *choice) {
  pc_lot *lot = NULL;
  pc_crossings crossings = {0};
  const pc_trace trace = {.row = pc_crossings_row, .context = &crossings};
  pc_status status =
      pc_place_lot(&h->stage, h->wanted->choice, choice->sites, choice->count, true, &lot, NULL);
  if (status == PC_OK) {
    pc_crossings_start(&crossings, lot, h->scenario);
    status = pc_replicate_summary(lot, h->wanted->replications, h->wanted->seed, h->wanted->threads,
                                  crossings.cycles ? &trace : NULL, &h->steps, &choice->summary);
  }
  if (status == PC_OK)
    status = pc_crossings_list(&crossings, &choice->crossed);
  pc_crossings_free(&crossings);
  h->stopped |= status == PC_OK && choice->summary.replications < h->wanted->replications;
  pc_lot_free(lot);
  return status;
}

static int quicker_first(const void *a, const void *b) {
  const pc_place_choice *x = a, *y = b;
  int ends = pc_summary_order_of_ends(&x->summary, &y->summary);
  if (ends != 0)
    return ends;
  double tx = x->summary.total_time_s.mean, ty = y->summary.total_time_s.mean;
  if (tx != ty)
    return tx < ty ? -1 : 1;
  return x->once_s < y->once_s ? -1 : x->once_s > y->once_s;
}

static void rank_finalists(pc_placement *out) {
  const pc_summary *best = &out->finalists[0].summary;
  size_t count = out->finalist_count;
  if (count > 1)
    qsort(out->finalists, count, sizeof *out->finalists, quicker_first);
  for (size_t i = 0; i < count; i++) {
    pc_place_choice *choice = &out->finalists[i];
    choice->difference_s = pc_summary_difference(&choice->summary, best, pc_level_of_each(level, count));
    const pc_statistic *d = &choice->difference_s;
    choice->tied = choice->summary.unfinished == best->unfinished &&
                   d->mean - d->half_width <= same_time * choice->summary.total_time_s.mean;
  }
}

static bool comes_near(const hunt *h, const pc_place_trial *trial) {
  return trial->made && trial->finished && trial->time_s <= (1.0 + finalist_share) * h->trials[0].time_s;
}

/* Those that come near to the best; if stopped, those of which all replications are there. */
static pc_status run_others(hunt *h) {
  pc_placement *out = h->out;
  pc_status status = PC_OK;
  size_t count = 1;
  while (count < h->trial_count && count < PC_PLACE_FINALISTS && comes_near(h, &h->trials[count]))
    count++;
  pc_steps_skip(&h->steps, (PC_PLACE_FINALISTS - count) * out->replications);
  for (size_t i = 1; i < count && status == PC_OK && !is_over(h); i++) {
    pc_place_choice *choice = &out->finalists[i];
    status = fill_choice(h, &h->trials[i], choice);
    if (status == PC_OK)
      status = replicate(h, choice);
    if (status == PC_OK && choice->summary.replications < out->replications) {
      free_runs(choice);
      break;
    }
    out->finalist_count++;
  }
  return status;
}

static pc_status run_finalists(hunt *h) {
  pc_placement *out = h->out;
  pc_status status = PC_OK;
  if (out->step_count == 0)
    return PC_OK;
  pc_place_step *last = &out->steps[out->step_count - 1];
  for (size_t n = 0; n + 1 < out->step_count && status == PC_OK; n++)
    if (out->steps[n].found)
      status = replicate(h, &out->steps[n].best);
  if (last->found && status == PC_OK) {
    out->finalists[out->finalist_count++] = last->best;
    status = replicate(h, &out->finalists[0]);
  }
  /* stopped in the search, the trials may be of another number of zones */
  if (last->found && status == PC_OK && !h->stopped)
    status = run_others(h);
  if (status == PC_OK)
    rank_finalists(out);
  if (last->found && status == PC_OK)
    last->best = out->finalists[0];
  return status;
}

static void weigh_steps(pc_placement *out) {
  const pc_place_choice *before = NULL;
  for (size_t n = 0; n < out->step_count; n++) {
    pc_place_step *step = &out->steps[n];
    if (!step->found)
      continue;
    if (before) {
      pc_statistic saved = pc_summary_difference(&before->summary, &step->best.summary, level);
      step->saved_s = saved.mean;
      step->saved_half_s = saved.half_width;
    }
    before = &step->best;
  }
}

/* Nothing of the number asked for could be run: why. */
static pc_status tell_nothing(const hunt *h) {
  double room[PC_PLACE_SITES_MAX], most = 0.0;
  size_t zones = h->out->asked, count = h->out->site_count;
  memcpy(room, h->guesser.room_kg, count * sizeof *room);
  for (size_t k = 0; k < zones && k < count; k++) {
    size_t largest = k;
    for (size_t i = k + 1; i < count; i++)
      largest = room[i] > room[largest] ? i : largest;
    most += room[largest];
    room[largest] = room[k];
  }
  if (most < h->snow.all_kg)
    return pc_faults_add(
        h->faults, PC_ERR_RANGE, "place.zones", NULL,
        "no %zu of the %zu places hold the snow, %s when piled: the largest hold %s; "
        "take more zones, or larger ones",
        zones, count, pc_show(h->out->need_m3, PC_DIM_VOLUME, h->faults->units, 4).text,
        pc_show(most / h->scenario->snow.pile_density_kgpm3, PC_DIM_VOLUME, h->faults->units, 4).text);
  return pc_faults_add(
      h->faults, PC_ERR_RANGE, "place.zones", NULL,
      "no %zu of the %zu places that could be tried do not overlap, hold the snow, leave ways "
      "for machines, and get the lot cleared; take fewer zones, or places smaller than %s x %s (--size)",
      zones, count, pc_show(h->scenario->place.length_m, PC_DIM_LENGTH, h->faults->units, 3).text,
      pc_show(h->scenario->place.width_m, PC_DIM_LENGTH, h->faults->units, 3).text);
}

static pc_status hunt_places(hunt *h) {
  pc_status status = pc_place_gather(h->scenario, h->out, h->faults);
  if (status == PC_OK)
    status = pc_place_stage_make(h->scenario, h->out, &h->stage);
  if (status == PC_OK)
    status = find_lot(h);
  if (status == PC_OK && !is_over(h))
    status = pc_place_snow_make(h->scenario, h->out, h->lot, &h->snow, h->faults);
  h->out->stopped = h->stopped;
  if (status != PC_OK || h->stopped)
    return status;
  h->out->need_m3 = h->snow.all_kg / h->scenario->snow.pile_density_kgpm3;
  find_allowance(h);
  status = pc_place_guesser_make(h->scenario, h->out, &h->snow, h->lot, &h->guesser);
  if (status == PC_OK)
    status = search_all(h);
  if (status == PC_OK)
    status = bound_all(h);
  if (status == PC_OK)
    status = run_finalists(h);
  h->out->stopped = h->stopped;
  if (status == PC_OK && h->out->finalist_count == 0 && !h->stopped)
    return tell_nothing(h);
  if (status == PC_OK)
    weigh_steps(h->out);
  return status;
}

pc_status pc_placement_find(const pc_scenario *scenario, const pc_place_wanted *wanted,
                            pc_placement *placement, pc_faults *faults) {
  *placement = (pc_placement){.asked = (size_t)scenario->place.zones, .replications = wanted->replications};
  hunt h = {.scenario = scenario, .wanted = wanted, .out = placement, .faults = faults};
  if (wanted->replications == 0)
    return pc_faults_add(faults, PC_ERR_RANGE, "chance.replications", NULL, "at least 1 is needed");
  if (scenario->place.zones < 1 || scenario->place.zones > PC_PLACE_MAX)
    return pc_faults_add(faults, PC_ERR_RANGE, "place.zones", NULL, "must be between 1 and %d",
                         (int)PC_PLACE_MAX);
  pc_steps_begin(&h.steps, wanted->watch, 0);
  pc_status status = hunt_places(&h);
  pc_steps_end(&h.steps);
  if (status != PC_OK && pc_faults_fatal(faults) == 0)
    pc_faults_add(faults, status, "place", NULL, "%s", pc_status_describe(status));
  free(h.trials);
  pc_place_guesser_free(&h.guesser);
  pc_place_snow_free(&h.snow);
  pc_lot_free(h.lot);
  pc_place_stage_free(&h.stage);
  if (status != PC_OK)
    pc_placement_free(placement);
  return status;
}

void pc_placement_free(pc_placement *placement) {
  if (!placement)
    return;
  for (size_t n = 0; n + 1 < placement->step_count; n++)
    free_runs(&placement->steps[n].best);
  for (size_t i = 0; i < placement->finalist_count; i++) /* the last step's best is one of these */
    free_runs(&placement->finalists[i]);
  for (size_t z = 0; z < placement->site_count; z++)
    pc_zone_free(&placement->sites[z].zone);
  free(placement->sites);
  *placement = (pc_placement){0};
}
