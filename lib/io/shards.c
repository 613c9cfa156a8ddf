// SPDX-License-Identifier: GPL-3.0-or-later
/* Reading parts, seeing that they belong together, and giving their results to who sums them up. */
#include "io/shards.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/version.h"
#include "io/json_text.h"
#include "io/shards_lines_private.h"
#include "io/shards_private.h"
#include "io/tree_private.h"

typedef struct part {
  const char *path; /* borrowed */
  pc_shard shard;
  json_t *head; /* without its shard number, to compare with others */
} part;

struct pc_shards {
  part *parts; /* in the order given */
  size_t part_count;
  const part *first; /* that could be read: all others have to be like it */
  json_t **lines;    /* of each replication of each combination; NULL: not there yet */
  size_t line_count, rows, replications;
  bool is_run;
  pc_scenario scenario;
  pc_heading_report headings;
  pc_choice choice; /* its texts belong to the first part's head */
};

static pc_status fault(pc_faults *faults, const char *path, size_t line, pc_status status,
                       const char *message) {
  pc_error error;
  (void)pc_error_set(&error, status, NULL, NULL, "%s", message);
  pc_error_place(&error, strcmp(path, "-") == 0 ? "standard input" : path, (int)line, 0);
  pc_faults_push(faults, &error);
  return status;
}

static pc_status no_memory(pc_faults *faults) {
  return pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "there is not enough memory to join the parts");
}

/* ---- one part ---- */

typedef struct text_line {
  const char *start;
  size_t length;
  bool ended;
} text_line;

static json_t *parse(const text_line *line, bool *no_memory) {
  json_error_t problem;
  return pc_json_parse(line->start, line->length, &problem, no_memory);
}

static const char *text_of(const json_t *map, const char *key) {
  const char *text = json_string_value(json_object_get(map, key));
  return text ? text : "";
}

/* A whole number of at least `least`; 0 if it is none. */
static size_t count_of(const json_t *map, const char *key) {
  const json_t *value = json_object_get(map, key);
  return json_is_integer(value) && json_integer_value(value) > 0 ? (size_t)json_integer_value(value) : 0;
}

/* The last line proves that the part is whole. */
static pc_status check_end(const char *path, const char *text, const text_line *last, size_t lines,
                           pc_faults *faults) {
  bool short_of = false;
  json_t *end = lines >= 2 && last->ended ? parse(last, &short_of) : NULL;
  if (short_of)
    return no_memory(faults);
  char check[17];
  snprintf(check, sizeof check, "%016" PRIx64,
           pc_shard_check(PC_PART_CHECK, text, (size_t)(last->start - text)));
  pc_status status = PC_OK;
  if (!json_is_object(end) || !json_object_get(end, "check"))
    status = fault(faults, path, 0, PC_ERR_SYNTAX,
                   "ends too early: the shard was not finished, or the file is cut off; run the shard again");
  else if (strcmp(text_of(end, "check"), check) != 0 ||
           json_integer_value(json_object_get(end, "lines")) != (json_int_t)(lines - 2))
    status = fault(faults, path, 0, PC_ERR_SYNTAX,
                   "was changed after it was written: its check sum is wrong; run the shard again");
  json_decref(end);
  return status;
}

static pc_status check_head(const char *path, const json_t *head, pc_faults *faults) {
  char message[200];
  if (strcmp(text_of(head, "format"), PC_PART_FORMAT) != 0)
    return fault(faults, path, 1, PC_ERR_SYNTAX,
                 "is no part: parts are written by run or compare with --shard");
  if (json_integer_value(json_object_get(head, "version")) == 1 &&
      strcmp(text_of(head, "program"), pc_version()) == 0)
    return PC_OK;
  snprintf(
      message, sizeof message,
      "was written by version %.20s, but this is version %s; run and merge with one and the same version",
      text_of(head, "program"), pc_version());
  return fault(faults, path, 1, PC_ERR_RANGE, message);
}

/* The key in which two heads differ, one level down within the scenario. */
static const char *difference(const json_t *a, const json_t *b, const char **within) {
  const char *key;
  json_t *value;
  json_object_foreach((json_t *)a, key, value) {
    const json_t *other = json_object_get(b, key);
    if (json_equal(value, other) || strcmp(key, "units") == 0) /* those of the first part serve */
      continue;
    const char *inner;
    json_t *inner_value;
    *within = NULL;
    if (strcmp(key, "scenario") == 0)
      json_object_foreach(value, inner, inner_value) {
        if (!json_equal(inner_value, json_object_get(other, inner))) {
          *within = inner;
          break;
        }
      }
    return key;
  }
  return NULL;
}

/* Every part has to tell of the same work as the first. */
static pc_status check_alike(const pc_shards *s, const part *p, pc_faults *faults) {
  const part *first = s->first;
  char message[PC_MESSAGE_MAX];
  const char *within = NULL, *key = difference(first->head, p->head, &within);
  for (const part *q = s->parts; q < p; q++)
    if (!key && q->head && q->shard.index == p->shard.index) {
      snprintf(message, sizeof message, "is shard %zu of %zu, and so is \"%.120s\"; give each once",
               p->shard.index, p->shard.count, q->path);
      return fault(faults, p->path, 0, PC_ERR_NAME, message);
    }
  if (!key)
    return PC_OK;
  if (strcmp(key, "of") == 0)
    snprintf(message, sizeof message, "is one of %zu shards, but \"%.120s\" is one of %zu", p->shard.count,
             first->path, first->shard.count);
  else
    snprintf(
        message, sizeof message,
        "does not belong to \"%.120s\": its %s%s%s differs; all parts must come from the same command on "
        "the same scenario",
        first->path, key, within ? ", key " : "", within ? within : "");
  return fault(faults, p->path, 0, PC_ERR_RANGE, message);
}

/* What the first part says of the whole. */
static pc_status take_work(pc_shards *s, const part *first, pc_faults *faults) {
  const json_t *head = first->head, *choice = json_object_get(head, "choice");
  pc_faults found = {0};
  bool short_of = false;
  s->is_run = strcmp(text_of(head, "command"), "run") == 0;
  s->rows = count_of(head, "combinations");
  bool good =
      pc_shard_take_part(&pc_format_scenario, json_object_get(head, "scenario"), &s->scenario, &short_of) &&
      pc_shard_take_headings(json_object_get(head, "headings"), &s->headings, &short_of) && s->rows > 0 &&
      s->rows <= PC_COMPARE_MAX;
  s->scenario.units = strcmp(text_of(head, "units"), "us") == 0 ? PC_US : PC_METRIC;
  if (faults->units_given)
    s->scenario.units = faults->units;
  if (good)
    pc_scenario_validate(&s->scenario, &found);
  good = good && pc_faults_fatal(&found) == 0;
  short_of |= found.dropped > 0 || pc_faults_status(&found) == PC_ERR_MEMORY;
  pc_faults_free(&found);
  if (short_of)
    return no_memory(faults);
  json_int_t machines = json_integer_value(json_object_get(choice, "machines"));
  good = good && machines >= 0 && machines <= PC_MACHINES_MAX;
  s->choice = (pc_choice){.layout = json_string_value(json_object_get(choice, "layout")),
                          .box = json_string_value(json_object_get(choice, "box")),
                          .loader = json_string_value(json_object_get(choice, "loader")),
                          .policy = json_string_value(json_object_get(choice, "policy")),
                          .machines = (int)machines};
  if (s->is_run)
    good = good && pc_shard_take_number(json_object_get(choice, "depth_m"), &s->choice.depth_m);
  if (!good)
    return fault(faults, first->path, 1, PC_ERR_SYNTAX, "says of its work what no shard says");
  s->replications = (size_t)s->scenario.chance.replications;
  s->line_count = s->rows * s->replications;
  s->lines = pc_alloc(s->line_count, sizeof *s->lines);
  return s->lines ? PC_OK : no_memory(faults);
}

/* Files one line under its combination and replication. */
static pc_status take_line(pc_shards *s, const part *p, const text_line *line, size_t number,
                           pc_faults *faults) {
  bool short_of = false;
  json_t *value = parse(line, &short_of);
  if (short_of)
    return no_memory(faults);
  const json_t *row = json_object_get(value, "combination"), *run = json_object_get(value, "replication");
  size_t first, end, r = (size_t)json_integer_value(row), i = (size_t)json_integer_value(run);
  pc_shard_stretch(p->shard, s->line_count, &first, &end);
  size_t at = r < s->rows && i < s->replications ? r * s->replications + i : s->line_count;
  if (!json_is_integer(row) || !json_is_integer(run) || at < first || at >= end || s->lines[at]) {
    json_decref(value);
    return fault(faults, p->path, number, PC_ERR_SYNTAX, "is no result of this shard");
  }
  s->lines[at] = value;
  return PC_OK;
}

static pc_status take_head(pc_shards *s, part *p, const text_line *line, pc_faults *faults) {
  bool short_of = false;
  json_t *head = parse(line, &short_of);
  if (short_of)
    return no_memory(faults);
  pc_status status = check_head(p->path, head, faults);
  p->shard = (pc_shard){count_of(head, "shard"), count_of(head, "of")};
  bool fits = p->shard.index >= 1 && p->shard.index <= p->shard.count && p->shard.count <= PC_SHARDS_MAX;
  if (status == PC_OK && !fits)
    status = fault(faults, p->path, 1, PC_ERR_SYNTAX, "says of its work what no shard says");
  json_object_del(head, "shard");
  if (status != PC_OK) {
    json_decref(head);
    return status;
  }
  p->head = head;
  if (s->first)
    return check_alike(s, p, faults);
  s->first = p;
  return take_work(s, p, faults);
}

/* Start and length of every line; *lines has room for as many as there are line ends, and one. */
static size_t split(const char *text, size_t length, text_line *lines) {
  size_t count = 0;
  for (const char *at = text, *stop = text + length; at < stop; count++) {
    const char *end = memchr(at, '\n', (size_t)(stop - at));
    lines[count] = (text_line){at, (size_t)((end ? end : stop) - at), end != NULL};
    at = end ? end + 1 : stop;
  }
  return count;
}

static size_t count_lines(const char *text, size_t length) {
  size_t count = 1;
  for (size_t i = 0; i < length; i++)
    count += text[i] == '\n';
  return count;
}

static pc_status take_text(pc_shards *s, part *p, const char *text, size_t length, pc_faults *faults) {
  text_line *lines = pc_alloc(count_lines(text, length), sizeof *lines);
  if (!lines)
    return no_memory(faults);
  size_t count = split(text, length, lines);
  pc_status status = PC_OK;
  if (count == 0)
    status = fault(faults, p->path, 0, PC_ERR_SYNTAX, "is empty, and so no part");
  if (status == PC_OK)
    status = take_head(s, p, &lines[0], faults);
  if (status == PC_OK)
    status = check_end(p->path, text, &lines[count - 1], count, faults);
  for (size_t i = 1; i + 1 < count && status == PC_OK; i++)
    status = take_line(s, p, &lines[i], i + 1, faults);
  free(lines);
  return status;
}

/* ---- all parts ---- */

static pc_status check_missing(const pc_shards *s, pc_faults *faults) {
  pc_text list = {0};
  size_t missing = 0, of = s->first->shard.count;
  for (size_t i = 1; i <= of; i++) {
    bool found = false;
    for (size_t p = 0; p < s->part_count && !found; p++)
      found = s->parts[p].head && s->parts[p].shard.index == i;
    if (found)
      continue;
    if (missing++ < 20)
      pc_text_addf(&list, "%s%zu", missing > 1 ? ", " : "", i);
  }
  pc_status status = PC_OK;
  if (missing > 0)
    status = pc_faults_add(faults, PC_ERR_MISSING, NULL, NULL, "shard%s %s%s of %zu %s missing",
                           missing > 1 ? "s" : "", list.data ? list.data : "", missing > 20 ? ", …" : "", of,
                           missing > 1 ? "are" : "is");
  pc_text_free(&list);
  for (size_t i = 0; i < s->line_count && status == PC_OK; i++)
    if (!s->lines[i])
      status = pc_faults_add(faults, PC_ERR_MISSING, NULL, NULL,
                             "replication %zu of combination %zu is in none of the parts",
                             i % s->replications + 1, i / s->replications + 1);
  return status;
}

pc_status pc_shards_read(const char *const *paths, size_t count, pc_shards **shards, pc_faults *faults) {
  *shards = NULL;
  pc_shards *s = pc_alloc(1, sizeof *s);
  part *parts = pc_alloc(count, sizeof *parts);
  if (!s || !parts) {
    free(s);
    free(parts);
    return no_memory(faults);
  }
  *s = (pc_shards){.parts = parts, .part_count = count, .scenario = pc_scenario_default()};
  pc_status status = PC_OK;
  for (size_t i = 0; i < count && (!s->first || s->lines); i++) { /* without the first's work no other fits */
    void *text = NULL;
    size_t length;
    parts[i].path = paths[i];
    pc_status one = pc_file_read(paths[i], &text, &length, faults);
    if (one == PC_OK)
      one = take_text(s, &parts[i], text, length, faults);
    free(text);
    status = status == PC_OK ? one : status;
  }
  if (status == PC_OK && count == 0)
    status = pc_faults_add(faults, PC_ERR_MISSING, NULL, NULL, "there are no parts to join");
  if (status == PC_OK)
    status = check_missing(s, faults);
  if (status == PC_OK)
    *shards = s;
  else
    pc_shards_free(s);
  return status;
}

void pc_shards_free(pc_shards *s) {
  if (!s)
    return;
  for (size_t i = 0; i < s->part_count; i++)
    json_decref(s->parts[i].head);
  for (size_t i = 0; s->lines && i < s->line_count; i++)
    json_decref(s->lines[i]);
  free(s->parts);
  free(s->lines);
  pc_heading_report_free(&s->headings);
  pc_scenario_free(&s->scenario);
  free(s);
}

const pc_scenario *pc_shards_scenario(const pc_shards *shards) {
  return &shards->scenario;
}

const pc_heading_report *pc_shards_headings(const pc_shards *shards) {
  return &shards->headings;
}

bool pc_shards_is_run(const pc_shards *shards) {
  return shards->is_run;
}

/* ---- results ---- */

static pc_status fetch(void *context, size_t row, const pc_lot *lot, size_t replications, pc_result *results,
                       pc_keep_up *keep_up, pc_crossed *crossed) {
  const pc_shards *s = context;
  json_t *const *lines = &s->lines[row * s->replications];
  bool good = row < s->rows && replications == s->replications;
  for (size_t r = 0; r < replications && good; r++)
    good = pc_shard_take_result(json_object_get(lines[r], "result"), &results[r]);
  if (good && lot->storm_end_s > 0.0)
    good = pc_shard_take_keep_up(json_object_get(lines[0], "keep_up"), keep_up);
  bool short_of = false;
  if (good && pc_crossings_may_be(&s->scenario))
    good = pc_shard_take_crossings(json_object_get(lines[0], "crossings"), crossed, &short_of);
  return good ? PC_OK : short_of ? PC_ERR_MEMORY : PC_ERR_SYNTAX;
}

static pc_status told(pc_status status, pc_faults *faults) {
  if (status == PC_ERR_SYNTAX && pc_faults_fatal(faults) == 0)
    return pc_faults_add(faults, status, NULL, NULL,
                         "the results in the parts do not fit the scenario in them; run all shards again");
  if (status != PC_OK && pc_faults_fatal(faults) == 0)
    return pc_faults_add(faults, status, NULL, NULL, "%s", pc_status_describe(status));
  return status;
}

pc_status pc_shards_compare(const pc_shards *shards, pc_comparison *comparison, pc_faults *faults) {
  *comparison = (pc_comparison){0};
  size_t rows;
  pc_status status = pc_compare_count(&shards->scenario, &shards->scenario.compare, &rows, faults);
  if (status == PC_OK && rows != shards->rows)
    status = PC_ERR_SYNTAX;
  pc_shards *context = (pc_shards *)shards; /* only read */
  const pc_compare_source source = {context, fetch};
  if (status == PC_OK)
    status = pc_compare_fetched(&shards->scenario, &shards->scenario.compare, shards->replications, &source,
                                comparison, faults);
  return told(status, faults);
}

static pc_status sum_up(const pc_shards *s, const pc_lot *lot, pc_summary *summary, pc_depths_series *depths,
                        pc_crossed *crossed) {
  pc_result *results;
  pc_keep_up keep_up;
  pc_shards *context = (pc_shards *)s; /* only read */
  pc_status status = pc_results_create(lot, s->replications, &results);
  if (status == PC_OK)
    status = fetch(context, 0, lot, s->replications, results, &keep_up, crossed);
  bool short_of = false;
  if (status == PC_OK && lot->storm_end_s > 0.0 &&
      !pc_shard_take_depths(json_object_get(s->lines[0], "depths"), depths, &short_of))
    status = short_of ? PC_ERR_MEMORY : PC_ERR_SYNTAX;
  if (status == PC_OK)
    status = pc_summary_make(lot, results, s->replications, summary);
  pc_results_free(results, s->replications);
  return status;
}

pc_status pc_shards_run(const pc_shards *shards, pc_lot **lot, pc_summary *summary, pc_depths_series *depths,
                        pc_crossed *crossed, pc_faults *faults) {
  *summary = (pc_summary){0};
  *depths = (pc_depths_series){0};
  *crossed = (pc_crossed){0};
  pc_status status = pc_lot_create(&shards->scenario, &shards->choice, lot, faults);
  if (status != PC_OK)
    return told(status, faults);
  pc_depths_start(depths, *lot);
  status = sum_up(shards, *lot, summary, depths, crossed);
  if (status != PC_OK) {
    pc_depths_free(depths);
    pc_crossed_free(crossed);
    pc_lot_free(*lot);
    *lot = NULL;
  }
  return told(status, faults);
}
