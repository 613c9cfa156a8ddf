// SPDX-License-Identifier: GPL-3.0-or-later
/* What the text writers share with each other; not installed. */
#ifndef PC_IO_TABLES_PRIVATE_H
#define PC_IO_TABLES_PRIVATE_H

#include "io/tables.h"
#include "study/crews.h"
#include "study/ends.h"
#include "study/season.h"

/* In one fixed unit, without its name: for columns whose heading names the unit. */
pc_shown pc_show_number(double value, pc_dimension dimension, const char *unit, int decimals);
pc_shown pc_show_percent(double share, int decimals);

/* Findings shown below a result; the rest is for `check`. */
enum { PC_SITING_LINES = 5 };

/* A unit of time, and the decimals that go with it. A table, the headline above it and what is said about it
 * all have one: that of the longest time, or the next finer one where the least difference that matters would
 * be next to nothing in it. */
typedef struct pc_time_unit {
  const char *name;
  int decimals;
} pc_time_unit;
pc_time_unit pc_time_unit_for(double largest_s);
/* `difference_s` INFINITY: there is none that matters. */
pc_time_unit pc_time_unit_for_both(double largest_s, double difference_s);
/* "3.42 h ± 0.05 h"; without the interval where there is none. */
pc_shown pc_show_time(const pc_statistic *time_s);
/* Several values that are not all the same (but for rounding): there is an interval to show. */
static inline bool pc_varies(const pc_statistic *time_s) {
  return time_s->count > 1 && time_s->half_width > 1e-6;
}
/* The same in a given unit, so that a sentence keeps to one. */
pc_shown pc_show_time_in(const pc_statistic *time_s, pc_time_unit unit);
/* "6.20 h" */
pc_shown pc_show_seconds_in(double time_s, pc_time_unit unit);
/* By how much something is late, beside moments that pc_show_when shows in this unit. */
pc_shown pc_show_late(const pc_clock *clock, double late_s, pc_time_unit unit);

/* A time after the start: as a clock time where the start is given, else as pc_show_seconds_in. */
pc_shown pc_show_when(const pc_clock *clock, double after_s, pc_time_unit unit);
/* The same, else as pc_show prints it. */
pc_shown pc_show_moment(const pc_clock *clock, double after_s, pc_unit_system system, int digits);

/* The same, else as hours and minutes: "1:05". */
pc_shown pc_show_clock(const pc_clock *clock, double after_s);

/* Units for columns. */
const char *pc_column_length(pc_unit_system system); /* "m" "ft" */
const char *pc_column_mass(pc_unit_system system);   /* "t" "ton" */
const char *pc_column_speed(pc_unit_system system);  /* "km/h" "mph" */
const char *pc_column_volume(pc_unit_system system); /* "m3" "yd3" */

/* Boxes, loaders or limits of the machines, each once, joined by " + ". */
typedef enum pc_machine_word { PC_WORD_BOX, PC_WORD_LOADER, PC_WORD_LIMIT } pc_machine_word;
pc_shown pc_join_words(const pc_lot_machine *machines, size_t count, pc_machine_word word);
/* The box or loader that a row tried; with none tried, those that its machines have, but for the ones that
 * stay whatever is tried. */
pc_shown pc_row_box(const pc_compare_row *row);
pc_shown pc_row_loader(const pc_compare_row *row);

/* tables_night.c: areas missed, in sentences; whether the crew keeps up with the storm; tables of areas,
 * narrow passages and stops. Each writes nothing where there is nothing to tell. */
/* A sentence on an area that misses its deadline; false if it keeps it. */
bool pc_tables_deadline(const pc_lot *lot, const pc_summary *summary, size_t area, pc_text *out);
void pc_tables_deadlines(const pc_lot *lot, const pc_summary *summary, pc_text *out);
/* The order of areas that keeps more of them; NULL or without waits: nothing. */
/* headings: those chosen for the run; may be NULL. */
void pc_tables_order(const pc_lot *lot, const pc_summary *now, const pc_order *order,
                     const pc_heading_report *headings, pc_text *out);
/* Of all times told of one run: its length, when areas are clear, by how much they are late. */
pc_time_unit pc_run_time_unit(const pc_lot *lot, const pc_summary *summary);
void pc_tables_keep_up(const pc_depths_series *series, const pc_lot *lot, const pc_summary *summary,
                       pc_unit_system system, pc_text *out);
/* The first area that missed its deadline in some replication; their number if none did. */
size_t pc_first_late(const pc_summary *summary);
/* What to say of lateness beside the storm: the name of that area, and how to show a time. */
typedef struct pc_lateness {
  const pc_summary *summary;
  const char *first;
  const pc_clock *clock;
  pc_time_unit unit;
} pc_lateness;
/* The same of what was judged already. */
void pc_tables_kept_up(const pc_keep_up *up, const pc_lateness *late, pc_unit_system system, pc_text *out);
void pc_tables_night(const pc_lot *lot, const pc_summary *summary, pc_unit_system system, pc_text *out);
/* Areas that missed their deadline in some replication. */
size_t pc_areas_late(const pc_summary *summary);
/* tables_ends.c: who sets the time, a sentence; nothing if nobody stands out. */
void pc_tables_ends(const pc_ends *ends, const pc_lot_machine *machines, const pc_summary *summary,
                    const pc_clock *clock, pc_time_unit unit, pc_text *out);
/* The same of a run. */
void pc_tables_run_ends(const pc_lot *lot, const pc_summary *summary, pc_text *out);
/* tables_crossings.c: who drives across areas that are bound to others, a sentence for each area; nothing for
 * none, and for NULL. */
void pc_tables_crossings(const pc_crossed *crossed, pc_text *out);
/* What those are paid that are done before, from then to the end of all work. */
void pc_tables_standing_note(const pc_lot *lot, const pc_summary *summary, pc_text *out);
/* What a cost is without: a sentence, where machines or operators have no price but something else has. */
void pc_tables_rates_note(const pc_money *money, pc_text *out);
/* Where zones ran full and that has no price. */
void pc_tables_haul_note(const pc_money *money, double haul_off_kg, pc_text *out);
/* Why a cost is without fuel, or why there is none at all: a sentence, where fuel has a price but a loader no
 * figures. True if there is one. */
bool pc_tables_fuel_note(const pc_money *money, const pc_lot_machine *machines, size_t count,
                         const pc_summary *summary, pc_text *out);

/* What varies over the rows of a comparison, and so needs a column or a word. */
typedef struct pc_varying {
  bool layouts, boxes, loaders, policies, depths, machines;
  size_t stay;           /* machines that are there whatever their number, if that varies */
  bool replications;     /* more than one … */
  bool chance;           /* … and they differ, so that there are intervals */
  bool one_night;        /* there is one, though chance has a say in the scenario */
  bool cost;             /* prices are given */
  const char *currency;  /* borrowed; NULL: not told */
  double falls_m;        /* fresh snow in the storm of the scenario; 0: none, or not told */
  bool finish;           /* some row does */
  bool crossings;        /* rows differ in the areas bound to others that machines drive across */
  double least_small_m2; /* what is left for a smaller machine by the row that leaves least of it */
  pc_time_unit time;
  pc_clock clock; /* when the work starts, if the scenario says so */
} pc_varying;

enum { PC_COMPARE_COLUMNS = 32 };

/* tables_crews.c: "3 machines beside the 2 that stay"; and what stands above a column of such numbers. */
pc_shown pc_show_machines(int machines, const pc_varying *varies);
pc_shown pc_machines_heading(const pc_varying *varies);
/* tables_compare.c: what was compared, in words, as far as it varies. */
void pc_tables_label(const pc_compare_row *row, const pc_varying *varies, pc_text *out);
/* tables_crossings.c: those of the best of some ranked rows, and the quickest of them that has none. */
void pc_tables_compare_crossings(const pc_compare_row *rows, size_t count, const pc_varying *varies,
                                 pc_text *out);
/* "drives across deck in 12 cycles"; "" for none. */
pc_shown pc_crossings_word(const pc_crossed *crossed);
/* Whether rows differ in the areas that are crossed. */
bool pc_crossings_differ(const pc_comparison *comparison);
/* What a row leaves for a smaller machine beyond what the best one in that leaves, if it is worth a word,
 * else 0. */
double pc_tables_left_more_m2(const pc_compare_row *row, const pc_varying *varies);
/* tables_season.c: the parts of a season, and all of it as text; nothing without one. */
void pc_tables_season_head(const pc_scenario *scenario, const pc_season *season, pc_unit_system system,
                           pc_text *out);
void pc_tables_season_fill(const pc_scenario *scenario, const pc_comparison *comparison,
                           const pc_season *season, const pc_varying *varies, pc_unit_system system,
                           char alignment[PC_COMPARE_COLUMNS], pc_table *table);
void pc_tables_season_words(const pc_scenario *scenario, const pc_comparison *comparison,
                            const pc_season *season, const pc_varying *varies, pc_text *out);
void pc_tables_season(const pc_scenario *scenario, const pc_comparison *comparison, const pc_varying *varies,
                      pc_unit_system system, pc_text *out);
/* tables_crews.c: layout, box, loader and policy as cells, as far as they vary. */
void pc_tables_label_cells(pc_table *table, const pc_compare_row *row, const pc_varying *varies);
/* tables_compare.c: the parts of a comparison. */
pc_varying pc_varying_of(const pc_comparison *comparison);
/* With what the scenario tells beside them. */
pc_varying pc_varying_in(const pc_scenario *scenario, const pc_comparison *comparison);
/* "5 cm of snow", "5 cm on the ground, 12 cm falling", "12 cm of snow falling". */
pc_shown pc_show_snow_of(double lies_m, double falls_m, pc_unit_system system);
/* "5 cm of snow"; where a storm is given "5 cm on the ground, 12 cm falling". */
pc_shown pc_show_snow(double depth_m, const pc_varying *varies, pc_unit_system system);
void pc_tables_compare_answer(const pc_comparison *comparison, const pc_varying *varies,
                              pc_unit_system system, pc_text *out);
/* Starts and fills the ranked table; `alignment` has to live as long as it. */
void pc_tables_compare_fill(const pc_comparison *comparison, const pc_varying *varies, pc_unit_system system,
                            char alignment[PC_COMPARE_COLUMNS], pc_table *table);
/* What costs are without: the sentences of pc_tables_rates_note, pc_tables_haul_note and pc_tables_fuel_note,
 * once. */
void pc_tables_compare_costs(const pc_money *money, const pc_comparison *comparison, pc_text *out);
/* tables_left_out.c: a line for each combination of which no lot can be made, with why. */
void pc_tables_left_out(const pc_comparison *comparison, pc_text *out);
/* What headings that were chosen are chosen for, a line, where rows differ in it; they may be NULL. */
void pc_tables_compare_headings(const pc_heading_report *headings, const pc_varying *varies, pc_text *out);
/* Paragraphs headed by "Why", one fact a line. */
void pc_tables_compare_why(const pc_scenario *scenario, const pc_comparison *comparison,
                           const pc_varying *varies, pc_unit_system system, pc_text *out);

/* tables_ties.c: which rows of one depth are as quick as the best, and which can't be told yet; */
void pc_tables_ties(const pc_compare_row *rows, size_t count, const pc_varying *varies, pc_text *out);
/* What a selection came to, or how many replications one would take. */
void pc_tables_selection(const pc_comparison *comparison, const pc_varying *varies, pc_unit_system system,
                         pc_text *out);
/* the replications that would tell one row from the best; 0: it is told, or a tie, or a procedure chose the
 * best;
 */
size_t pc_row_to_tell(const pc_compare_row *row, const pc_compare_row *best);
/* those that would tell all of them; */
size_t pc_tables_to_tell(const pc_compare_row *rows, size_t count);
/* "tied with best", "not clear yet", or "" for the best and what is slower; */
const char *pc_tie_word(const pc_compare_row *row, const pc_compare_row *best);
/* one night only, though chance has a say in it, and the sentence that says so. */
bool pc_is_one_night(const pc_scenario *scenario, size_t replications);
const char *pc_one_night_line(void);
/* What to add to "… longer": that it may not be so, or that it barely is; "" where it is clear. */
const char *pc_tables_doubt(const pc_statistic *longer, pc_time_unit unit);
/* What to add to "2 areas late": " in up to 4 of 30 nights", "" if in all of them. */
pc_shown pc_late_nights(const pc_summary *summary);

/* The parts of that: a title, the table of one depth with what it comes to below it, and what its columns
 * mean. `alignment` has to live as long as the table. */
void pc_tables_crews_head(double depth_m, const pc_varying *varies, pc_unit_system system, pc_text *out);
void pc_tables_crews_fill(const pc_scenario *scenario, const pc_comparison *comparison, const pc_crews *crews,
                          double depth_m, const pc_varying *varies, pc_unit_system system,
                          char alignment[PC_COMPARE_COLUMNS], pc_table *table, pc_text *words);
void pc_tables_crews_words(const pc_comparison *comparison, pc_text *out);
/* How many machines; nothing if the number does not vary. */
void pc_tables_crews(const pc_scenario *scenario, const pc_comparison *comparison, const pc_varying *varies,
                     pc_unit_system system, pc_text *out);

#endif
