// SPDX-License-Identifier: GPL-3.0-or-later
/* --geojson: the lot, its lanes and driven ways for a map. */
#include "cli.h"

cli_exit cli_check_origin(const cli_options *options, const pc_scenario *scenario) {
  if (!options->geojson || scenario->site.has_origin)
    return CLI_DONE;
  fprintf(
      stderr,
      "%s: site.origin: is required for --geojson: where [0, 0] lies, as [longitude, latitude] in degrees\n",
      cli_scenario_name(options));
  return CLI_USAGE;
}

cli_exit cli_write_geojson(const cli_options *options, const pc_geojson_content *content) {
  pc_text text = {0};
  pc_error error = {0};
  pc_status status = pc_geojson_write(content, &text, &error);
  if (status != PC_OK) {
    cli_say("%s: %s", options->geojson, error.message[0] ? error.message : pc_status_describe(status));
    pc_text_free(&text);
    return cli_exit_of(status);
  }
  cli_exit done = cli_write_file(options->geojson, &text);
  pc_text_free(&text);
  return done;
}
