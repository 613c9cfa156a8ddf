// SPDX-License-Identifier: GPL-3.0-or-later
/* Requests of a board, read. Not installed. */
#ifndef PC_IO_BOARD_PRIVATE_H
#define PC_IO_BOARD_PRIVATE_H

#include "io/board.h"
#include "io/replay_private.h"

typedef struct pc_board_request {
  json_t *root;
  pc_zone *zones;
  size_t count;
  const char *layout, *box, *policy; /* borrowed from root; NULL: not given */
  double *against_s;
  size_t against_count;
  bool full;
  bool own_boxes; /* as the crew has them, whatever the board was begun with */
} pc_board_request;

/* *why: what is wrong with it, static. Free with pc_board_request_free whatever it returns. */
pc_status pc_board_request_read(const pc_board *board, const char *text, size_t length,
                                pc_board_request *request, const char **why);
void pc_board_request_free(pc_board_request *request);
/* {"error": why}; returns `status`, or PC_ERR_MEMORY. */
pc_status pc_board_refuse(pc_status status, const char *why, pc_text *out);

#endif
