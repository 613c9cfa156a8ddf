// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A planning board: a page on which pile zones are dragged about, and the answers that it asks for. This is
 * all but the server: texts in, texts out.
 *
 * A request is a JSON object:
 *  - zones: the zones of the layout, in order: {"name", "from", "outline": [[x, y], …]} or with "at": [x, y];
 *    metres. `from` names the zone of the scenario that it was (height, volume, berths are its), or is null
 * for a new one.
 *  - box: put on every machine, or null
 *  - policy: or null
 *  - full: true: all replications, false: the first one only
 *  - against_s: (may be left out) total times of as many replications, to give the difference to
 *  - layout: (only to write it) the name of the layout
 *
 * An answer is {"faults": […], "cautions": […]}, each {"zone": index or null, "message"}; without faults also
 * "result" as `run --json` gives it, "times_s", "difference_s" and "compute_ms".
 *
 * Ownership: the board borrows all that it points to; text goes into the caller's pc_text. A request that is
 * not understood gives PC_ERR_SYNTAX (or _RANGE, _NAME, _LIMIT) and {"error": "…"} as text; PC_ERR_MEMORY
 * leaves no text. Thread-safe (arguments only).
 */
#ifndef PC_IO_BOARD_H
#define PC_IO_BOARD_H

#include "study/replicate.h"

PC_BEGIN_C

enum { PC_BOARD_ZONES_MAX = 40, PC_BOARD_POINTS_MAX = 200, PC_BOARD_REQUEST_MAX = 128 * 1024 };

typedef struct pc_board {
  const pc_scenario *scenario; /* valid, its headings chosen */
  const char *name, *text;     /* what the scenario was read from */
  size_t length;
  pc_choice choice; /* what the board begins with */
  int threads;      /* 0: one per processor */
  pc_unit_system units;
} pc_board;

/* `save_name`: the file that the page may have its layout written to; NULL: none. */
PC_API PC_MUST_USE pc_status pc_board_page(const pc_board *board, const char *save_name, pc_text *out);
PC_API PC_MUST_USE pc_status pc_board_answer(const pc_board *board, const char *request, size_t length,
                                             pc_text *out);
/* The scenario with the layout of the request as one more. A layout that could not be read back, for a name
 * or an outline, is refused with the status of what is wrong, as a request that is not understood. */
PC_API PC_MUST_USE pc_status pc_board_scenario(const pc_board *board, const char *request, size_t length,
                                               pc_text *out);
/* The content security policy of the page, for the server's headers. */
PC_API void pc_board_policy(pc_text *out);

PC_END_C

#endif
