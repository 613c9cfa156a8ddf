// SPDX-License-Identifier: GPL-3.0-or-later
/* The planning board: a page on this machine until Ctrl-C. */
#include <signal.h>
#include <stdlib.h>
#include <unistd.h>

#include "board.h"

static cli_exit read_port(const cli_options *options, int *port) {
  *port = 0;
  return options->port ? cli_read_integer("port", options->port, 0, 65535, port) : CLI_DONE;
}

/* Threads of the server inherit that these signals are left to the one that waits for them. */
static cli_exit serve(const cli_options *options, const pc_board *board, int port) {
  sigset_t ends;
  pc_text url = {0};
  cli_board_server *server;
  sigemptyset(&ends);
  sigaddset(&ends, SIGINT);
  sigaddset(&ends, SIGTERM);
  sigaddset(&ends, SIGHUP);
  if (pthread_sigmask(SIG_BLOCK, &ends, NULL) != 0)
    return cli_no_memory();
  cli_exit done = cli_board_start(board, options->output, port, &server, &url);
  if (done == CLI_DONE && url.failed)
    done = cli_no_memory();
  if (done == CLI_DONE) {
    int signal = 0;
    printf("%s\n", url.data);
    fflush(stdout);
    if (!options->quiet)
      cli_say("open this address in a browser on this machine; Ctrl-C ends it");
    sigwait(&ends, &signal);
  }
  cli_board_stop(server);
  pc_text_free(&url);
  return done;
}

/* Before the page is shown: what it begins with has to be possible. */
static cli_exit try_start(const cli_options *options, const pc_scenario *scenario, const pc_choice *choice) {
  pc_lot *lot = NULL;
  pc_faults faults = {0};
  pc_status status = pc_lot_create(scenario, choice, &lot, &faults);
  cli_show_faults(&faults, 0, !options->quiet);
  pc_faults_free(&faults);
  pc_lot_free(lot);
  return cli_exit_of(status);
}

/* Without zones it begins with lanes along the longest edges. */
static cli_exit start_empty(const cli_options *options, pc_scenario *scenario, pc_heading_report *headings) {
  if (pc_headings_take_longest(scenario, headings) != PC_OK)
    return cli_no_memory();
  cli_say_headings(options, headings, cli_units(options, scenario));
  return CLI_DONE;
}

static cli_exit start(const cli_options *options, pc_scenario *scenario, const pc_choice *choice,
                      pc_heading_report *headings) {
  if (scenario->zone_count == 0)
    return start_empty(options, scenario, headings);
  cli_exit done = cli_choose_headings(options, scenario, choice, headings);
  return done == CLI_DONE ? try_start(options, scenario, choice) : done;
}

cli_exit cli_board(const cli_options *options) {
  pc_scenario scenario = pc_scenario_default();
  pc_heading_report headings = {0};
  pc_board board = {.name = cli_scenario_name(options), .threads = options->threads};
  pc_text text = {0};
  int port;
  cli_exit done = read_port(options, &port);
  if (done == CLI_DONE)
    done = cli_check_new(options);
  if (done == CLI_DONE)
    done = cli_load_text(options, &scenario, &text);
  if (done == CLI_DONE)
    done = cli_choose(options, &scenario, &board.choice);
  if (done == CLI_DONE)
    done = start(options, &scenario, &board.choice, &headings);
  if (done == CLI_DONE) {
    board.scenario = &scenario;
    board.units = cli_units(options, &scenario);
    board.text = text.data;
    board.length = text.length;
    done = serve(options, &board, port);
  }
  pc_text_free(&text);
  pc_heading_report_free(&headings);
  pc_scenario_free(&scenario);
  return done;
}
