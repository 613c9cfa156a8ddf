// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/place_write.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/csv.h"
#include "io/geodesy.h"
#include "io/tree.h"

/* ---- what is added ---- */

/* To a tenth of a millimetre, so that zones that touch do not come to overlap. */
static void add_coordinate(pc_text *out, double metres, double unit_m) {
  char text[PC_DECIMALS_MAX];
  pc_print_decimals(text, metres / unit_m, 4);
  size_t length = strlen(text);
  while (length > 1 && text[length - 1] == '0')
    text[--length] = '\0';
  if (text[length - 1] == '.')
    text[--length] = '\0';
  pc_text_add(out, strcmp(text, "-0") == 0 ? "0" : text);
}

static void add_point(pc_text *out, pc_point point, double unit_m) {
  pc_text_add(out, "[");
  add_coordinate(out, point.x_m, unit_m);
  pc_text_add(out, ", ");
  add_coordinate(out, point.y_m, unit_m);
  pc_text_add(out, "]");
}

static void add_number(pc_text *out, const char *key, double value, const char *unit) {
  char text[PC_CSV_NUMBER_MAX];
  pc_csv_print_number(text, value);
  pc_text_addf(out, ", %s: %s%s", key, text, unit);
}

static void add_zone(pc_text *out, const pc_zone *zone, double unit_m) {
  const pc_zone usual = pc_zone_default();
  pc_text_add(out, "{name: ");
  pc_text_add_quoted(out, zone->name.text);
  pc_text_add(out, zone->outline.count > 0 ? ", outline: [" : ", at: ");
  for (size_t i = 0; i < zone->outline.count; i++) {
    pc_text_add(out, i ? ", " : "");
    add_point(out, zone->outline.points[i], unit_m);
  }
  if (zone->outline.count > 0)
    pc_text_add(out, "]");
  else
    add_point(out, zone->at, unit_m);
  add_number(out, "height", zone->height_m, " m");
  if (!isnan(zone->volume_m3))
    add_number(out, "volume", zone->volume_m3, " m3");
  if (zone->berths != usual.berths)
    pc_text_addf(out, ", berths: %d", zone->berths);
  if (zone->stack != usual.stack)
    add_number(out, "stack", zone->stack, "");
  pc_text_add(out, "}");
}

static void add_layout(pc_text *out, const char *name, const pc_zone *const *zones, size_t count) {
  pc_text_add(out, "{name: ");
  pc_text_add_quoted(out, name);
  pc_text_add(out, ", zones: [");
  for (size_t i = 0; i < count; i++) {
    pc_text_add(out, i ? ", " : "");
    pc_text_add_quoted(out, zones[i]->name.text);
  }
  pc_text_add(out, "]}");
}

/* ---- where it goes ---- */

typedef struct insertion {
  size_t at; /* in the text */
  pc_text text;
} insertion;

static size_t line_start(const char *text, size_t length, int line) {
  size_t at = 0;
  for (int l = 1; l < line && at < length; l++) {
    const char *end = memchr(text + at, '\n', length - at);
    at = end ? (size_t)(end - text) + 1 : length;
  }
  return at;
}

static size_t next_line(const char *text, size_t length, size_t at) {
  const char *end = memchr(text + at, '\n', length - at);
  return end ? (size_t)(end - text) + 1 : length;
}

static bool says_nothing(const char *text, size_t at, size_t end) {
  while (at < end && (text[at] == ' ' || text[at] == '\t' || text[at] == '\r' || text[at] == '\n'))
    at++;
  return at == end || text[at] == '#';
}

/* End of the text proper: before a line of three dots. */
static size_t end_of_text(const char *text, size_t length) {
  for (size_t at = 0; at < length; at = next_line(text, length, at))
    if (length - at >= 3 && memcmp(text + at, "...", 3) == 0)
      return at;
  return length;
}

/* The bracket that closes the one at `at`; `length` if there is none. */
static size_t closing(const char *text, size_t length, size_t at) {
  int depth = 0;
  char quote = '\0';
  for (; at < length; at++) {
    char c = text[at];
    if (quote) {
      if (quote == '"' && c == '\\')
        at++;
      else if (c == quote)
        quote = '\0';
      continue;
    }
    bool begins = at > 0 && strchr(" \t\n[{,:", text[at - 1]);
    if ((c == '"' || c == '\'') && begins)
      quote = c;
    else if (c == '#' && at > 0 && strchr(" \t\n", text[at - 1]))
      at = next_line(text, length, at) - 1;
    else if (c == '[' || c == '{')
      depth++;
    else if ((c == ']' || c == '}') && --depth == 0)
      return at;
  }
  return length;
}

/* Last sign before `at` that is not blank and in no comment; only used right before a closing bracket. */
static bool ends_with_comma(const char *text, size_t from, size_t at) {
  char last = '\0';
  for (size_t i = from; i < at; i++) {
    if (text[i] == '#' && i > 0 && strchr(" \t\n", text[i - 1]))
      i = next_line(text, at, i) - 1;
    else if (!strchr(" \t\r\n", text[i]))
      last = text[i];
  }
  return last == ',';
}

static void add_items(pc_text *out, const pc_text *items, size_t count, const char *before,
                      const char *after) {
  for (size_t i = 0; i < count; i++)
    pc_text_addf(out, "%s%s%s", i > 0 || *after ? before : "", items[i].data ? items[i].data : "", after);
}

static bool in_brackets(const char *text, size_t length, const pc_node *list, const pc_text *items,
                        size_t count, insertion *out) {
  size_t open = line_start(text, length, list->key_line);
  while (open < length && text[open] != '[')
    open++;
  size_t close = closing(text, length, open);
  if (close == length)
    return false;
  out->at = close;
  bool comma = list->count > 0 && !ends_with_comma(text, open + 1, close);
  pc_text_add(&out->text, comma ? ", " : "");
  add_items(&out->text, items, count, ", ", "");
  return true;
}

/* After the last line of the list, with the dash under those before. */
static bool in_block(const char *text, size_t length, const pc_node *list, const pc_text *items, size_t count,
                     insertion *out) {
  size_t at = line_start(text, length, list->key_line), end = at, stop = end_of_text(text, length);
  for (at = next_line(text, length, at); at < stop; at = next_line(text, length, at)) {
    size_t next = next_line(text, length, at);
    bool inside = says_nothing(text, at, next) || text[at] == ' ' || text[at] == '-';
    if (!inside)
      break;
    if (!says_nothing(text, at, next))
      end = next;
  }
  size_t first = line_start(text, length, list->first->line), indent = 0;
  while (first + indent < length && text[first + indent] == ' ')
    indent++;
  if (text[first + indent] != '-') /* a dash on a line of its own: look for it above */
    return false;
  pc_text before = {0};
  pc_text_addf(&before, "%*s- ", (int)indent, "");
  out->at = end;
  pc_text_add(&out->text, end > 0 && text[end - 1] != '\n' ? "\n" : "");
  add_items(&out->text, items, count, before.data ? before.data : "- ", "\n");
  out->text.failed |= before.failed;
  pc_text_free(&before);
  return true;
}

static bool find_insertion(const char *text, size_t length, const pc_node *root, const char *key,
                           const pc_text *items, size_t count, insertion *out) {
  const pc_node *list = pc_node_get(root, key);
  if (list && list->key_column != 1)
    return false;
  if (list && list->kind == PC_NODE_LIST) {
    size_t at = line_start(text, length, list->line) + (size_t)list->column - 1;
    /* the column counts letters, but before the list of a key at the margin there are only ASCII ones */
    return at < length && text[at] == '[' ? in_brackets(text, length, list, items, count, out)
                                          : list->first && in_block(text, length, list, items, count, out);
  }
  if (list || root->column != 1)
    return false;
  out->at = end_of_text(text, length);
  pc_text_addf(&out->text, "%s\n%s:\n", out->at > 0 && text[out->at - 1] != '\n' ? "\n" : "", key);
  add_items(&out->text, items, count, "  - ", "\n");
  return true;
}

/* ---- the whole ---- */

static double unit_of(const pc_node *root) {
  const pc_node *units = pc_node_get(pc_node_get(root, "site"), "units");
  return units && strcmp(units->text, "ft") == 0 ? 0.3048 : 1.0;
}

/* The text with both insertions, the one that comes first in the text first. */
static void put_together(const char *text, size_t length, const insertion *both, pc_text *out) {
  const insertion *a = &both[0], *b = &both[1];
  if (a->at > b->at) {
    a = &both[1];
    b = &both[0];
  }
  pc_text_addf(out, "%.*s%s", (int)a->at, text, a->text.data ? a->text.data : "");
  pc_text_addf(out, "%.*s%s", (int)(b->at - a->at), text + a->at, b->text.data ? b->text.data : "");
  pc_text_addf(out, "%.*s", (int)(length - b->at), text + b->at);
  out->failed |= a->text.failed || b->text.failed;
}

/* PC_OK if the new text reads as the old one with so many more entries. */
static pc_status read_again(const char *name, const pc_text *made, const pc_node *before, size_t zones,
                            size_t layouts) {
  pc_tree *tree = NULL;
  pc_faults faults = {0};
  pc_status status = pc_tree_parse(name, made->data, made->length, &tree, &faults);
  bool good = status == PC_OK && pc_faults_fatal(&faults) == 0;
  const pc_node *root = tree ? pc_tree_root(tree) : NULL;
  const struct {
    const char *key;
    size_t more;
  } lists[] = {{"zones", zones}, {"layouts", layouts}};
  for (size_t i = 0; i < 2 && good; i++) {
    const pc_node *was = pc_node_get(before, lists[i].key), *is = pc_node_get(root, lists[i].key);
    good = (is ? is->count : 0) == (was ? was->count : 0) + lists[i].more;
  }
  pc_tree_free(tree);
  pc_faults_free(&faults);
  return good ? PC_OK : status == PC_ERR_MEMORY ? PC_ERR_MEMORY : PC_ERR_SYNTAX;
}

static pc_status write_into(const char *name, const char *text, size_t length, const pc_node *root,
                            const pc_place_layout *layout, pc_text *out, pc_faults *faults) {
  pc_text *zones = pc_alloc(layout->count, sizeof *zones), layouts[2] = {{0}};
  insertion both[2] = {{.at = length}, {.at = length}};
  size_t added = 0, lists = 0;
  pc_status status = PC_OK;
  const pc_zone **known = pc_alloc(layout->known_count, sizeof *known);
  for (size_t i = 0; zones && i < layout->count; i++)
    if (layout->is_new[i])
      add_zone(&zones[added++], layout->zones[i], unit_of(root));
  for (size_t i = 0; known && i < layout->known_count; i++)
    known[i] = &layout->known[i];
  if (known && !pc_node_get(root, "layouts"))
    add_layout(&layouts[lists++], "all zones", known, layout->known_count);
  add_layout(&layouts[lists++], layout->name, layout->zones, layout->count);
  bool failed = !known || !zones, found = true;
  for (size_t i = 0; i < added; i++)
    failed |= zones[i].failed;
  for (size_t i = 0; i < lists; i++)
    failed |= layouts[i].failed;
  if (added > 0 && !failed)
    found = find_insertion(text, length, root, "zones", zones, added, &both[0]);
  found = found && find_insertion(text, length, root, "layouts", layouts, lists, &both[1]);
  if (found)
    put_together(text, length, both, out);
  if (failed || out->failed)
    status = PC_ERR_MEMORY;
  else
    status = found ? read_again(name, out, root, added, lists) : PC_ERR_SYNTAX;
  if (status == PC_ERR_MEMORY)
    status = pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  else if (status != PC_OK)
    status =
        pc_faults_add(faults, PC_ERR_SYNTAX, found ? "layouts" : "zones", NULL,
                      "this file is written in a way that nothing can be added to: write zones and layouts "
                      "as lists with \"- \" in front of each entry");
  for (size_t i = 0; i < added; i++)
    pc_text_free(&zones[i]);
  for (size_t i = 0; i < lists; i++)
    pc_text_free(&layouts[i]);
  pc_text_free(&both[0].text);
  pc_text_free(&both[1].text);
  free(zones);
  free(known);
  return status;
}

pc_status pc_place_write(const char *name, const char *text, size_t length, const pc_place_layout *layout,
                         pc_text *out, pc_faults *faults) {
  pc_tree *tree = NULL;
  size_t before = pc_faults_fatal(faults);
  pc_status status = pc_tree_parse(name, text, length, &tree, faults);
  if (status == PC_OK && pc_faults_fatal(faults) > before)
    status = pc_faults_status(faults);
  if (status == PC_OK)
    status = write_into(name, text, length, pc_tree_root(tree), layout, out, faults);
  pc_tree_free(tree);
  if (status != PC_OK)
    pc_text_free(out);
  return status;
}
