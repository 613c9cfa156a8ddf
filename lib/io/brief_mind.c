// SPDX-License-Identifier: GPL-3.0-or-later
/* What the brief says of things to leave alone, and of where the piles would lie. */
#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "io/brief_private.h"

/* Goes on in the next column once, where there is one. */
typedef struct mind_list {
  pc_column *column, *next;
  const char *head;
} mind_list;

/* In the last column a line more stays free, for the word that there is more. */
static bool add_thing(mind_list *list, const char *words) {
  enum { INDENT = 6, LINE = 12 };
  pc_rect frame = {0, 0, list->column->frame.width - INDENT, INFINITY};
  double high = pc_canvas_measure(list->column->canvas, frame, &pc_brief_item, words).height;
  if (high + (list->next ? 0 : LINE) <= pc_column_left(list->column))
    return pc_column_add(list->column, &pc_brief_item, INDENT, words);
  if (!list->next)
    return false;
  list->column = list->next;
  list->next = NULL;
  pc_brief_head(list->column, list->head);
  return add_thing(list, words);
}

static bool add_names(mind_list *list, const char *kind, const char *const *names, size_t count) {
  bool short_of_room = !list->next && pc_column_left(list->column) < 100;
  const size_t words_most = short_of_room ? 50 : 150; /* better all kinds than all names */
  pc_text words = {0};
  size_t shown = 0;
  pc_text_addf(&words, "%s:", kind);
  for (; shown < count && (shown == 0 || words.length < words_most); shown++)
    pc_text_addf(&words, "%s %s", shown ? "," : "", names[shown]);
  if (shown < count)
    pc_text_addf(&words, " and %zu more", count - shown);
  bool fits = add_thing(list, pc_canvas_words(list->column->canvas, &words));
  pc_text_free(&words);
  return fits;
}

/* Where few machines fit at once. */
static bool add_passages(mind_list *list, const pc_site *site) {
  enum { WORDS_MOST = 150 };
  pc_text words = {0};
  size_t shown = 0, count = site->passage_count;
  pc_text_add(&words, "Narrow places (long dashes on the map), mind who gives way:");
  for (; shown < count && words.length < WORDS_MOST; shown++)
    pc_text_addf(&words, "%s %s (%d machine%s at a time)", shown ? "," : "", site->passages[shown].name.text,
                 site->passages[shown].machines, site->passages[shown].machines == 1 ? "" : "s");
  if (shown < count)
    pc_text_addf(&words, " and %zu more", count - shown);
  bool fits = add_thing(list, pc_canvas_words(list->column->canvas, &words));
  pc_text_free(&words);
  return fits;
}

/* Where not everyone may drive: "deck (only skid steer)". A machine's own page says where it may not
 * (pc_brief_across). */
static bool add_limited(mind_list *list, const pc_site *site) {
  pc_text words = {0};
  const char *between = "Not open to all (cross-hatched):";
  for (size_t i = 0; i < pc_site_pavement_count(site); i++) {
    pc_pavement pavement = pc_site_pavement_at(site, i);
    if (pavement.open_to->count == 0)
      continue;
    pc_text_addf(&words, "%s %s (only", between, pavement.name);
    for (size_t k = 0; k < pavement.open_to->count; k++)
      pc_text_addf(&words, "%s %s", k > 0 ? "," : "", pavement.open_to->items[k].text);
    pc_text_add(&words, ")");
    between = ",";
  }
  bool fits = add_thing(list, pc_canvas_words(list->column->canvas, &words));
  pc_text_free(&words);
  return fits;
}

static void add_left_alone(mind_list *list, const pc_site *site, const pc_lot *lot, bool whole,
                           pc_unit_system units) {
  static const char *const things[PC_KEEP_KIND_COUNT] = {
      [PC_KEEP_HYDRANT] = "H hydrants: keep them clear and in sight",
      [PC_KEEP_DRAIN] = "D drains: keep them open",
      [PC_KEEP_DOOR] = "E entrances",
      [PC_KEEP_ACCESSIBLE] = "A accessible stalls: no snow on them or on the way to them",
      [PC_KEEP_SIGHT] = "S sight triangles: no pile in them",
      [PC_KEEP_NO_PILES] = "X no piles here: push the snow off"};
  static const char *const kinds[PC_OBSTACLE_KIND_COUNT] = {
      [PC_OBSTACLE_BUILDING] = "Buildings", [PC_OBSTACLE_ISLAND] = "Islands and curbs",
      [PC_OBSTACLE_POLE] = "Poles",         [PC_OBSTACLE_PARKED] = "Parked vehicles",
      [PC_OBSTACLE_FENCE] = "Fences",       [PC_OBSTACLE_OLD_PILE] = "Old, frozen piles"};
  bool limited = whole && pc_site_is_limited(site);
  if (site->keep_clear_count + site->obstacle_count + site->passage_count == 0 && !pc_map_has_small(lot) &&
      !limited)
    return;
  size_t most = site->keep_clear_count + site->obstacle_count;
  const char **names = pc_alloc(most, sizeof *names);
  bool fits = true;
  if (!names)
    pc_canvas_fail(list->column->canvas);
  bool ways = site->passage_count > 0 || limited;
  list->head = ways ? "More to leave alone, and to mind" : "More to leave alone";
  pc_brief_head(list->column, ways ? "Leave alone, and mind" : "Leave alone");
  for (int kind = 0; names && kind < PC_KEEP_KIND_COUNT; kind++) {
    size_t count = 0;
    for (size_t i = 0; i < site->keep_clear_count; i++)
      if (site->keep_clear[i].kind == kind)
        names[count++] = site->keep_clear[i].name.text;
    if (count > 0)
      fits &= add_names(list, things[kind], names, count);
  }
  if (limited)
    fits &= add_limited(list, site);
  if (site->passage_count > 0)
    fits &= add_passages(list, site);
  for (int kind = 0; names && kind < PC_OBSTACLE_KIND_COUNT; kind++) {
    size_t count = 0;
    for (size_t i = 0; i < site->obstacle_count; i++)
      if (site->obstacles[i].kind == kind)
        names[count++] = site->obstacles[i].name.text;
    if (count > 0)
      fits &= add_names(list, kinds[kind], names, count);
  }
  if (pc_map_has_small(lot)) {
    pc_text words = {0};
    pc_text_addf(&words, "Hatched ground: %s with %s of snow, for a smaller machine",
                 pc_show(lot->small_m2, PC_DIM_AREA, units, 3).text,
                 pc_show(lot->small_kg, PC_DIM_MASS, units, 3).text);
    fits &= add_thing(list, pc_canvas_words(list->column->canvas, &words));
    pc_text_free(&words);
  }
  if (!fits)
    pc_column_add(list->column, &pc_brief_item, 6, "And more: everything that is marked on the map.");
  free(names);
}

/* Who draws the lot can draw the pavement that is missing; who sits on a machine can look before pushing on.
 */
static void tell_finding(const pc_siting_entry *entry, pc_unit_system units, pc_text *words) {
  if (entry->finding.rule != PC_SITING_PAVEMENT)
    pc_siting_tell(entry, units, words);
  else
    pc_text_addf(
        words, "zone \"%s\" reaches %s beyond the pavement drawn: see what lies there before you drive on it",
        entry->zone.text, pc_show(entry->finding.distance_m, PC_DIM_LENGTH, units, 3).text);
}

void pc_brief_siting(pc_column *column, const pc_brief_content *content, pc_unit_system units) {
  const pc_siting_report *siting = content->siting;
  if (!siting || siting->count == 0 || pc_column_left(column) < 60) /* the page for the whole lot has them */
    return;
  pc_brief_head(column, "Where the piles would lie");
  for (size_t i = 0; i < siting->count; i++) {
    const pc_siting_entry *entry = &siting->items[i];
    pc_text words = {0};
    pc_text_addf(&words, "!%zu %s: ", i + 1, pc_siting_severity_name(entry->finding.severity));
    tell_finding(entry, units, &words);
    bool fits = pc_brief_listed(column, 24, siting->count - i, pc_canvas_words(column->canvas, &words));
    pc_text_free(&words);
    if (!fits)
      return;
  }
}

void pc_brief_mind(pc_column *column, pc_column *next, const pc_brief_content *content, size_t machine,
                   pc_unit_system units) {
  enum { WORTH_A_HEAD = 45 };
  mind_list list = {column, pc_column_left(next) < WORTH_A_HEAD ? NULL : next, NULL};
  add_left_alone(&list, &content->scenario->site, content->lot, machine == PC_BRIEF_ALL, units);
  if (machine != PC_BRIEF_ALL)
    pc_brief_siting(list.column, content, units);
}
