// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Pictures and papers: maps, timelines and charts as SVG, PDF or PNG; a brief for the operators as PDF; a
 * report of a comparison as one HTML page. The same drawing in every format, the same bytes for the same
 * input.
 *
 * Contents are borrowed and not changed. What is made is added to the caller's pc_text (a PNG or PDF has zero
 * bytes in it: `length` counts). Names may hold any UTF-8; they are shortened or wrapped where they do not
 * fit.
 *
 * Failures: PC_ERR_MEMORY, and what each function says; the text is then of no use. GLib, which finds and
 * shapes the letters, ends the program itself when memory runs out. Thread-safe (arguments only).
 */
#ifndef PC_IO_PICTURES_H
#define PC_IO_PICTURES_H

#include "io/tables_siting.h"
#include "sim/run.h"
#include "study/compare.h"
#include "study/replicate.h"

PC_BEGIN_C

typedef enum pc_picture_format { PC_PICTURE_SVG, PC_PICTURE_PDF, PC_PICTURE_PNG } pc_picture_format;
/* By the end of a file's name; false if it is none of .svg .pdf .png. */
PC_API bool pc_picture_format_of(const char *path, pc_picture_format *format);

typedef enum pc_paper { PC_PAPER_A4, PC_PAPER_LETTER } pc_paper; /* ISO 216; ANSI A: 8.5 × 11 in */

typedef struct pc_picture_style {
  pc_picture_format format;
  pc_unit_system units;
  pc_paper paper;
} pc_picture_style;

/* ---- maps ---- */

typedef struct pc_map_content {
  const pc_scenario *scenario;
  const pc_lot *lot;              /* of it; NULL where it has no zones yet, and then nothing of a run */
  const pc_summary *summary;      /* total time, and what zones hold at the end; may be NULL */
  const pc_siting_report *siting; /* of this layout; may be NULL */
  const pc_result *standing;      /* what zones hold at at_s, instead; may be NULL */
  const double *ground_kg;        /* snow in each cell of the lot's ground; NULL: no layer of snow */
  double at_s;                    /* when that was, by the clock; INFINITY: at the end */
  const pc_trace_row *rows;       /* of one night: ways, and where machines are at at_s; may be NULL */
  size_t row_count;
  double from_s, until_s; /* only those between, by the clock; rows are in time at work */
  bool lanes;
  bool flows;   /* of the rows: how many loads go from each part of the lot to each zone */
  bool no_ways; /* … or that or the machines alone */
} pc_map_content;

/* One lot to scale, with what `content` has of it, and a list beside it; without a lot the site alone. */
PC_API PC_MUST_USE pc_status pc_picture_map(const pc_map_content *content, const pc_picture_style *style,
                                            pc_text *out);
/* Several side by side, at one scale, each with its layout's name and total time. Zones, snow and ways only;
 * all have a lot. PC_ERR_RANGE for none. */
PC_API PC_MUST_USE pc_status pc_picture_maps(const pc_map_content *contents, size_t count,
                                             const pc_picture_style *style, pc_text *out);

/* ---- timelines ---- */

typedef struct pc_timeline_content {
  const pc_lot *lot;
  const pc_trace_row *rows; /* of one replication; in time at work */
  size_t row_count;
  double from_s, until_s; /* by the clock; 0: from the last full 15 minutes before anything happens;
                             INFINITY: to the end */
} pc_timeline_content;

/* Machines × phases by the clock, in bands of even length one below the other. */
PC_API PC_MUST_USE pc_status pc_picture_timeline(const pc_timeline_content *content,
                                                 const pc_picture_style *style, pc_text *out);

/* ---- charts ---- */

typedef enum pc_chart_kind {
  PC_CHART_LAYOUTS, /* total time of each combination, with intervals */
  PC_CHART_SPLIT,   /* where the machines' time goes, stacked */
  PC_CHART_DEPTH,   /* total time against depth of snow … */
  PC_CHART_CREW,    /* … number of machines … */
  PC_CHART_ZONES,   /* … number of pile zones */
  PC_CHART_KIND_COUNT
} pc_chart_kind;

PC_API extern const char *const pc_chart_kind_names[]; /* NULL-terminated */

typedef struct pc_chart_content {
  const pc_scenario *scenario; /* that was compared */
  const pc_comparison *comparison;
  pc_chart_kind kind;
} pc_chart_content;

/* A comparison as bars or curves, with its intervals. PC_ERR_RANGE for a kind that there is not. */
PC_API PC_MUST_USE pc_status pc_picture_chart(const pc_chart_content *content, const pc_picture_style *style,
                                              pc_text *out);

/* ---- the brief ---- */

typedef struct pc_brief_content {
  const pc_scenario *scenario;
  const pc_lot *lot; /* of it */
  const pc_summary *summary;
  const pc_result *results;       /* of every replication of the summary */
  const pc_siting_report *siting; /* of this layout */
  const pc_trace_row *rows;       /* of the first replication */
  size_t row_count;
} pc_brief_content;

/* A PDF: a page for the whole lot and one for each machine, whatever style->format says. */
PC_API PC_MUST_USE pc_status pc_brief_write(const pc_brief_content *content, const pc_picture_style *style,
                                            pc_text *out);

/* ---- the report ---- */

typedef struct pc_report_content {
  const pc_scenario *scenario; /* that was compared */
  const pc_comparison *comparison;
  const pc_siting_report *siting; /* of all its layouts; may be NULL */
  const pc_map_content *maps;     /* one for each layout, the best first: with lot and summary; may be NULL */
  size_t map_count;
  const char *source;                /* what the scenario is called: a file's name */
  const pc_heading_report *headings; /* those that were chosen for it; may be NULL */
} pc_report_content;

/* One HTML page (HTML Living Standard, SVG within it), without scripts and without anything from elsewhere.
 * The answer comes first; table, charts, maps, reasons, assumptions, inputs and cautions follow. The format
 * of the style does not matter. PC_ERR_MISSING for a comparison without rows. */
PC_API PC_MUST_USE pc_status pc_report_write(const pc_report_content *content, const pc_picture_style *style,
                                             pc_text *out);

PC_END_C

#endif
