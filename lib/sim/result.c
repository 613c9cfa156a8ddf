// SPDX-License-Identifier: GPL-3.0-or-later
#include "sim/result.h"

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
  free(result->machines);
  free(result->zones);
  free(result->areas);
  free(result->passages);
  memset(result, 0, sizeof *result);
}

static uint64_t mix(uint64_t hash, double value) {
  uint64_t bits;
  memcpy(&bits, &value, sizeof bits);
  for (int i = 0; i < 8; i++) {
    hash ^= bits >> (8 * i) & 0xff;
    hash *= UINT64_C(1099511628211);
  }
  return hash;
}

uint64_t pc_result_hash(const pc_result *result) {
  uint64_t hash = UINT64_C(14695981039346656037);
  hash = mix(hash, (double)result->reason);
  hash = mix(hash, result->total_time_s);
  hash = mix(hash, result->start_kg);
  hash = mix(hash, result->placed_kg);
  hash = mix(hash, result->left_kg);
  hash = mix(hash, result->small_kg);
  hash = mix(hash, (double)result->cycles);
  hash = mix(hash, (double)result->events);
  for (size_t m = 0; m < result->machine_count; m++) {
    const pc_machine_result *machine = &result->machines[m];
    for (int p = 0; p < PC_PHASE_COUNT; p++)
      hash = mix(hash, machine->time_s[p]);
    hash = mix(hash, machine->fill_m);
    hash = mix(hash, machine->carry_m);
    hash = mix(hash, machine->return_m);
    hash = mix(hash, machine->placed_kg);
  }
  for (size_t z = 0; z < result->zone_count; z++) {
    hash = mix(hash, result->zones[z].snow_kg);
    hash = mix(hash, result->zones[z].wait_s);
    hash = mix(hash, (double)result->zones[z].loads);
  }
  return hash;
}
