// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/ends.h"

#include <math.h>

#include "study/crews_private.h"

bool pc_ends_apart(double done_s, double latest_s, double total_s) {
  return latest_s - done_s > PC_ENDS_APART * total_s; /* never for NaN */
}

/* The area of the last pushes of all that are last; -1: there are several, or they came there too late. */
static int common_area(const pc_result *mean, const pc_ends *ends) {
  int area = -1;
  for (size_t m = 0; m < mean->machine_count; m++) {
    const pc_machine_result *machine = &mean->machines[m];
    if (ends->machines[m] != PC_END_LAST)
      continue;
    if (machine->last_area < 0 || !(machine->last_area_from_s <= ends->before_s) ||
        (area >= 0 && area != machine->last_area))
      return -1;
    area = machine->last_area;
  }
  return area;
}

static void find_area(const pc_lot *lot, const pc_result *mean, pc_ends *ends) {
  int area = common_area(mean, ends);
  if (area < 0 || (size_t)area >= lot->area_count || lot->area_count < 2)
    return;
  ends->area = lot->areas[area].name;
  ends->area_bound = true;
  for (size_t m = 0; m < lot->machine_count; m++) {
    if (ends->machines[m] == PC_END_LAST)
      ends->area_from_s = fmax(ends->area_from_s, mean->machines[m].last_area_from_s);
    else
      ends->area_bound &= !lot->machines[m].allowed[area];
  }
}

/* Of two machines alike the first is done so long before the second that it can't be how the last loads
 * fell: it has stood while the other one took several. */
static bool stands_still(const pc_lot *lot, const pc_machine_result *is_done, const pc_machine_result *last) {
  double busy_s = pc_machine_all_s(last) - last->time_s[PC_PHASE_IDLE];
  if (last->cycles == 0)
    return false;
  double load_s = pc_lot_clock_s(lot, busy_s / last->cycles);
  return last->done_s - is_done->done_s > PC_ENDS_LOADS * load_s;
}

/* That of a machine which is not among the last. */
static pc_end end_of(const pc_lot *lot, const pc_result *mean, const pc_ends *ends, size_t m) {
  const pc_lot_machine *machine = &lot->machines[m];
  if (isnan(mean->machines[m].done_s) || pc_lot_clock_s(lot, machine->until_s) <= ends->last_s)
    return PC_END_NEITHER;
  for (size_t other = 0; other < lot->machine_count; other++)
    if (ends->machines[other] == PC_END_LAST && pc_same_kind(lot, machine, &lot->machines[other]) &&
        !stands_still(lot, &mean->machines[m], &mean->machines[other]))
      return PC_END_NEITHER;
  return PC_END_BEFORE;
}

pc_ends pc_ends_of(const pc_lot *lot, const pc_summary *summary) {
  const pc_result *mean = &summary->mean;
  const pc_ends none = {.area_from_s = NAN};
  pc_ends ends = none;
  if (summary->unfinished > 0 || mean->machine_count != lot->machine_count)
    return none;
  for (size_t m = 0; m < lot->machine_count; m++)
    ends.last_s = fmax(ends.last_s, mean->machines[m].done_s); /* fmax passes over what is NaN */
  double total_s = summary->total_time_s.mean;
  for (size_t m = 0; m < lot->machine_count; m++)
    if (!isnan(mean->machines[m].done_s) && !pc_ends_apart(mean->machines[m].done_s, ends.last_s, total_s)) {
      ends.machines[m] = PC_END_LAST;
      ends.last++;
    }
  for (size_t m = 0; m < lot->machine_count; m++)
    if (ends.machines[m] != PC_END_LAST && end_of(lot, mean, &ends, m) == PC_END_BEFORE) {
      ends.machines[m] = PC_END_BEFORE;
      ends.before++;
      ends.before_s = fmax(ends.before_s, mean->machines[m].done_s);
    }
  if (ends.before == 0)
    return none;
  find_area(lot, mean, &ends);
  return ends;
}
