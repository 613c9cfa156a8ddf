// SPDX-License-Identifier: GPL-3.0-or-later
/* What the parts of the brief share; not installed. */
#ifndef PC_IO_BRIEF_PRIVATE_H
#define PC_IO_BRIEF_PRIVATE_H

#include "io/draw.h"

/* brief_words.c: what stands below the maps. `machine` PC_BRIEF_ALL: on the page for the whole lot. */
#define PC_BRIEF_ALL PC_MAP_ALL
/* What to expect, or the work of the machine. */
void pc_brief_work(pc_column *column, const pc_brief_content *content, size_t machine, pc_unit_system units);
/* Checks and cautions: the same words on every page of a kind. */
void pc_brief_checks(pc_column *column, const pc_brief_content *content, size_t machine,
                     pc_unit_system units);
/* A heading. */
void pc_brief_head(pc_column *column, const char *words);
/* An entry of a list of which `left` are to come, this one among them; "and N more" and false where the list
 * has to end, so that `reserve` points stay free. */
bool pc_brief_listed(pc_column *column, double reserve, size_t left, const char *words);
/* brief_mind.c: where the piles would lie, if something is to be said of it and there is room. */
void pc_brief_siting(pc_column *column, const pc_brief_content *content, pc_unit_system units);
/* What to leave alone, and where piles come too near: as much of it as fits, in the next
 * column, too. */
void pc_brief_mind(pc_column *column, pc_column *next, const pc_brief_content *content, size_t machine,
                   pc_unit_system units);
/* brief_night.c: clock times and lengths of time. */
extern const pc_type pc_brief_item;
double pc_brief_clock_s(const pc_lot *lot, double work_s);
/* When the work begins (PC_BRIEF_ALL: of anybody); with `shift` the hours of the machine stand there already.
 */
void pc_brief_start(pc_column *column, const pc_lot *lot, size_t machine, bool shift, pc_unit_system units);
void pc_brief_storm(pc_column *column, const pc_lot *lot, pc_unit_system units);
void pc_brief_pauses(pc_column *column, const pc_lot *lot);
void pc_brief_deadlines(pc_column *column, const pc_brief_content *content, pc_unit_system units);
/* The area that it works as the first, second, … before all others; −1: none, or it has an order of its own.
 */
int pc_brief_first_area(const pc_lot *lot, size_t machine, int rank);
/* These areas. */
void pc_brief_first(pc_column *column, const pc_lot *lot, size_t machine, pc_unit_system units);
/* When all snow of an area that it works is to be pushed for a deadline. */
void pc_brief_sweeps(pc_column *column, const pc_lot *lot, size_t machine, pc_unit_system units);
/* What areas that it may work wait for: a time, or other areas. PC_BRIEF_ALL: every area. */
void pc_brief_waits(pc_column *column, const pc_lot *lot, size_t machine, pc_unit_system units);
/* The same as part of a sentence: ", once dock apron is clear". */
void pc_brief_once(const pc_lot *lot, size_t area, pc_text *words);
/* In a storm: from when a place is to be cleared again. */
void pc_brief_come_back(pc_column *column, const pc_lot *lot, pc_unit_system units);
/* The area that a row of the machine pushes in, or −1. */
int pc_brief_area_of(const pc_lot *lot, const pc_trace_row *row, size_t machine);
/* In a storm: when the traced night had it come back there, "; again from 1:05 am, 2:20 am". */
void pc_brief_again(const pc_brief_content *content, size_t machine, size_t area, pc_text *words);
/* Pavement that is closed to it, and areas bound to other loaders where its ways of the traced night lead
 * across. */
void pc_brief_across(pc_column *column, const pc_brief_content *content, size_t machine);
/* The hours of a machine, and its breaks. */
void pc_brief_shift(pc_column *column, const pc_brief_content *content, size_t machine, pc_unit_system units);
/* The last line of a page. */
extern const char pc_brief_foot[];

enum { PC_BRIEF_QUARTERS = 4 };
/* Shade of the strips that a machine pushes in a quarter of its work, the first the darkest. */
pc_ink pc_brief_quarter_ink(int quarter);

/* Time that a machine works or waits, and its loads, over all replications; all 0, and the canvas fails, if
 * memory is short. */
pc_statistic pc_brief_hours(pc_canvas *canvas, const pc_brief_content *content, size_t machine);
pc_statistic pc_brief_loads(pc_canvas *canvas, const pc_brief_content *content, size_t machine);

#endif
