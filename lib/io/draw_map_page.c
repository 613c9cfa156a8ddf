// SPDX-License-Identifier: GPL-3.0-or-later
/* Maps as pictures: one with all there is to tell beside it, or several side by side. */
#include <math.h>
#include <stdio.h>

#include "io/draw.h"
#include "io/tables_private.h"
#include "sim/policy.h"

enum { MARGIN = 24, PANEL = 218, GAP = 12, STRIP = 24 };

static void add_title(pc_text *title, const pc_map_content *content) {
  const char *name = content->scenario->name.text;
  pc_text_addf(title, "%s%s", name, name[0] ? ": " : "");
  if (content->lot)
    pc_text_addf(title, "layout \"%s\"", content->lot->layout.text);
  else
    pc_text_add(title, "no pile zones yet");
}

/* ---- what is told beside the map ---- */

/* What misses its deadline, in the words of a run. */
static void add_late(pc_column *column, const pc_lot *lot, const pc_summary *summary) {
  enum { SHOWN = 4 };
  size_t late = 0;
  for (size_t a = 0; a < lot->area_count; a++) {
    pc_text words = {0};
    if (pc_tables_deadline(lot, summary, a, &words) && late++ < SHOWN)
      pc_column_add(column, &pc_type_body, 0, pc_canvas_words(column->canvas, &words));
    pc_text_free(&words);
  }
  if (late > SHOWN)
    pc_column_addf(column, &pc_type_body, 0, "%zu more miss their deadlines.", late - SHOWN);
}

static void add_answer(pc_column *column, const pc_map_content *content, pc_unit_system units) {
  const pc_summary *summary = content->summary;
  if (summary) {
    bool finished = summary->unfinished == 0;
    pc_column_addf(column, &pc_type_body, 0, "%s %s%s, %zu simulated night%s%s",
                   finished ? "Total time" : "Stopped after", pc_show_time(&summary->total_time_s).text,
                   pc_varies(&summary->total_time_s) ? " (95 %)" : "", summary->replications,
                   summary->replications == 1 ? "" : "s", finished ? "" : ": not finished");
    if (finished && content->lot->clock.given)
      pc_column_addf(column, &pc_type_body, 0, "Clear at %s%s after a start at %s",
                     pc_clock_show(&content->lot->clock, summary->total_time_s.mean).text,
                     pc_varies(&summary->total_time_s) ? " on average" : "",
                     pc_clock_show(&content->lot->clock, 0).text);
    add_late(column, content->lot, summary);
  }
  pc_column_addf(column, &pc_type_body, 0, "%s, %zu machine%s, %s",
                 pc_show_snow_of(content->lot->snow.depth_m, content->lot->fall_m, units).text,
                 content->lot->machine_count, content->lot->machine_count == 1 ? "" : "s",
                 content->lot->policy->name);
  if (isfinite(content->at_s))
    pc_column_addf(column, &pc_type_body, 0, "As it stands at %s of one night.",
                   pc_show_moment(&content->lot->clock, content->at_s, units, 3).text);
  else if (content->ground_kg)
    pc_column_add(column, &pc_type_body, 0, "Snow as it lies at the end of one night.");
}

static void add_zones(pc_column *column, const pc_map_content *content, pc_unit_system units) {
  pc_column_gap(column, 5);
  pc_column_add(column, &pc_type_heading, 0, "Pile zones");
  size_t count = content->lot->zone_count;
  for (size_t z = 0; z < count; z++) {
    pc_text words = {0};
    pc_text_addf(&words, "%zu %s: ", pc_zone_number(content->scenario, content->lot, z),
                 content->lot->zones[z].name.text);
    pc_zone_words(content, z, units, &words);
    bool fits = pc_column_left(column) > 60 &&
                pc_column_add(column, &pc_type_small, 0, pc_canvas_words(column->canvas, &words));
    pc_text_free(&words);
    if (!fits) {
      pc_column_addf(column, &pc_type_grey, 0, "and %zu more", count - z);
      return;
    }
  }
}

static void add_cautions(pc_column *column, const pc_map_content *content, pc_unit_system units) {
  const pc_siting_report *siting = content->siting;
  if (!siting || siting->count == 0)
    return;
  pc_column_gap(column, 5);
  pc_column_add(column, &pc_type_heading, 0, "Where the piles would lie");
  for (size_t i = 0; i < siting->count; i++) {
    const pc_siting_entry *entry = &siting->items[i];
    pc_text words = {0};
    pc_text_addf(&words, "!%zu %s: ", i + 1, pc_siting_severity_name(entry->finding.severity));
    pc_siting_tell(entry, units, &words);
    if (entry->finding.source && entry->finding.source[0])
      pc_text_addf(&words, " (%s)", entry->finding.source);
    bool fits = pc_column_left(column) > 40 &&
                pc_column_add(column, &pc_type_small, 0, pc_canvas_words(column->canvas, &words));
    pc_text_free(&words);
    if (!fits) {
      pc_column_addf(column, &pc_type_grey, 0, "and %zu more: `pushcycle check`", siting->count - i);
      return;
    }
  }
}

enum { FOOT = 34 };

/* The answer and the legend, then zones and cautions; in one column, or each third in one of its own. */
static void draw_panel(pc_canvas *canvas, pc_rect frame, bool thirds, const pc_map_content *content,
                       pc_unit_system units) {
  double width = thirds ? (frame.width - 2 * GAP) / 3 : frame.width, height = frame.height - FOOT;
  pc_column columns[3];
  for (int i = 0; i < 3; i++)
    columns[i] = pc_column_start(canvas, (pc_rect){frame.x + i * (width + GAP), frame.y, width, height});
  pc_column *legend = &columns[0], *zones = &columns[thirds ? 1 : 0], *cautions = &columns[thirds ? 2 : 0];
  if (content->lot)
    add_answer(&columns[0], content, units);
  else
    pc_column_add(
        &columns[0], &pc_type_body, 0,
        "There are no pile zones yet, so nothing is simulated. `pushcycle place` looks for places.");
  pc_column_gap(legend, 5);
  pc_column_add(legend, &pc_type_heading, 0, "On the map");
  pc_legend_site(legend, content->scenario);
  pc_legend_machines(legend, content);
  if (content->ground_kg)
    pc_legend_snow(legend, content, units);
  if (content->rows && !content->no_ways)
    pc_legend_ways(legend);
  if (content->rows && content->flows)
    pc_legend_flows(legend);
  if (content->lot)
    add_zones(zones, content, units);
  add_cautions(cautions, content, units);
  pc_canvas_text(
      canvas, (pc_rect){frame.x, frame.y + frame.height - FOOT + 4, frame.width, FOOT - 4}, &pc_type_grey,
      "Local codes and licensed practice decide where snow may be piled; watch for people on foot.");
}

/* ---- the page ---- */

typedef struct map_page {
  const pc_map_content *content;
  pc_rect paper, map, panel;
  bool beneath; /* the panel, not beside the map */
} map_page;

static map_page page_beside(const pc_map_content *content, pc_rect paper) {
  double top = MARGIN + 16, high = paper.height - top - MARGIN;
  pc_rect map = {MARGIN, top, paper.width - 2 * MARGIN - PANEL - GAP, high};
  return (map_page){content, paper, map, {map.x + map.width + GAP, top, PANEL, high}, false};
}

/* The map as high as the site needs at the width of the paper, if that leaves enough for the panel. */
static map_page page_beneath(const pc_map_content *content, pc_rect paper) {
  enum { LEAST_PANEL = 250 };
  double top = MARGIN + 16, wide = paper.width - 2 * MARGIN, high = paper.height - top - MARGIN;
  pc_map_view fit = pc_map_fit(content->scenario, (pc_rect){0, 0, wide, 1e6}, STRIP);
  pc_rect map = {MARGIN, top, wide, fmin(fit.inner.height + 2 * 6 + STRIP, high - GAP - LEAST_PANEL)};
  double below = map.y + map.height + GAP;
  return (map_page){content, paper, map, {MARGIN, below, wide, top + high - below}, true};
}

/* A long lot gets a page on which it is larger than beside a panel on a page that lies on its side. */
static map_page arrange(const pc_map_content *content, pc_paper paper) {
  pc_rect lying = pc_paper_size(paper, false), standing = pc_paper_size(paper, true);
  const map_page others[] = {page_beneath(content, lying), page_beside(content, standing)};
  map_page best = page_beside(content, lying);
  double least = 1.15 * pc_map_fit(content->scenario, best.map, STRIP).scale;
  for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
    double scale = pc_map_fit(content->scenario, others[i].map, STRIP).scale;
    if (scale > least) {
      least = scale;
      best = others[i];
    }
  }
  return best;
}

static void draw_map_page(pc_canvas *canvas, const void *content, const pc_picture_style *style) {
  const map_page *page = content;
  pc_text title = {0};
  add_title(&title, page->content);
  pc_draw_title(canvas, MARGIN, pc_canvas_words(canvas, &title));
  pc_text_free(&title);
  pc_map_view view = pc_map_fit(page->content->scenario, page->map, STRIP);
  pc_map_draw(canvas, &view, page->content, PC_MAP_NAMES, style->units);
  draw_panel(canvas, page->panel, page->beneath, page->content, style->units);
}

pc_status pc_draw_map(const pc_map_content *content, const pc_draw_job *job) {
  const map_page page = arrange(content, job->style->paper);
  pc_text title = {0};
  add_title(&title, content);
  const pc_canvas_setup setup = {.format = job->style->format,
                                 .width = page.paper.width,
                                 .height = page.paper.height,
                                 .title = title.data};
  pc_status status = pc_draw_picture(&setup, job, draw_map_page, &page);
  pc_text_free(&title);
  return status;
}

/* ---- several maps ---- */

typedef struct several {
  const pc_map_content *contents;
  size_t count;
  int columns, rows;
  pc_rect cell;
} several;

enum { CELL_HEAD = 28, LEGEND = 40 };

static void draw_cell(pc_canvas *canvas, pc_rect cell, const pc_map_content *content, pc_unit_system units) {
  const pc_summary *summary = content->summary;
  const pc_type bold = {.size = 9, .bold = true, .lines = 1}, plain = {.size = 8, .lines = 1};
  pc_canvas_text(canvas, (pc_rect){cell.x, cell.y, cell.width, 13}, &bold, content->lot->layout.text);
  pc_text words = {0};
  if (summary)
    pc_text_addf(&words, "%s%s", summary->unfinished == 0 ? "" : "not finished, stopped after ",
                 pc_show_time(&summary->total_time_s).text);
  pc_canvas_text(canvas, (pc_rect){cell.x, cell.y + 13, cell.width, 12}, &plain,
                 pc_canvas_words(canvas, &words));
  pc_text_free(&words);
  pc_rect map = {cell.x, cell.y + CELL_HEAD, cell.width, cell.height - CELL_HEAD};
  pc_map_view view = pc_map_fit(content->scenario, map, STRIP);
  pc_map_draw(canvas, &view, content, PC_MAP_NUMBERS, units);
}

static void draw_several(pc_canvas *canvas, const void *content, const pc_picture_style *style) {
  const several *all = content;
  pc_rect page = pc_canvas_page(canvas);
  pc_text title = {0};
  const pc_lot *first = all->contents[0].lot;
  pc_text_addf(&title, "%s%s%zu layouts, %s", first->scenario.text, first->scenario.text[0] ? ": " : "",
               all->count, pc_show_snow_of(first->snow.depth_m, first->fall_m, style->units).text);
  pc_draw_title(canvas, MARGIN, pc_canvas_words(canvas, &title));
  pc_text_free(&title);
  for (size_t i = 0; i < all->count; i++) {
    pc_rect cell = all->cell;
    cell.x = MARGIN + (double)(i % (size_t)all->columns) * (cell.width + GAP);
    size_t row = i / (size_t)all->columns;
    cell.y = MARGIN + 16 + (double)row * (cell.height + GAP);
    draw_cell(canvas, cell, &all->contents[i], style->units);
  }
  const pc_map_content *one = &all->contents[0];
  pc_text foot = {0};
  if (one->summary)
    pc_text_add(
        &foot,
        "Time: mean of the simulated nights with its 95 % interval. Zones are hatched as high as they "
        "are full in the mean. ");
  if (one->rows && one->flows)
    pc_text_add(
        &foot, "Arrows: loads of the first night from a part of the lot to a pile zone, with their number. ");
  bool small = false;
  for (size_t i = 0; i < all->count; i++)
    small |= all->contents[i].ground_kg && pc_map_has_small(all->contents[i].lot);
  if (small)
    pc_text_add(&foot, "Hatched ground is left for a smaller machine. ");
  pc_text_add(&foot, "Local codes and licensed practice decide where snow may be piled.");
  pc_canvas_text(canvas, (pc_rect){MARGIN, page.height - MARGIN - 20, page.width - 2 * MARGIN, 20},
                 &pc_type_grey, pc_canvas_words(canvas, &foot));
  pc_text_free(&foot);
}

pc_status pc_draw_maps(const pc_map_content *contents, size_t count, const pc_draw_job *job) {
  pc_rect paper = pc_paper_size(job->style->paper, false);
  several all = {.contents = contents, .count = count};
  all.columns = count <= 1 ? 1 : count <= 4 ? 2 : count <= 9 ? 3 : 4;
  all.rows = (int)((count + (size_t)all.columns - 1) / (size_t)all.columns);
  all.cell.width = (paper.width - 2 * MARGIN - (all.columns - 1) * GAP) / all.columns;
  /* as high as the site asks for at that width, but no more than the paper where one page is enough */
  pc_map_view wide = pc_map_fit(contents[0].scenario, (pc_rect){0, 0, all.cell.width, 1e6}, STRIP);
  all.cell.height = fmin(wide.inner.height + 2 * 6 + STRIP + CELL_HEAD, all.cell.width * 1.2);
  double height = 2 * MARGIN + 16 + all.rows * (all.cell.height + GAP) + LEGEND - 16;
  const pc_canvas_setup setup = {.format = job->style->format,
                                 .width = paper.width,
                                 .height = height,
                                 .title = contents[0].lot->scenario.text};
  return pc_draw_picture(&setup, job, draw_several, &all);
}
