// SPDX-License-Identifier: GPL-3.0-or-later
/* A comparison as one HTML page. */
#include <string.h>

#include "base/version.h"
#include "io/draw.h"
#include "io/html.h"
#include "io/report_private.h"
#include "io/tables_private.h"

static const char head[] =
    "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
    "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
    "'unsafe-inline'\">\n"
    "<style>\n"
    "body { font: 16px/1.5 'DejaVu Sans', Verdana, sans-serif; color: #000; background: #fff; max-width: "
    "100rem; "
    "margin: 0 auto; padding: 1rem; }\n"
    /* tables take the window, text a width that can be read */
    "header, footer, section > :not(.scroll) { max-width: 68rem; }\n"
    "h1 { font-size: 1.7rem; line-height: 1.2; } h2 { font-size: 1.25rem; margin-top: 2.2rem; "
    "border-bottom: 2px solid #000; } h3 { font-size: 1rem; margin-bottom: 0.3rem; }\n"
    "a { color: #005a8c; } nav ul { padding: 0; list-style: none; } nav li { display: inline; margin-right: "
    "1rem; }\n"
    ".answer { font-size: 1.15rem; border-left: 6px solid #0072b2; padding-left: 0.8rem; }\n"
    /* a shade at the side on which more of a table can be scrolled to, that its own ends cover */
    ".scroll { overflow-x: auto; background: linear-gradient(to right, #fff 30%, #fff0) 0 0 / 3rem 100% "
    "local "
    "no-repeat, linear-gradient(to left, #fff 30%, #fff0) 100% 0 / 3rem 100% local no-repeat, "
    "linear-gradient(to right, #0004, #0000) 0 0 / 1rem 100% no-repeat, "
    "linear-gradient(to left, #0004, #0000) 100% 0 / 1rem 100% no-repeat; }\n"
    "table { border-collapse: collapse; font-size: 0.85rem; }\n"
    "caption { text-align: left; padding: 0.3rem 0; } th, td { padding: 0.2rem 0.3rem; "
    "min-width: 2.2rem; border-bottom: 1px solid "
    "#969696; text-align: left; vertical-align: top; }\n"
    "thead th { border-bottom: 2px solid #000; } .number { text-align: right; font-variant-numeric: "
    "tabular-nums; "
    "white-space: nowrap; } thead .number { white-space: normal; } .long { min-width: 6.5rem; }\n"
    "figure { margin: 1rem 0; } figure svg { width: 100%; height: auto; border: 1px solid #969696; } "
    "figcaption { font-size: 0.9rem; }\n"
    "footer { margin-top: 2rem; font-size: 0.85rem; color: #505050; }\n"
    "@page { margin: 15mm; } @page wide { size: landscape; margin: 12mm; }\n"
    "@media print { html { font-size: 10pt; } body { max-width: none; padding: 0; font-size: 10pt; } "
    "header, footer, section > :not(.scroll) { max-width: none; } nav { "
    "display: none; } "
    "section { break-before: auto; } figure, tr, .answer { break-inside: avoid; } h2, h3, caption { "
    "break-after: avoid; } a { color: #000; } .scroll { overflow: visible; background: none; } "
    "table { font-size: 7pt; line-height: 1.3; } th, td, .long { min-width: 0; padding: 1.5pt 2.5pt; "
    "overflow-wrap: break-word; } "
    /* a table of many columns gets pages of its own on their side, with its heading where browsers can tell
     */
    ".wide, section:has(.wide) { page: wide; } "
    /* the answer goes with it: alone on its page it would leave that mostly empty */
    "header:has(+ main > #table .wide), #answer:has(+ #table .wide) { page: wide; } .wide table { font-size: "
    "6.5pt; } }\n"
    "</style>\n";

typedef struct part {
  const char *id, *title;
} part;

static const part parts[] = {{"answer", "The answer"},
                             {"table", "All combinations"},
                             {"crews", "How many machines"},
                             {"storm", "The storm"},
                             {"season", "The season"},
                             {"charts", "Charts"},
                             {"maps", "Maps"},
                             {"why", "Why"},
                             {"assumptions", "What this rests on"},
                             {"inputs", "Inputs"},
                             {"cautions", "Cautions"}};
enum { PART_COUNT = sizeof parts / sizeof parts[0] };
enum {
  PORTRAIT_COLUMNS = 18, /* more than these are not to be read on letter or A4 paper upright */
  LETTERS_SHORT = 12     /* longer words of a table get more than a word to a line */
};

void pc_report_start(pc_text *out, const char *id) {
  for (size_t i = 0; i < PART_COUNT; i++)
    if (strcmp(parts[i].id, id) == 0)
      pc_text_addf(out, "<section id=\"%s\" aria-labelledby=\"%s-title\">\n<h2 id=\"%s-title\">%s</h2>\n", id,
                   id, id, parts[i].title);
}

void pc_report_end(pc_text *out) {
  pc_text_add(out, "</section>\n");
}

/* Text as a list, an item for each line. */
void pc_report_lines(const char *lines, pc_text *out) {
  bool open = false;
  for (const char *at = lines; at && *at;) {
    size_t length = strcspn(at, "\n"), blanks = strspn(at, " -");
    pc_text line = {0};
    if (length > blanks) {
      pc_text_add_bytes(&line, at + blanks, length - blanks);
      pc_text_add(out, open ? "<li>" : "<ul>\n<li>");
      pc_html_add(out, line.data ? line.data : "");
      pc_text_add(out, "</li>\n");
      open = true;
    }
    out->failed |= line.failed;
    pc_text_free(&line);
    at += length + (at[length] == '\n');
  }
  if (open)
    pc_text_add(out, "</ul>\n");
}

/* ---- the parts ---- */

static void add_answer(pc_text *out, const pc_report_content *content, const pc_varying *varies,
                       pc_unit_system units) {
  pc_text words = {0};
  pc_report_start(out, "answer");
  pc_tables_compare_answer(content->comparison, varies, units, &words);
  for (char *at = words.data; at && *at;) {
    char *end = strchr(at, '\n');
    if (end)
      *end = '\0';
    pc_text_add(out, "<p class=\"answer\">");
    pc_html_add(out, at);
    pc_text_add(out, "</p>\n");
    at = end ? end + 1 : NULL;
  }
  out->failed |= words.failed;
  pc_text_free(&words);
  size_t nights = content->comparison->rows[0].summary.replications;
  if (varies->chance)
    pc_text_addf(
        out,
        "<p>Times are means of %zu simulated nights; ± is the 95&#160;%% interval of the mean, not the "
        "range of single nights. Differences compare night by night under the same luck, with intervals "
        "that allow for the number of rows.</p>\n",
        nights);
  else if (varies->one_night)
    pc_text_addf(out, "<p>%s</p>\n", pc_one_night_line());
  else
    pc_text_add(out,
                "<p>Nothing varies by chance in this scenario: every night would take the same time.</p>\n");
  pc_report_end(out);
}

/* A table of text as one of the page, whose columns are aligned as it says. */
void pc_report_table(pc_text *out, const pc_table *table, const char *alignment, const char *label,
                     const char *caption) {
  pc_text_addf(out,
               "<div class=\"scroll%s\" tabindex=\"0\" role=\"region\" aria-label=\"%s\">\n<table>\n"
               "<caption>%s</caption>\n",
               table->columns > PORTRAIT_COLUMNS ? " wide" : "", label, caption);
  for (size_t i = 0; i < table->count; i++) {
    size_t row = i / table->columns, column = i % table->columns;
    const char *word = table->cells.data + table->starts[i];
    const char *side = alignment[column] == 'r'       ? " class=\"number\""
                       : strlen(word) > LETTERS_SHORT ? " class=\"long\""
                                                      : "";
    if (column == 0)
      pc_text_add(out, row == 0 ? "<thead>\n<tr>" : row == 1 ? "<tbody>\n<tr>" : "<tr>");
    bool is_head = row == 0 || column == 0;
    pc_text_addf(out, "<%s%s%s>", is_head ? "th" : "td",
                 row == 0      ? " scope=\"col\""
                 : column == 0 ? " scope=\"row\""
                               : "",
                 side);
    /* an empty head has no name to be read out */
    pc_html_add(out, row == 0 && !word[0] ? "remark" : word);
    pc_text_add(out, is_head ? "</th>" : "</td>");
    if (column + 1 == table->columns)
      pc_text_add(out, row == 0 ? "</tr>\n</thead>\n" : "</tr>\n");
  }
  pc_text_add(out, "</tbody>\n</table>\n</div>\n");
  out->failed |= table->failed;
}

static void add_table(pc_text *out, const pc_report_content *content, const pc_varying *varies,
                      pc_unit_system units) {
  char alignment[PC_COMPARE_COLUMNS];
  pc_table table;
  pc_tables_compare_fill(content->comparison, varies, units, alignment, &table);
  pc_report_start(out, "table");
  pc_report_table(
      out, &table, alignment, "All combinations",
      "Ranked by total time. Push to clean-up: shares of the time in which machines work or wait. "
      "Efficiency: lower bound over time.");
  pc_table_free(&table);
  pc_text words = {0};
  pc_tables_left_out(content->comparison, &words);
  pc_tables_compare_headings(content->headings, varies, &words);
  pc_tables_compare_costs(&content->scenario->money, content->comparison, &words);
  pc_report_lines(words.data, out);
  out->failed |= words.failed;
  pc_text_free(&words);
  pc_report_end(out);
}

/* The first line of a text as one element. */
void pc_report_line(const pc_text *words, const char *element, pc_text *out) {
  size_t length = words->data ? strcspn(words->data, "\n") : 0;
  pc_text line = {0};
  pc_text_add_bytes(&line, words->data ? words->data : "", length);
  pc_text_addf(out, "<%s>", element);
  pc_html_add(out, line.data ? line.data : "");
  pc_text_addf(out, "</%s>\n", element);
  out->failed |= line.failed || words->failed;
  pc_text_free(&line);
}

static pc_status add_season(pc_text *out, const pc_report_content *content, const pc_varying *varies,
                            pc_unit_system units) {
  pc_season season;
  char alignment[PC_COMPARE_COLUMNS];
  pc_table table;
  pc_text title = {0}, words = {0};
  pc_status status = pc_season_make(content->scenario, content->comparison, &season);
  if (status != PC_OK || season.entry_count == 0) {
    pc_season_free(&season);
    return status;
  }
  pc_tables_season_head(content->scenario, &season, units, &title);
  pc_tables_season_words(content->scenario, content->comparison, &season, varies, &words);
  pc_tables_season_fill(content->scenario, content->comparison, &season, varies, units, alignment, &table);
  pc_report_start(out, "season");
  pc_report_line(&title, "p", out);
  pc_report_table(
      out, &table, alignment, "The season",
      "Hours and cost of all its storms, ranked by time. Owning: price of the boxes with interest, over "
      "the seasons that they last.");
  pc_report_lines(words.data, out);
  out->failed |= words.failed;
  pc_report_end(out);
  pc_table_free(&table);
  pc_text_free(&title);
  pc_text_free(&words);
  pc_season_free(&season);
  return PC_OK;
}

static void end_figure(pc_text *out, const char *caption) {
  pc_text_addf(out, "\n<figcaption>%s</figcaption>\n</figure>\n", caption);
}

static pc_status add_chart(pc_text *out, const pc_report_content *content, const pc_picture_style *style,
                           pc_chart_kind kind, const char *caption) {
  const pc_chart_content chart = {content->scenario, content->comparison, kind};
  pc_text prefix = {0};
  pc_text_addf(&prefix, "picture-%s-", pc_chart_kind_names[kind]);
  pc_text_add(out, "<figure>\n");
  const pc_draw_job job = {.style = style, .out = out, .prefix = prefix.data};
  pc_status status = prefix.data ? pc_draw_chart(&chart, &job) : PC_ERR_MEMORY;
  pc_text_free(&prefix);
  end_figure(out, caption);
  return status;
}

/* Layouts with different numbers of zones, so that there is something to see along that axis. */
static bool zones_vary(const pc_report_content *content) {
  for (size_t i = 1; i < content->map_count; i++)
    if (content->maps[i].lot->zone_count != content->maps[0].lot->zone_count)
      return true;
  return false;
}

static pc_status add_charts(pc_text *out, const pc_report_content *content, const pc_varying *varies,
                            const pc_picture_style *style) {
  pc_report_start(out, "charts");
  pc_status status =
      add_chart(out, content, style, PC_CHART_LAYOUTS,
                "Total time of each combination; the whiskers are 95&#160;% intervals. The numbers are "
                "those of the table.");
  if (status == PC_OK)
    status = add_chart(out, content, style, PC_CHART_SPLIT,
                       "The same times, split as the time of all machines together.");
  if (status == PC_OK && varies->depths)
    status = add_chart(out, content, style, PC_CHART_DEPTH, "Total time against the depth of snow.");
  if (status == PC_OK && varies->machines)
    status = add_chart(out, content, style, PC_CHART_CREW, "Total time against the number of machines.");
  if (status == PC_OK && varies->layouts && zones_vary(content))
    status = add_chart(out, content, style, PC_CHART_ZONES, "Total time against the number of pile zones.");
  pc_report_end(out);
  return status;
}

static pc_status add_maps(pc_text *out, const pc_report_content *content, const pc_picture_style *style) {
  if (content->map_count == 0)
    return PC_OK;
  pc_report_start(out, "maps");
  pc_text_add(out, "<figure>\n");
  const pc_draw_job best = {.style = style, .out = out, .prefix = "picture-best-"};
  pc_status status = pc_draw_map(&content->maps[0], &best);
  end_figure(
      out,
      "The lot with the best layout: zones with what they hold in the mean, starts, what to keep clear, "
      "and where piles come too near to something.");
  if (status == PC_OK && content->map_count > 1) {
    const pc_draw_job all = {.style = style, .out = out, .prefix = "picture-all-"};
    pc_text_add(out, "<figure>\n");
    status = pc_draw_maps(content->maps, content->map_count, &all);
    end_figure(out, "All layouts that were compared, each with its best time.");
  }
  pc_report_end(out);
  return status;
}

static void add_why(pc_text *out, const pc_report_content *content, const pc_varying *varies,
                    pc_unit_system units) {
  pc_text words = {0};
  pc_report_start(out, "why");
  pc_tables_compare_why(content->scenario, content->comparison, varies, units, &words);
  for (char *at = words.data; at && *at;) { /* a paragraph that begins with its heading, up to a blank line */
    at += strspn(at, "\n");
    char *line = strchr(at, '\n'), *end = strstr(at, "\n\n");
    if (line)
      *line = '\0';
    if (end && end != line)
      *end = '\0';
    if (strcmp(at, "Why") != 0) {
      pc_text_add(out, "<h3>");
      pc_html_add(out, at);
      pc_text_add(out, "</h3>\n");
    }
    if (line && end != line)
      pc_report_lines(line + 1, out);
    at = end ? end + 1 : NULL;
  }
  out->failed |= words.failed;
  pc_text_free(&words);
  pc_report_end(out);
}

static void add_assumptions(pc_text *out) {
  static const char lines[] =
      "Times come from a simulation of every cycle: fill, carry, wait, dump, return. Each night draws its "
      "own luck.\n"
      "Speeds, fixed times and densities are those listed under Inputs; what the scenario does not give "
      "stands there with its "
      "default. `pushcycle fit` gives speeds and times from timed cycles.\n"
      "Drag of snow in bulk on pavement (0.4, unless given) is an assumption: no published value was found.\n"
      "Snow neither settles nor melts while the crew works. The ground is level but for one grade.\n"
      "Machines hinder each other at piles, in narrow passages and by not working the same stretch; beyond "
      "that "
      "they are taken to drive past each other.\n"
      "A machine follows its way as a line: the room that its turning circle needs is not looked at.\n"
      "Operators keep to the policy and do not tire; breaks, refuelling and breakdowns count only if given.\n"
      "Time counts from the start of the work until the last machine is done.\n";
  pc_report_start(out, "assumptions");
  pc_report_lines(lines, out);
  pc_report_end(out);
}

static void add_cautions(pc_text *out, const pc_report_content *content, pc_unit_system units) {
  pc_text words = {0};
  pc_report_start(out, "cautions");
  if (content->siting && content->siting->count > 0) {
    pc_text_add(out, "<h3>Where the piles would lie</h3>\n");
    for (size_t i = 0; i < content->siting->count; i++) {
      const pc_siting_entry *entry = &content->siting->items[i];
      pc_text_addf(&words, "%s: ", pc_siting_severity_name(entry->finding.severity));
      pc_siting_tell(entry, units, &words);
      pc_text_addf(&words, " (%s)\n", entry->finding.source ? entry->finding.source : "");
    }
    pc_report_lines(words.data, out);
    out->failed |= words.failed;
    pc_text_free(&words);
  }
  pc_text_add(out, "<h3>In any case</h3>\n");
  pc_tables_cautions(&words);
  pc_report_lines(words.data, out);
  out->failed |= words.failed;
  pc_text_free(&words);
  pc_report_end(out);
}

/* ---- the page ---- */

/* All depths of the season were compared. */
static bool has_season(const pc_report_content *content) {
  for (size_t j = 0; j < content->scenario->season_count; j++) {
    bool found = false;
    for (size_t i = 0; i < content->comparison->row_count; i++)
      found |= content->comparison->rows[i].depth_m == content->scenario->season[j].depth_m;
    if (!found)
      return false;
  }
  return content->scenario->season_count > 0;
}

static bool has_part(const pc_report_content *content, const char *id) {
  if (strcmp(id, "maps") == 0)
    return content->map_count > 0;
  if (strcmp(id, "crews") == 0)
    return pc_varying_of(content->comparison).machines;
  if (strcmp(id, "storm") == 0)
    return content->scenario->storm_count > 0;
  return strcmp(id, "season") != 0 || has_season(content);
}

static void start_page(pc_text *out, const pc_report_content *content) {
  const char *name = content->scenario->name.text[0] ? content->scenario->name.text : "A lot";
  pc_text_add(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>");
  pc_html_add(out, name);
  pc_text_addf(out, ": comparison</title>\n%s</head>\n<body>\n<header>\n<h1>", head);
  pc_html_add(out, name);
  pc_text_addf(out, ": %zu combination%s compared</h1>\n", content->comparison->row_count,
               content->comparison->row_count == 1 ? "" : "s");
  pc_text_add(out, "<nav aria-label=\"Parts of this page\">\n<ul>\n");
  for (size_t i = 0; i < PART_COUNT; i++)
    if (has_part(content, parts[i].id))
      pc_text_addf(out, "<li><a href=\"#%s\">%s</a></li>\n", parts[i].id, parts[i].title);
  pc_text_add(out, "</ul>\n</nav>\n</header>\n<main>\n");
}

static void end_page(pc_text *out, const pc_report_content *content) {
  pc_text_add(out, "</main>\n<footer>\n<p>");
  pc_html_add(out, pc_tables_caution_line());
  pc_text_addf(out, "</p>\n<p>Made by pushcycle %s from ", pc_version());
  pc_html_add(out, content->source ? content->source : "a scenario");
  pc_text_add(out, ".</p>\n</footer>\n</body>\n</html>\n");
}

pc_status pc_report_write(const pc_report_content *content, const pc_picture_style *style, pc_text *out) {
  if (content->comparison->row_count == 0)
    return PC_ERR_MISSING;
  pc_varying varies = pc_varying_in(content->scenario, content->comparison);
  pc_picture_style svg = *style;
  svg.format = PC_PICTURE_SVG;
  start_page(out, content);
  add_answer(out, content, &varies, style->units);
  add_table(out, content, &varies, style->units);
  pc_status status = pc_report_crews(content, &varies, style->units, out);
  pc_report_storm(content, &varies, style->units, out);
  if (status == PC_OK && has_season(content))
    status = add_season(out, content, &varies, style->units);
  if (status == PC_OK)
    status = add_charts(out, content, &varies, &svg);
  if (status == PC_OK)
    status = add_maps(out, content, &svg);
  if (status != PC_OK)
    return status;
  add_why(out, content, &varies, style->units);
  add_assumptions(out);
  pc_report_start(out, "inputs");
  pc_report_inputs(content->scenario, style->units, out);
  pc_report_end(out);
  add_cautions(out, content, style->units);
  end_page(out, content);
  return out->failed ? PC_ERR_MEMORY : PC_OK;
}
