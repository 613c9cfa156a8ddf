// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/place_write.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/reader.h"
#include "io/yaml_edit.h"

/* ---- what is added ---- */

/* To a tenth of a millimetre, so that zones that touch do not come to overlap. */
static void add_point(pc_text *out, pc_point point, double unit_m) {
  pc_yaml_add_pair(out, point.x_m / unit_m, point.y_m / unit_m, 4);
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
  pc_yaml_add_number(out, ", height", zone->height_m, "m");
  if (!isnan(zone->volume_m3))
    pc_yaml_add_number(out, ", volume", zone->volume_m3, "m3");
  if (zone->berths != usual.berths)
    pc_text_addf(out, ", berths: %d", zone->berths);
  if (zone->stack != usual.stack)
    pc_yaml_add_number(out, ", stack", zone->stack, "");
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
  bool key;  /* begins with the key of the list, which was not there */
  bool ends; /* first of all the line before it, which has no end */
  pc_text text;
} insertion;

static bool says_nothing(const char *text, size_t at, size_t end) {
  while (at < end && (text[at] == ' ' || text[at] == '\t' || text[at] == '\r' || text[at] == '\n'))
    at++;
  return at == end || text[at] == '#';
}

static bool ends_line(const char *text, size_t at) {
  return at == 0 || text[at - 1] == '\n' || text[at - 1] == '\r';
}

/* End of the text proper: before a line of three dots. */
static size_t end_of_text(const char *text, size_t length) {
  for (size_t at = 0; at < length; at = pc_yaml_next_line(text, length, at))
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
      at = pc_yaml_next_line(text, length, at) - 1;
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
      i = pc_yaml_next_line(text, at, i) - 1;
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
  size_t open = pc_yaml_line(text, length, list->key_line);
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
  size_t at = pc_yaml_line(text, length, list->key_line), end = at, stop = end_of_text(text, length);
  for (at = pc_yaml_next_line(text, length, at); at < stop; at = pc_yaml_next_line(text, length, at)) {
    size_t next = pc_yaml_next_line(text, length, at);
    bool inside = says_nothing(text, at, next) || text[at] == ' ' || text[at] == '-';
    if (!inside)
      break;
    if (!says_nothing(text, at, next))
      end = next;
  }
  size_t first = pc_yaml_line(text, length, list->first->line), indent = 0;
  while (first + indent < length && text[first + indent] == ' ')
    indent++;
  if (text[first + indent] != '-') /* a dash on a line of its own: look for it above */
    return false;
  pc_text before = {0};
  pc_text_addf(&before, "%*s- ", (int)indent, "");
  out->at = end;
  out->ends = !ends_line(text, end);
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
    size_t at = pc_yaml_place(text, length, list->line, list->column);
    return at < length && text[at] == '[' ? in_brackets(text, length, list, items, count, out)
                                          : list->first && in_block(text, length, list, items, count, out);
  }
  if (list || root->column != 1)
    return false;
  out->at = end_of_text(text, length);
  out->key = true;
  out->ends = !ends_line(text, out->at);
  pc_text_addf(&out->text, "\n%s:\n", key);
  add_items(&out->text, items, count, "  - ", "\n");
  return true;
}

/* ---- whether it can be read ---- */

/* What entries a list gets. */
typedef struct addition {
  const char *key;
  const pc_text *items;
  size_t count;
} addition;

static bool is_list_longer(const pc_node *was, const pc_node *is, const addition *more, pc_tree *tree,
                           pc_faults *faults) {
  if (!is || is->kind != PC_NODE_LIST || is->count != (was ? was->count : 0) + more->count)
    return false;
  const pc_node *entry = is->first;
  for (const pc_node *old = was ? was->first : NULL; old; old = old->next, entry = entry->next)
    if (!pc_yaml_is_same(old, entry, NULL, NULL))
      return false;
  for (size_t i = 0; i < more->count; i++, entry = entry->next) {
    pc_node *wanted;
    if (pc_tree_parse_value(tree, "", more->items[i].data, &wanted, faults) != PC_OK ||
        !pc_yaml_is_same(wanted, entry, NULL, NULL))
      return false;
  }
  return true;
}

/* PC_OK if the new text says what the old one did, and has these entries more. */
static pc_status read_again(const char *name, const pc_text *made, const pc_node *before,
                            const addition *lists, size_t count) {
  pc_tree *tree = NULL;
  pc_faults faults = {0};
  pc_status status = pc_tree_parse(name, made->data, made->length, &tree, &faults);
  const pc_node *root = status == PC_OK ? pc_tree_root(tree) : NULL;
  bool good = root && root->kind == PC_NODE_MAP;
  size_t keys = before->count;
  for (size_t i = 0; i < count && good; i++) {
    const pc_node *was = pc_node_get(before, lists[i].key);
    keys += was == NULL;
    good = is_list_longer(was, pc_node_get(root, lists[i].key), &lists[i], tree, &faults);
  }
  good = good && root->count == keys;
  for (const pc_node *old = before->first; old && good; old = old->next) {
    const pc_node *now = pc_node_get(root, old->key);
    bool longer = false;
    for (size_t i = 0; i < count; i++)
      longer |= strcmp(old->key, lists[i].key) == 0;
    good = longer || (now && pc_yaml_is_same(old, now, NULL, NULL));
  }
  if (pc_faults_fatal(&faults) > 0)
    status = pc_faults_status(&faults);
  pc_tree_free(tree);
  pc_faults_free(&faults);
  return good ? PC_OK : status == PC_ERR_MEMORY ? PC_ERR_MEMORY : PC_ERR_SYNTAX;
}

typedef struct edited {
  const char *name, *text;
  size_t length;
  const pc_node *root; /* of the text */
  const pc_place_layout *layout;
} edited;

static size_t entries_of(const pc_node *root, const char *key) {
  const pc_node *list = pc_node_get(root, key);
  return list ? list->count : 0;
}

static void push_fatal(const pc_faults *found, const pc_faults *known, pc_faults *faults) {
  for (size_t i = 0; i < found->count; i++) {
    const pc_error *error = &found->items[i];
    bool is_known = error->caution;
    for (size_t k = 0; known && k < known->count && !is_known; k++)
      is_known = known->items[k].status == error->status && strcmp(known->items[k].key, error->key) == 0;
    if (is_known)
      continue;
    pc_error here = *error;
    pc_error_place(&here, "", 0, 0); /* it stands in no file yet */
    pc_faults_push(faults, &here);
  }
  faults->dropped += found->dropped;
}

static bool has_memory_fault(const pc_faults *faults) {
  bool has = faults->dropped > 0;
  for (size_t i = 0; i < faults->count; i++)
    has |= faults->items[i].status == PC_ERR_MEMORY;
  return has;
}

/* Where there were no layouts, the one that stood for all zones is written down, too. */
static bool adds_all_zones(const pc_node *root, const pc_place_layout *layout) {
  return !pc_node_get(root, "layouts") && layout->known_count > 0;
}

/* By themselves: the layout's name, and the zones that are new. */
static void check_layout(const pc_node *root, const pc_place_layout *layout, pc_faults *faults) {
  char key[PC_KEY_MAX];
  pc_faults found = pc_faults_like(faults);
  size_t zones = entries_of(root, "zones"), layouts = entries_of(root, "layouts");
  for (size_t i = 0; i < layout->count; i++) {
    if (!layout->is_new[i])
      continue;
    snprintf(key, sizeof key, "zones[%zu]", zones++);
    pc_zone_validate(layout->zones[i], key, &found);
  }
  const pc_layout named = {.name = pc_name_long_of(layout->name)}; /* one too long is still too long */
  snprintf(key, sizeof key, "layouts[%zu]", layouts + adds_all_zones(root, layout));
  pc_fields_validate(&pc_layout_fields, &named, key, &found);
  push_fatal(&found, NULL, faults);
  pc_faults_free(&found);
}

/* As places are written. */
static bool is_near(pc_point a, pc_point b) {
  const double most_m = 1e-4;
  return fabs(a.x_m - b.x_m) <= most_m && fabs(a.y_m - b.y_m) <= most_m;
}

static bool is_written(const pc_scenario *scenario, const pc_zone *zone) {
  const pc_zone *found = pc_scenario_zone(scenario, zone->name.text);
  const pc_ring *ring = &zone->outline;
  size_t count = ring->count; /* without a last corner that is the first one again */
  count -= count > 3 && is_near(ring->points[0], ring->points[count - 1]);
  if (!found || found->outline.count < count || found->outline.count > ring->count)
    return false;
  for (size_t i = 0; i < count; i++)
    if (!is_near(found->outline.points[i], zone->outline.points[i]))
      return false;
  return count > 0 || is_near(found->at, zone->at);
}

/* The scenario that was made has the layout, as its last one, and the new zones where they are to lie. */
static bool is_whole(const pc_scenario *scenario, const pc_place_layout *layout) {
  const pc_layout *last = scenario->layout_count > 0 ? &scenario->layouts[scenario->layout_count - 1] : NULL;
  bool whole = last && pc_name_is(&last->name, layout->name) && last->zones.count == layout->count;
  for (size_t i = 0; i < layout->count && whole; i++)
    whole = pc_name_is(&last->zones.items[i], layout->zones[i]->name.text) &&
            (!layout->is_new[i] || is_written(scenario, layout->zones[i]));
  return whole;
}

/* Reads what was made as a scenario. It has to have the layout, and no fault that the text did not have
 * before: that text may well need what the command line sets. */
static pc_status read_scenario(const edited *from, const pc_text *made, pc_faults *faults) {
  pc_scenario scenario;
  size_t before = pc_faults_fatal(faults);
  pc_faults found = pc_faults_like(faults), known = pc_faults_like(faults);
  pc_status status = pc_scenario_read_at(from->name, made->data, made->length, &scenario, &found);
  if (status == PC_OK) {
    if (!is_whole(&scenario, from->layout))
      pc_faults_add(faults, PC_ERR_SYNTAX, "layouts", NULL, "would not be read as it was written");
    pc_scenario_free(&scenario);
  } else {
    if (pc_scenario_read_at(from->name, from->text, from->length, &scenario, &known) == PC_OK)
      pc_scenario_free(&scenario);
    bool short_of = has_memory_fault(&known);
    push_fatal(short_of ? &known : &found, short_of ? NULL : &known, faults);
  }
  pc_faults_free(&found);
  pc_faults_free(&known);
  return pc_faults_fatal(faults) > before ? pc_faults_status(faults) : PC_OK;
}

/* ---- the whole ---- */

static double unit_of(const pc_node *root) {
  const pc_node *units = pc_node_get(pc_node_get(root, "site"), "units");
  return units && strcmp(units->text, "ft") == 0 ? 0.3048 : 1.0;
}

static void put_one(const insertion *one, bool ends, pc_text *out) {
  pc_text_add(out, ends ? "\n" : "");
  pc_text_add(out, one->text.data ? one->text.data : "");
  out->failed |= one->text.failed;
}

/* The text with both insertions, the one that comes first in the text first: at its end a longer list comes
 * before a new one. */
static void put_together(const char *text, size_t length, const insertion *both, pc_text *out) {
  const insertion *a = &both[0], *b = &both[1];
  if (a->at > b->at || (a->at == b->at && a->key && !b->key)) {
    a = &both[1];
    b = &both[0];
  }
  pc_text_add_bytes(out, text, a->at);
  put_one(a, a->ends, out);
  pc_text_add_bytes(out, text + a->at, b->at - a->at);
  put_one(b, b->ends && !(a->ends && a->at == b->at), out);
  pc_text_add_bytes(out, text + b->at, length - b->at);
}

/* Zones and layouts into the text. */
static pc_status insert(const edited *from, const pc_text *zones, size_t added, const pc_text *layouts,
                        size_t lists, pc_text *out, pc_faults *faults) {
  const addition more[] = {{"layouts", layouts, lists}, {"zones", zones, added}};
  insertion both[2] = {{.at = from->length}, {.at = from->length}};
  bool zones_found =
      added == 0 || find_insertion(from->text, from->length, from->root, "zones", zones, added, &both[0]);
  bool found = zones_found &&
               find_insertion(from->text, from->length, from->root, "layouts", layouts, lists, &both[1]);
  if (found)
    put_together(from->text, from->length, both, out);
  pc_status status = out->failed ? PC_ERR_MEMORY
                     : found     ? read_again(from->name, out, from->root, more, added > 0 ? 2 : 1)
                                 : PC_ERR_SYNTAX;
  pc_text_free(&both[0].text);
  pc_text_free(&both[1].text);
  if (status == PC_ERR_MEMORY)
    return pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  if (status != PC_OK)
    return pc_faults_add(
        faults, PC_ERR_SYNTAX, zones_found ? "layouts" : "zones", NULL,
        "this file is written in a way that nothing can be added to: write zones and layouts "
        "as lists with \"- \" in front of each entry");
  return read_scenario(from, out, faults);
}

static pc_status write_into(const edited *from, pc_text *out, pc_faults *faults) {
  const pc_place_layout *layout = from->layout;
  pc_text *zones = pc_alloc(layout->count, sizeof *zones), layouts[2] = {{0}};
  const pc_zone **known = pc_alloc(layout->known_count, sizeof *known);
  size_t added = 0, lists = 0;
  bool failed = !known || !zones;
  for (size_t i = 0; zones && i < layout->count; i++)
    if (layout->is_new[i])
      add_zone(&zones[added++], layout->zones[i], unit_of(from->root));
  for (size_t i = 0; known && i < layout->known_count; i++)
    known[i] = &layout->known[i];
  if (adds_all_zones(from->root, layout) && known)
    add_layout(&layouts[lists++], "all zones", known, layout->known_count);
  add_layout(&layouts[lists++], layout->name, layout->zones, layout->count);
  for (size_t i = 0; i < added; i++)
    failed |= zones[i].failed;
  for (size_t i = 0; i < lists; i++)
    failed |= layouts[i].failed;
  pc_status status = failed ? pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory")
                            : insert(from, zones, added, layouts, lists, out, faults);
  for (size_t i = 0; i < added; i++)
    pc_text_free(&zones[i]);
  for (size_t i = 0; i < lists; i++)
    pc_text_free(&layouts[i]);
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
  if (status == PC_OK) {
    check_layout(pc_tree_root(tree), layout, faults);
    if (pc_faults_fatal(faults) > before)
      status = pc_faults_status(faults);
  }
  if (status == PC_OK)
    status = write_into(&(const edited){name, text, length, pc_tree_root(tree), layout}, out, faults);
  pc_tree_free(tree);
  if (status != PC_OK)
    pc_text_free(out);
  return status;
}
