// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The server of the planning board: HTTP on 127.0.0.1 only, for one person at one machine. It serves one page
 * and answers its questions; it knows no files.
 *
 * Who may ask: the token that the URL has (128 random bits, compared in constant time) with every request; a
 * Host that is this server (against DNS rebinding); for what is more than reading, an Origin that is this
 * server, and JSON as the type, which no plain form can send. GET changes nothing. Bodies are limited in
 * size, requests in rate, connections in number; requests are answered one after the other.
 */
#ifndef PC_CLI_BOARD_H
#define PC_CLI_BOARD_H

#include "cli.h"
#include "io/board.h"

enum { CLI_TOKEN_LENGTH = 32 };

typedef struct cli_board_server cli_board_server;

/* Borrows the board and `output` (NULL: nothing may be saved). Port 0: any; *url is text of the address. */
cli_exit cli_board_start(const pc_board *board, const char *output, int port, cli_board_server **server,
                         pc_text *url);
void cli_board_stop(cli_board_server *server);

#endif
