// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "drawn.h"

void drawn_start(drawn_night *night, const char *text, const pc_override *overrides, size_t count,
                 const char *layout) {
  *night = (drawn_night){0};
  pc_faults faults = {0};
  pc_status status =
      pc_scenario_read_text("lot.yaml", text, strlen(text), overrides, count, &night->scenario, &faults);
  const pc_choice choice = {.layout = layout, .depth_m = NAN};
  if (status == PC_OK)
    status = pc_lot_create(&night->scenario, &choice, &night->lot, &faults);
  for (size_t i = 0; status != PC_OK && i < faults.count; i++)
    print_error("%s: %s\n", faults.items[i].key, faults.items[i].message);
  pc_faults_free(&faults);
  assert_int_equal(status, PC_OK);
  night->replications = (size_t)night->scenario.chance.replications;
  const pc_trace trace = {.row = pc_geojson_keep_row, .context = &night->rows};
  assert_int_equal(pc_results_create(night->lot, night->replications, &night->results), PC_OK);
  size_t done;
  assert_int_equal(
      pc_replicate_range(night->lot, 0, night->replications, 1, 1, &trace, NULL, night->results, &done),
      PC_OK);
  assert_int_equal(done, night->replications);
  assert_int_equal(pc_summary_make(night->lot, night->results, night->replications, &night->summary), PC_OK);
  assert_int_equal(pc_world_create(night->lot, &night->world), PC_OK);
  assert_int_equal(pc_result_init_for(&night->standing, night->lot), PC_OK);
  assert_int_equal(pc_world_run(night->world, 1, 0, NULL, &night->standing), PC_OK);
  assert_int_equal(pc_siting_report_add(&night->siting, &night->scenario, layout, NAN), PC_OK);
}

void drawn_end(drawn_night *night) {
  pc_siting_report_free(&night->siting);
  pc_result_free(&night->standing);
  pc_world_free(night->world);
  pc_geojson_rows_free(&night->rows);
  pc_results_free(night->results, night->replications);
  pc_summary_free(&night->summary);
  pc_lot_free(night->lot);
  pc_scenario_free(&night->scenario);
}

pc_map_content drawn_map(const drawn_night *night) {
  return (pc_map_content){.scenario = &night->scenario,
                          .lot = night->lot,
                          .summary = &night->summary,
                          .siting = &night->siting,
                          .ground_kg = pc_world_ground_kg(night->world),
                          .at_s = INFINITY,
                          .rows = night->rows.items,
                          .row_count = night->rows.count,
                          .until_s = INFINITY};
}

pc_brief_content drawn_brief(const drawn_night *night) {
  return (pc_brief_content){.scenario = &night->scenario,
                            .lot = night->lot,
                            .summary = &night->summary,
                            .results = night->results,
                            .siting = &night->siting,
                            .rows = night->rows.items,
                            .row_count = night->rows.count};
}

/* ---- what must hold for every picture ---- */

static bool within(pc_rect inner, pc_rect outer, double slack) {
  return inner.x >= outer.x - slack && inner.y >= outer.y - slack &&
         inner.x + inner.width <= outer.x + outer.width + slack &&
         inner.y + inner.height <= outer.y + outer.height + slack;
}

static bool touch(pc_rect a, pc_rect b) {
  const double slack = 0.05;
  return a.x + slack < b.x + b.width && b.x + slack < a.x + a.width && a.y + slack < b.y + b.height &&
         b.y + slack < a.y + a.height;
}

static void check_label(const pc_drawn *label, pc_rect page) {
  if (!within(label->box, page, 0.05))
    fail_msg("\"%s\" runs off the page: %g, %g, %g × %g", label->text, label->box.x, label->box.y,
             label->box.width, label->box.height);
  if (!within(label->box, label->frame, 0.6))
    fail_msg("\"%s\" runs out of its frame: %g × %g in %g × %g", label->text, label->box.width,
             label->box.height, label->frame.width, label->frame.height);
  double contrast = pc_contrast(pc_ink_colour(label->ink), pc_ink_colour(label->on));
  if (contrast < 4.5)
    fail_msg("\"%s\": contrast of only %g", label->text, contrast);
}

void drawn_watch(void *context, const pc_canvas *canvas) {
  drawn_count *found = context;
  size_t count;
  const pc_drawn *record = pc_canvas_record(canvas, &count);
  pc_rect page = pc_canvas_page(canvas);
  for (size_t i = 0; i < count; i++) {
    found->kinds[record[i].kind]++;
    found->pages = record[i].page + 1;
    if (record[i].kind != PC_DRAWN_LABEL)
      continue;
    found->shortened += record[i].shortened;
    pc_text_addf(&found->words, "%s\n", record[i].text);
    check_label(&record[i], page);
    for (size_t j = 0; j < i; j++)
      if (record[j].kind == PC_DRAWN_LABEL && record[j].page == record[i].page &&
          touch(record[i].box, record[j].box))
        fail_msg("page %d: \"%s\" and \"%s\" lie on each other", record[i].page + 1, record[j].text,
                 record[i].text);
  }
}

void drawn_count_free(drawn_count *count) {
  pc_text_free(&count->words);
  *count = (drawn_count){0};
}

bool drawn_says(const drawn_count *count, const char *words) {
  return count->words.data && strstr(count->words.data, words) != NULL;
}

/* ---- scenarios ---- */

const char *drawn_tiny(void) {
  return "pushcycle: 1\n"
         "name: Tiny\n"
         "snow: {depth: 4 in}\n"
         "site:\n"
         "  units: ft\n"
         "  areas:\n"
         "    - {name: court, outline: [[0,0],[40,0],[40,25],[0,25]]}\n"
         "  keep_clear:\n"
         "    - {name: hydrant, kind: hydrant, at: [39, 24], radius: 1 ft}\n"
         "boxes:\n"
         "  - {name: b, width: 8 ft, height: 30 in}\n"
         "loaders:\n"
         "  - {name: l, speeds: {push: 4 mph, carry: 5 mph, return: 6 mph}}\n"
         "zones:\n"
         "  - {name: corner, outline: [[40,0],[48,0],[48,12],[40,12]], height: 8 ft}\n";
}

static void add_many_areas(pc_text *text) {
  static const char *const names[] = {"Abstellfläche für Gelenkzüge & Anhänger Süd–Ost Nr.", "雪場",
                                      "מגרש חניה", "<script>alert(1)</script>"};
  for (int i = 0; i < 12; i++) {
    int x = i % 4 * 60, y = i / 4 * 50;
    pc_text_addf(text, "    - {name: '%s %d', outline: [[%d,%d],[%d,%d],[%d,%d],[%d,%d]]}\n", names[i % 4], i,
                 x, y, x + 58, y, x + 58, y + 48, x, y + 48);
  }
}

const char *drawn_many(void) {
  static char made[16384];
  static const char *const kinds[] = {"hydrant", "drain", "door", "accessible", "sight"};
  pc_text text = {0};
  pc_text_add(&text,
              "pushcycle: 1\nname: 'Überlandverkehrsbetriebshof <b>&amp;</b> \"Hintertupfing\"'\n"
              "snow: {depth: 8 cm}\nsite:\n  units: m\n  areas:\n");
  add_many_areas(&text);
  pc_text_add(&text,
              "  ground:\n    - {name: all, outline: [[-20,-20],[260,-20],[260,170],[-20,170]]}\n"
              "  obstacles:\n");
  for (int i = 0; i < 12; i++)
    pc_text_addf(&text,
                 "    - {name: 'Laternenmast an der Zufahrt %d', kind: pole, at: [%d, %d], radius: 0.3 m}\n",
                 i, 20 + 19 * i, 20 + 29 * i % 110);
  static const char *const edges[] = {"fence", "island", "parked"};
  for (int i = 0; i < 9; i++)
    pc_text_addf(&text,
                 "    - {name: 'Begrenzung am Rand der Zufahrt %d', kind: %s, outline: "
                 "[[%d,-18],[%d,-18],[%d,-16],[%d,-16]]}\n",
                 i, edges[i % 3], 20 * i, 20 * i + 5, 20 * i + 5, 20 * i);
  pc_text_add(&text, "  keep_clear:\n");
  for (int i = 0; i < 25; i++)
    pc_text_addf(
        &text,
        "    - {name: 'Unterflurhydrant oder dergleichen %d', kind: %s, at: [%d, %d], radius: 0.5 m}\n", i,
        kinds[i % 5], -15 + 11 * i, i % 2 ? -8 : 164);
  pc_text_add(
      &text,
      "boxes:\n  - {name: '14 ft Schneeschieber mit einem langen Namen', width: 14 ft, height: 48 in}\n"
      "loaders:\n  - {name: 'Radlader der Gemeinde mit Winterreifen', speeds: {push: 8 km/h, carry: 11 "
      "km/h, return: 16 km/h}}\nzones:\n");
  for (int i = 0; i < 4; i++)
    pc_text_addf(&text,
                 "  - {name: 'Schneeablagerungsplatz hinter der Waschhalle %d', outline: "
                 "[[%d,150],[%d,150],[%d,160],[%d,160]], height: 4 m}\n",
                 i, 60 * i, 60 * i + 40, 60 * i + 40, 60 * i);
  pc_text_add(&text,
              "crew:\n  - {loader: 'Radlader der Gemeinde mit Winterreifen', box: '14 ft Schneeschieber mit "
              "einem langen Namen', count: 5}\n");
  assert_true(text.length < sizeof made);
  memcpy(made, text.data, text.length + 1);
  pc_text_free(&text);
  return made;
}

const char *drawn_night_storm(void) {
  return "pushcycle: 1\n"
         "name: Night\n"
         "snow: {depth: 4 cm, trigger: 3 cm}\n"
         "storm:\n"
         "  - {after: 0 h, rate: 1 cm/h}\n"
         "  - {after: 2 h, rate: 0 cm/h}\n"
         "site:\n"
         "  units: m\n"
         "  areas:\n"
         "    - {name: yard, outline: [[0,0],[120,0],[120,60],[0,60]], clear_by: 3 h}\n"
         "    - {name: strip, outline: [[0,60],[120,60],[120,70],[0,70]], clear_by: 5 min}\n"
         "  obstacles:\n"
         "    - {name: works, kind: building, outline: [[0,70],[120,70],[120,90],[0,90]]}\n"
         "  passages:\n"
         "    - {name: gate, outline: [[100,20],[110,20],[110,40],[100,40]], machines: 1}\n"
         "boxes:\n"
         "  - {name: 12 ft, width: 12 ft, height: 42 in}\n"
         "  - {name: blade, width: 10 ft, blade: right}\n"
         "loaders:\n"
         "  - {name: loader, speeds: {push: 8 km/h, carry: 10 km/h, return: 14 km/h}}\n"
         "  - {name: truck, speeds: {push: 18 km/h, carry: 18 km/h, return: 22 km/h}}\n"
         "zones:\n"
         "  - {name: east, outline: [[120,0],[132,0],[132,60],[120,60]], height: 4 m}\n"
         "crew:\n"
         "  - {loader: loader, box: 12 ft, count: 3, start: [10, 10], areas: [yard], breaks: {every: 1 h, "
         "for: 10 "
         "min}}\n"
         "  - {loader: truck, box: blade, count: 2, start: [5, 65], areas: [strip]}\n";
}
