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

/* `, "after" of area "car lot"` */
static void add_lost(pc_text *words, const char *what, const char *of, const char *name) {
  pc_text_addf(words, "%s%s%s \"%s\"", words->length > 0 ? ", " : "", what, of, name);
}

/* What a scenario made from the map would be without. */
static void tell_lost(const cli_options *options, const pc_site *site) {
  pc_text words = {0};
  for (size_t i = 0; i < site->area_count; i++) {
    if (site->areas[i].after.count > 0)
      add_lost(&words, "after", " of area", site->areas[i].name.text);
    if (site->areas[i].loaders.count > 0)
      add_lost(&words, "loaders", " of area", site->areas[i].name.text);
  }
  for (size_t i = 0; i < pc_site_pavement_count(site); i++) {
    pc_pavement pavement = pc_site_pavement_at(site, i);
    if (pavement.open_to->count > 0)
      add_lost(&words, "open_to", pavement.is_area ? " of area" : " of ground", pavement.name);
  }
  for (size_t i = 0; i < site->passage_count; i++)
    add_lost(&words, "passage", "", site->passages[i].name.text);
  if (words.length > 0 && words.data)
    fprintf(stderr, "caution: %s: a map does not hold %s: a scenario made from it has to say so again\n",
            options->geojson, words.data);
  pc_text_free(&words);
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
  if (done == CLI_DONE && !options->quiet)
    tell_lost(options, content->site);
  pc_text_free(&text);
  return done;
}
