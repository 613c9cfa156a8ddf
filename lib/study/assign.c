// SPDX-License-Identifier: GPL-3.0-or-later
/* From a fleet and scenarios to the covering problem: every unit is tried on every lot. */
#include "study/assign.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/parallel.h"
#include "sim/variant.h"
#include "study/replicate_private.h"

const char *pc_assign_fit_describe(pc_assign_fit fit) {
  switch (fit) {
  case PC_ASSIGN_FIT_DONE:
    return "clears it";
  case PC_ASSIGN_FIT_FULL:
    return "works until the zones are full";
  case PC_ASSIGN_FIT_TRACTION:
    return "cannot push a load of this snow (traction)";
  case PC_ASSIGN_FIT_LOT:
    return "does not fit this lot";
  case PC_ASSIGN_FIT_UNABLE:
    return "stops with work left";
  case PC_ASSIGN_FIT_UNTRIED:
    return "was not simulated before the stop";
  }
  return "unknown";
}

/* ---- units ---- */

static bool takes(const pc_fleet_machine *machine, const pc_fleet_box *box) {
  return machine->boxes.count == 0 || pc_names_have(&machine->boxes, box->name.text);
}

static double cost_per_s(const pc_fleet *fleet, const pc_fleet_machine *machine) {
  if (!isnan(machine->cost_per_s))
    return machine->cost_per_s;
  double per_s = pc_money_per_s(&fleet->money);
  return isnan(per_s) ? 0.0 : per_s;
}

static bool listed_before(const pc_counts *counts, size_t index) {
  for (size_t i = 0; i < index; i++)
    if (counts->items[i] == counts->items[index])
      return true;
  return false;
}

static pc_status form_units(const pc_fleet *fleet, pc_assignment *a) {
  size_t room = 0;
  static const int alone[] = {1};
  for (size_t m = 0; m < fleet->machine_count; m++) {
    const pc_fleet_machine *machine = &fleet->machines[m];
    size_t sizes = machine->together.count > 0 ? machine->together.count : 1;
    const int *together = machine->together.count > 0 ? machine->together.items : alone;
    for (size_t b = 0; b < fleet->box_count; b++)
      for (size_t i = 0; i < sizes; i++) {
        if (!takes(machine, &fleet->boxes[b]) || together[i] > fleet->boxes[b].count ||
            (machine->together.count > 0 && listed_before(&machine->together, i)))
          continue;
        void *units = a->units;
        if (pc_reserve(&units, &room, a->unit_count + 1, sizeof *a->units) != 0)
          return PC_ERR_MEMORY;
        a->units = units;
        a->units[a->unit_count++] =
            (pc_assign_unit){m, b, together[i], together[i] * cost_per_s(fleet, machine)};
      }
  }
  return PC_OK;
}

/* ---- trials ---- */

/* The unit, and those of the lot's own machines that stay there. */
static void put_crew(const pc_scenario *lot, const pc_crew_entry *unit, pc_scenario *variant) {
  pc_crew_entry *crew = variant->crew;
  crew[0] = *unit;
  variant->crew_count = 1;
  for (size_t i = 0; i < lot->crew_count; i++) {
    const pc_crew_entry *own = &lot->crew[i];
    if (own->keep) {
      crew[variant->crew_count++] = *own;
    } else if (own->has_start && !crew[0].has_start) {
      crew[0].has_start = true;
      crew[0].start = own->start;
    }
  }
}

/* The lot's scenario with this unit, whose machine and box take the place of namesakes. End with
 * pc_variant_free. */
static pc_status make_variant(const pc_scenario *lot, const pc_fleet *fleet, const pc_assign_unit *unit,
                              pc_scenario *variant) {
  const pc_fleet_machine *machine = &fleet->machines[unit->machine];
  const pc_fleet_box *kind = &fleet->boxes[unit->box];
  size_t l = pc_name_find(lot->loaders, lot->loader_count, sizeof *lot->loaders, machine->name.text);
  size_t b = pc_name_find(lot->boxes, lot->box_count, sizeof *lot->boxes, kind->name.text);
  pc_crew_entry entry = pc_crew_entry_default();
  if (pc_variant_make(lot, variant) != PC_OK)
    return PC_ERR_MEMORY;
  variant->loaders[l] = machine->loader;
  variant->loaders[l].name = entry.loader = machine->name;
  variant->loader_count += l == lot->loader_count;
  variant->boxes[b] = kind->box;
  variant->boxes[b].name = entry.box = kind->name;
  variant->boxes[b].count = PC_BOX_COUNT_MAX; /* the fleet counts them itself */
  variant->box_count += b == lot->box_count;
  entry.count = unit->together;
  put_crew(lot, &entry, variant);
  return PC_OK;
}

static size_t replications_of(const pc_assign_settings *settings) {
  return settings->replications > 0 ? settings->replications : 1;
}

static pc_status simulate(const pc_lot *lot, const pc_assign_settings *settings, pc_steps *steps,
                          pc_assign_trial *trial) {
  pc_summary summary;
  size_t replications = replications_of(settings);
  pc_status status = pc_replicate_summary(lot, replications, settings->seed, 1, NULL, steps, &summary);
  if (status != PC_OK)
    return status;
  if (summary.replications < replications) {
    trial->fit = PC_ASSIGN_FIT_UNTRIED;
    pc_summary_free(&summary);
    return PC_OK;
  }
  trial->time_s = summary.total_time_s.mean;
  trial->fuel_l = summary.fuel_l;
  if (summary.unfinished == 0)
    trial->fit = PC_ASSIGN_FIT_DONE;
  else
    trial->fit = summary.mean.reason == PC_REASON_ZONES_FULL ? PC_ASSIGN_FIT_FULL
                 : summary.mean.reason == PC_REASON_STUCK    ? PC_ASSIGN_FIT_TRACTION
                                                             : PC_ASSIGN_FIT_UNABLE;
  pc_summary_free(&summary);
  return PC_OK;
}

static bool is_worked(const pc_scenario *variant, const pc_area *area) {
  for (size_t c = 0; c < variant->crew_count; c++)
    if (pc_crew_may_work(&variant->crew[c], variant->crew[c].loader.text, area))
      return true;
  return false;
}

static bool has_machine(const pc_fleet *fleet, const pc_names *names) {
  for (size_t m = 0; m < fleet->machine_count; m++)
    if (pc_names_have(names, fleet->machines[m].name.text))
      return true;
  return false;
}

/* The area that is left because it is bound to other loaders. */
static void tell_bound_area(const pc_fleet *fleet, const pc_scenario *variant, pc_assign_trial *trial) {
  for (size_t a = 0; a < variant->site.area_count; a++) {
    const pc_area *area = &variant->site.areas[a];
    const pc_names *only = area->loaders.count > 0 ? &area->loaders : &area->open_to;
    if (only->count == 0 || is_worked(variant, area))
      continue;
    snprintf(trial->why, sizeof trial->why, "area \"%.63s\" is only for \"%.63s\"%s (its `%s`)%s",
             area->name.text, only->items[0].text, only->count > 1 ? " and others" : "",
             only == &area->loaders ? "loaders" : "open_to",
             has_machine(fleet, only)
                 ? ""
                 : ", and no machine of the fleet is called so; give it one, or mark the lot's own `keep`");
    return;
  }
}

static pc_status try_unit(const pc_fleet *fleet, const pc_scenario *scenario, const pc_assign_unit *unit,
                          const pc_assign_settings *settings, pc_steps *steps, pc_assign_trial *trial) {
  pc_scenario variant;
  pc_faults faults = {0};
  pc_lot *lot = NULL;
  *trial = (pc_assign_trial){.fit = PC_ASSIGN_FIT_TRACTION, .time_s = NAN, .fuel_l = NAN};
  const pc_box *box = &fleet->boxes[unit->box].box;
  pc_unit made =
      pc_unit_make(&fleet->machines[unit->machine].loader, box, &scenario->snow, scenario->full_at);
  if (box->blade == PC_BLADE_NONE && !(made.capacity_kg > 0.0)) {
    pc_steps_skip(steps, replications_of(settings));
    return PC_OK;
  }
  const pc_choice choice = {.depth_m = NAN, .without_luck = settings->replications == 0};
  pc_status status = make_variant(scenario, fleet, unit, &variant);
  if (status == PC_OK)
    status = pc_lot_create(&variant, &choice, &lot, &faults);
  if (status == PC_OK) {
    status = simulate(lot, settings, steps, trial);
    if (trial->fit == PC_ASSIGN_FIT_UNABLE)
      tell_bound_area(fleet, &variant, trial);
  } else if (status != PC_ERR_MEMORY) {
    pc_steps_skip(steps, replications_of(settings));
    trial->fit = PC_ASSIGN_FIT_LOT;
    const pc_error *first = pc_faults_first(&faults, 0);
    if (first)
      snprintf(trial->why, sizeof trial->why, "%s", first->message);
    status = PC_OK;
  }
  pc_lot_free(lot);
  pc_faults_free(&faults);
  pc_variant_free(&variant);
  return status;
}

typedef struct try_task {
  const pc_fleet *fleet;
  const pc_scenario *const *lots;
  pc_assignment *a;
  pc_steps steps;
} try_task;

static pc_status try_one(void *context, size_t i) {
  try_task *task = context;
  pc_assignment *a = task->a;
  return try_unit(task->fleet, task->lots[i % a->lot_count], &a->units[i / a->lot_count], &a->settings,
                  &task->steps, &a->trials[i]);
}

static bool is_stopped(void *context) {
  const try_task *task = context;
  return pc_steps_stopped(&task->steps);
}

static pc_status try_all(const pc_fleet *fleet, const pc_scenario *const *lots, const pc_watch *watch,
                         pc_assignment *a) {
  size_t count = a->unit_count * a->lot_count;
  try_task task = {.fleet = fleet, .lots = lots, .a = a};
  for (size_t i = 0; i < count; i++)
    a->trials[i] = (pc_assign_trial){.fit = PC_ASSIGN_FIT_UNTRIED, .time_s = NAN, .fuel_l = NAN};
  pc_steps_begin(&task.steps, watch, count * replications_of(&a->settings));
  pc_status status =
      pc_parallel_each(pc_parts_for(a->settings.threads, count), count, try_one, is_stopped, &task);
  pc_steps_end(&task.steps);
  for (size_t i = 0; i < count; i++)
    a->untried += a->trials[i].fit == PC_ASSIGN_FIT_UNTRIED;
  a->stopped = a->untried > 0;
  return status;
}

/* Who works until the zones are full counts only where nobody clears the lot, as far as that is known. */
static void choose_trials(pc_assignment *a) {
  for (size_t l = 0; l < a->lot_count; l++) {
    bool done = false, full = false, open = false;
    for (size_t u = 0; u < a->unit_count; u++) {
      done |= a->trials[u * a->lot_count + l].fit == PC_ASSIGN_FIT_DONE;
      full |= a->trials[u * a->lot_count + l].fit == PC_ASSIGN_FIT_FULL;
      open |= a->trials[u * a->lot_count + l].fit == PC_ASSIGN_FIT_UNTRIED;
    }
    full &= !open;
    for (size_t u = 0; u < a->unit_count; u++) {
      pc_assign_trial *trial = &a->trials[u * a->lot_count + l];
      trial->used = trial->fit == PC_ASSIGN_FIT_DONE || (!done && full && trial->fit == PC_ASSIGN_FIT_FULL);
    }
    a->hauled += !done && full;
    a->open += !done && open;
    a->impossible += !done && !full && !open;
  }
}

/* ---- the plan ---- */

static bool is_priced(const pc_fleet *fleet) {
  for (size_t m = 0; m < fleet->machine_count; m++)
    if (isnan(fleet->machines[m].cost_per_s) && isnan(pc_money_per_s(&fleet->money)))
      return false;
  return true;
}

/* Lots that some unit can do; returns how many. */
static size_t find_possible(const pc_assignment *a, size_t lots[PC_LOTS_MAX]) {
  size_t count = 0;
  for (size_t l = 0; l < a->lot_count; l++) {
    size_t u = 0;
    while (u < a->unit_count && !a->trials[u * a->lot_count + l].used)
      u++;
    if (u < a->unit_count)
      lots[count++] = l;
  }
  return count;
}

/* The ways between the yard and these lots; NULL: there is no memory. */
static double *ways_between(const pc_assignment *a, const size_t *lots, size_t count) {
  double *ways = pc_alloc_grid(count + 1, count + 1, sizeof *ways);
  for (size_t i = 0; ways && i <= count; i++)
    for (size_t k = 0; k <= count; k++)
      ways[i * (count + 1) + k] =
          a->travel_s[(i ? lots[i - 1] + 1 : 0) * (a->lot_count + 1) + (k ? lots[k - 1] + 1 : 0)];
  return ways;
}

/* Plans the lots that can be done. */
static pc_status plan(const pc_fleet *fleet, const pc_watch *watch, pc_assignment *a) {
  size_t lots[PC_LOTS_MAX], count = find_possible(a, lots), all = a->unit_count * count;
  if (count == 0)
    return PC_OK;
  double *ways = ways_between(a, lots, count);
  double *work = pc_alloc(all, sizeof *work), *extra = pc_alloc(all, sizeof *extra);
  int *machines = pc_alloc(fleet->machine_count, sizeof *machines);
  int *boxes = pc_alloc(fleet->box_count, sizeof *boxes);
  pc_status status = ways && work && extra && machines && boxes ? PC_OK : PC_ERR_MEMORY;
  if (status != PC_OK)
    goto out;
  for (size_t i = 0; i < all; i++) {
    const pc_assign_trial *trial = &a->trials[i / count * a->lot_count + lots[i % count]];
    work[i] = trial->used ? trial->time_s + fleet->travel.set_up_s : NAN;
    if (!isnan(fleet->money.fuel_per_m3) && !isnan(trial->fuel_l))
      extra[i] = fleet->money.fuel_per_m3 * trial->fuel_l / 1000.0;
  }
  for (size_t m = 0; m < fleet->machine_count; m++)
    machines[m] = fleet->machines[m].count;
  for (size_t b = 0; b < fleet->box_count; b++)
    boxes[b] = fleet->boxes[b].count;
  const pc_assign_problem problem = {.units = a->units,
                                     .unit_count = a->unit_count,
                                     .lot_count = count,
                                     .work_s = work,
                                     .work_cost = extra,
                                     .travel_s = ways,
                                     .machines = machines,
                                     .boxes = boxes,
                                     .machine_kinds = fleet->machine_count,
                                     .box_kinds = fleet->box_count,
                                     .back_to_yard = fleet->back_to_yard,
                                     .least = a->settings.least,
                                     .node_limit = a->settings.node_limit,
                                     .watch = watch};
  status = pc_assign_solve(&problem, &a->plan);
  a->stopped |= status == PC_OK && a->plan.stopped;
  for (size_t r = 0; r < a->plan.route_count; r++)
    for (size_t i = 0; i < a->plan.routes[r].stop_count; i++)
      a->plan.routes[r].stops[i].lot = lots[a->plan.routes[r].stops[i].lot];
  if (a->untried > 0) /* what was proven is of those that were tried */
    a->plan.bound = a->plan.gap = NAN;
out:
  free(ways);
  free(work);
  free(extra);
  free(machines);
  free(boxes);
  return status;
}

static pc_status check_lots(const pc_scenario *const *lots, size_t count, const pc_assign_settings *settings,
                            bool priced, pc_faults *faults) {
  pc_status status = PC_OK;
  if (count == 0)
    return pc_faults_add(faults, PC_ERR_MISSING, NULL, NULL, "there are no lots");
  if (count > PC_LOTS_MAX)
    return pc_faults_add(faults, PC_ERR_LIMIT, NULL, NULL,
                         "there are %zu lots; at most %d can be planned at once", count, (int)PC_LOTS_MAX);
  for (size_t i = 0; i < count; i++)
    for (size_t k = 0; k < i; k++)
      if (pc_name_is(&lots[k]->name, lots[i]->name.text))
        status = pc_faults_add(faults, PC_ERR_NAME, "name", lots[i]->name.text,
                               "lots %zu and %zu are both called \"%s\"; give each a name of its own", k + 1,
                               i + 1, lots[i]->name.text);
  if (settings->least == PC_LEAST_COST && !priced)
    status =
        pc_faults_add(faults, PC_ERR_MISSING, "money", NULL,
                      "needs prices to plan for the least cost: money.machine, or a cost for every machine");
  return status;
}

/* The first of its areas that opens later than at the start; NULL: none. */
static const pc_area *late_area(const pc_scenario *lot) {
  for (size_t a = 0; a < lot->site.area_count; a++)
    if (lot->site.areas[a].opens_s > 0)
      return &lot->site.areas[a];
  return NULL;
}

/* Lots start at other times than others, or have opening hours: no plan knows of that. */
static void tell_hours(const pc_scenario *const *lots, size_t count, pc_faults *faults) {
  const pc_clock *first = NULL;
  bool differ = false;
  size_t told = 0, more = 0;
  pc_text list = {0};
  for (size_t i = 0; i < count; i++)
    if (lots[i]->clock.given) {
      differ |= first && first->minutes != lots[i]->clock.minutes;
      first = &lots[i]->clock;
    }
  for (size_t i = 0; i < count; i++) {
    const pc_area *late = late_area(lots[i]);
    bool starts = differ && lots[i]->clock.given;
    if (!starts && !late)
      continue;
    if (list.length > 140) {
      more++;
      continue;
    }
    pc_text_addf(&list, "%s\"%.40s\" (%s%s%s%s)", told++ > 0 ? ", " : "", lots[i]->name.text,
                 starts ? "starts_at " : "", starts ? pc_clock_show(&lots[i]->clock, 0).text : "",
                 starts && late ? ", " : "", late ? "opens" : "");
  }
  if (more > 0)
    pc_text_addf(&list, " and %zu more", more);
  if (told > 0)
    pc_faults_caution(
        faults, "",
        "machines leave the yard at time 0 for every lot, and `opens` counts from their arrival: "
        "not looked at are the hours of %s",
        list.data ? list.data : "some lots");
  pc_text_free(&list);
}

pc_status pc_assign(const pc_fleet *fleet, const pc_scenario *const *lots, size_t lot_count,
                    const pc_assign_settings *settings, pc_assignment *a, pc_faults *faults) {
  *a = (pc_assignment){.settings = *settings, .priced = is_priced(fleet)};
  a->settings.watch = NULL; /* it may not live as long */
  pc_status status = check_lots(lots, lot_count, settings, a->priced, faults);
  if (status != PC_OK)
    return status;
  tell_hours(lots, lot_count, faults);
  status = PC_ERR_MEMORY;
  a->lots = pc_alloc(lot_count, sizeof *a->lots);
  a->travel_s = pc_alloc_grid(lot_count + 1, lot_count + 1, sizeof *a->travel_s);
  if (!a->lots || !a->travel_s || form_units(fleet, a) != PC_OK)
    goto out;
  a->lot_count = lot_count;
  for (size_t l = 0; l < lot_count; l++)
    a->lots[l] = lots[l]->name;
  a->trials = pc_alloc_grid(a->unit_count, lot_count, sizeof *a->trials);
  if (!a->trials)
    goto out;
  status = pc_fleet_times(fleet, a->lots, lot_count, a->travel_s, faults);
  if (status == PC_OK)
    status = try_all(fleet, lots, settings->watch, a);
  if (status != PC_OK)
    goto out;
  choose_trials(a);
  if (a->open == 0)
    status = plan(fleet, settings->watch, a);
out:
  if (status != PC_OK) {
    pc_assignment_free(a);
    if (pc_faults_fatal(faults) == 0)
      pc_faults_add(faults, status, NULL, NULL, "%s", pc_status_describe(status));
  }
  return status;
}

bool pc_assign_second(const pc_assignment *a, size_t lot, size_t unit, size_t *second) {
  bool found = false;
  for (size_t u = 0; u < a->unit_count; u++) {
    const pc_assign_trial *trial = &a->trials[u * a->lot_count + lot];
    if (u == unit || !trial->used ||
        (found && trial->time_s >= a->trials[*second * a->lot_count + lot].time_s))
      continue;
    *second = u;
    found = true;
  }
  return found;
}

void pc_assignment_free(pc_assignment *a) {
  if (!a)
    return;
  free(a->lots);
  free(a->units);
  free(a->trials);
  free(a->travel_s);
  pc_assign_plan_free(&a->plan);
  *a = (pc_assignment){0};
}
