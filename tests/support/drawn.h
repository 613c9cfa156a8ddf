// SPDX-License-Identifier: GPL-3.0-or-later
/* Pictures in tests: a lot that has been run, and what must hold for every picture. */
#ifndef PC_TESTS_DRAWN_H
#define PC_TESTS_DRAWN_H

#include "io/draw.h"
#include "io/geojson.h"
#include "io/scenario.h"

typedef struct drawn_night {
  pc_scenario scenario;
  pc_lot *lot;
  pc_summary summary;
  pc_result *results;
  size_t replications;
  pc_geojson_rows rows;
  pc_world *world; /* at the end of the first replication */
  pc_result standing;
  pc_siting_report siting;
} drawn_night;

/* Reads the text, with overrides, and runs it; `layout` may be NULL. */
void drawn_start(drawn_night *night, const char *text, const pc_override *overrides, size_t count,
                 const char *layout);
void drawn_end(drawn_night *night);
pc_map_content drawn_map(const drawn_night *night);
pc_brief_content drawn_brief(const drawn_night *night);

/* What was drawn: filled by drawn_watch, the hook of a pc_draw_job. */
typedef struct drawn_count {
  size_t kinds[PC_DRAWN_KIND_COUNT], shortened;
  int pages;
  pc_text words; /* all labels, one a line */
} drawn_count;

/* Counts, and fails unless every label lies within its frame and its page, no two labels of a page touch, and
 * letters stand out from their ground by 4.5 : 1 (WCAG 2.1, success criterion 1.4.3). */
void drawn_watch(void *count, const pc_canvas *canvas);
void drawn_count_free(drawn_count *count);
bool drawn_says(const drawn_count *count, const char *words);

/* Texts of scenarios that put pictures to the test; static. */
const char *drawn_tiny(void);
const char *drawn_many(void);        /* many areas and things, all with long names in several scripts */
const char *drawn_night_storm(void); /* a storm, a passage, tandem blades, breaks, deadlines, a queue */

#endif
