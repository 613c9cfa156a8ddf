// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Results as JSON and CSV: SI numbers, the unit in every key. Numbers that are not finite become null in
 * JSON and an empty field in CSV. Every statistic is an object with mean, half_width, level, min, max.
 * `time_s` is machine-seconds by phase, mean over replications; `lower_raise` holds both, so that the
 * entries of one machine add up to the total time.
 *
 * Ownership: text goes into the caller's pc_text. Failures: PC_ERR_MEMORY. Independent of the locale.
 * Thread-safe (arguments only).
 */
#ifndef PC_IO_RESULTS_H
#define PC_IO_RESULTS_H

#include "io/tables_siting.h"
#include "study/assign.h"
#include "study/compare.h"
#include "study/fit.h"
#include "study/limits.h"
#include "study/place.h"
#include "study/replicate.h"
#include "study/sensitivity.h"

PC_BEGIN_C

/* "pushcycle-run", version 1. */
PC_API PC_MUST_USE pc_status pc_results_run_json(const pc_lot *lot, const pc_summary *summary, uint64_t seed,
                                                 pc_text *out);
/* The same with what the notes tell: the siting findings of its layout as "siting", the headings that were
 * chosen as "headings", …; `notes` may be NULL. */
PC_API PC_MUST_USE pc_status pc_results_run_json_with(const pc_lot *lot, const pc_summary *summary,
                                                      uint64_t seed, const pc_notes *notes, pc_text *out);
/* The run as a header line and one row (machines and zones only in JSON). */
PC_API PC_MUST_USE pc_status pc_results_run_csv(const pc_lot *lot, const pc_summary *summary, uint64_t seed,
                                                pc_text *out);
/* The same with what of the notes is a number, "crossing_cycles"; `notes` may be NULL. */
PC_API PC_MUST_USE pc_status pc_results_run_csv_with(const pc_lot *lot, const pc_summary *summary,
                                                     uint64_t seed, const pc_notes *notes, pc_text *out);
/* "pushcycle-compare", version 1; `scenario` is the one that was compared. */
PC_API PC_MUST_USE pc_status pc_results_compare_json(const pc_scenario *scenario,
                                                     const pc_comparison *comparison, pc_text *out);
/* The same with "siting" and "headings", as above. */
PC_API PC_MUST_USE pc_status pc_results_compare_json_with(const pc_scenario *scenario,
                                                          const pc_comparison *comparison,
                                                          const pc_notes *notes, pc_text *out);
PC_API PC_MUST_USE pc_status pc_results_compare_csv(const pc_comparison *comparison, pc_text *out);
/* "pushcycle-limits", version 1. */
PC_API PC_MUST_USE pc_status pc_results_limits_json(const pc_scenario *scenario, const pc_limits_row *rows,
                                                    size_t count, pc_text *out);
PC_API PC_MUST_USE pc_status pc_results_limits_csv(const pc_limits_row *rows, size_t count, pc_text *out);
/* "pushcycle-fit", version 1. `name`: where the timed cycles come from. */
PC_API PC_MUST_USE pc_status pc_results_fit_json(const pc_fit *fit, const char *name, pc_text *out);
/* "pushcycle-sensitivity", version 1; `name`: the scenario's. CSV has the inputs only. */
PC_API PC_MUST_USE pc_status pc_results_sensitivity_json(const pc_sensitivity *s, const char *name,
                                                         pc_text *out);
PC_API PC_MUST_USE pc_status pc_results_sensitivity_csv(const pc_sensitivity *s, pc_text *out);
/* "pushcycle-place", version 1; a placement with finalists. `notes` may be NULL. */
PC_API PC_MUST_USE pc_status pc_results_place_json(const pc_scenario *scenario, const pc_placement *placement,
                                                   const pc_notes *notes, pc_text *out);
/* "pushcycle-check", version 1: every fault and caution. `name` is the file that was checked. */
PC_API PC_MUST_USE pc_status pc_results_check_json(const char *name, const pc_faults *faults, pc_text *out);
/* The same with what each layout holds as "layouts", and with siting findings among the cautions: objects of
 * kind "siting" that have the keys of "siting" elsewhere, too; and with "headings". */
PC_API PC_MUST_USE pc_status pc_results_check_json_with(const char *name, const pc_faults *faults,
                                                        const pc_room_row *rooms, size_t room_count,
                                                        const pc_notes *notes, pc_text *out);
/* "pushcycle-assign", version 1; CSV has the plan only. */
PC_API PC_MUST_USE pc_status pc_results_assign_json(const pc_fleet *fleet, const pc_assignment *assignment,
                                                    pc_text *out);
PC_API PC_MUST_USE pc_status pc_results_assign_csv(const pc_fleet *fleet, const pc_assignment *assignment,
                                                   pc_text *out);

PC_END_C

#endif
