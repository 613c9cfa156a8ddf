// SPDX-License-Identifier: GPL-3.0-or-later
#include "sim/result.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"

const char *pc_phase_name(pc_phase phase) {
  static const char *const names[PC_PHASE_COUNT] = {"lower", "fill", "clean_up", "raise",  "turn",
                                                    "carry", "wait", "dump",     "return", "idle"};
  return (unsigned)phase < PC_PHASE_COUNT ? names[phase] : "unknown";
}

const char *pc_reason_name(pc_reason reason) {
  switch (reason) {
  case PC_REASON_DONE:
    return "done";
  case PC_REASON_ZONES_FULL:
    return "pile zones full";
  case PC_REASON_STUCK:
    return "no machine can move its load";
  case PC_REASON_STOPPED:
    return "stopped with work left";
  }
  return "unknown";
}

double pc_machine_all_s(const pc_machine_result *machine) {
  double sum = 0.0;
  for (int p = 0; p < PC_PHASE_COUNT; p++)
    sum += machine->time_s[p];
  return sum;
}

pc_status pc_result_init(pc_result *result, size_t machine_count, size_t zone_count) {
  memset(result, 0, sizeof *result);
  result->machines = pc_alloc(machine_count, sizeof *result->machines);
  result->zones = pc_alloc(zone_count, sizeof *result->zones);
  if (!result->machines || !result->zones) {
    pc_result_free(result);
    return PC_ERR_MEMORY;
  }
  result->machine_count = machine_count;
  result->zone_count = zone_count;
  return PC_OK;
}

void pc_result_free(pc_result *result) {
  if (!result)
    return;
  free(result->machines);
  free(result->zones);
  free(result->areas);
  free(result->passages);
  memset(result, 0, sizeof *result);
}

/* NaNs of any kind are alike. */
static uint64_t mix(uint64_t hash, double value) {
  uint64_t bits;
  double plain = isnan(value) ? (double)NAN : value;
  memcpy(&bits, &plain, sizeof bits);
  for (int i = 0; i < 8; i++) {
    hash ^= bits >> (8 * i) & 0xff;
    hash *= UINT64_C(1099511628211);
  }
  return hash;
}

static uint64_t mix_all(uint64_t hash, const double *values, size_t count) {
  for (size_t i = 0; i < count; i++)
    hash = mix(hash, values[i]);
  return hash;
}

uint64_t pc_result_hash(const pc_result *result) {
  const double whole[] = {result->reason,      result->finished,  result->total_time_s,
                          result->start_kg,    result->fallen_kg, result->placed_kg,
                          result->left_kg,     result->small_m2,  result->small_kg,
                          result->haul_off_kg, result->cycles,    (double)result->events};
  uint64_t hash = mix_all(UINT64_C(14695981039346656037), whole, sizeof whole / sizeof whole[0]);
  for (size_t m = 0; m < result->machine_count; m++) {
    const pc_machine_result *machine = &result->machines[m];
    const double rest[] = {machine->fill_m,          machine->carry_m,  machine->return_m, machine->placed_kg,
                           machine->fuel_l,          machine->cycles,   machine->break_s,  machine->refuel_s,
                           machine->repair_s,        machine->absent_s, machine->done_s,   machine->last_area,
                           machine->last_area_from_s};
    hash = mix_all(hash, machine->time_s, PC_PHASE_COUNT);
    hash = mix_all(hash, rest, sizeof rest / sizeof rest[0]);
  }
  for (size_t z = 0; z < result->zone_count; z++) {
    const pc_zone_result *zone = &result->zones[z];
    const double all[] = {zone->snow_kg, zone->volume_m3, zone->wait_s, zone->capacity_m3, zone->loads};
    hash = mix_all(hash, all, sizeof all / sizeof all[0]);
  }
  for (size_t a = 0; a < result->area_count; a++) {
    const pc_area_result *area = &result->areas[a];
    const double all[] = {area->done_s, area->max_depth_m, area->ready_s, area->late_s, area->late};
    hash = mix_all(hash, all, sizeof all / sizeof all[0]);
  }
  for (size_t i = 0; i < result->passage_count; i++)
    hash = mix(hash, result->passages[i].wait_s);
  return hash;
}
