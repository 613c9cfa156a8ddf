// SPDX-License-Identifier: GPL-3.0-or-later
/* Running a shard and writing its part. */
#include <inttypes.h>
#include <stdlib.h>

#include "base/version.h"
#include "io/json_text.h"
#include "io/shards.h"
#include "io/shards_lines_private.h"
#include "io/shards_private.h"
#include "study/first_night.h"

static bool is_shard(pc_shard shard) {
  return shard.index >= 1 && shard.index <= shard.count && shard.count <= PC_SHARDS_MAX;
}

static pc_status no_shard(pc_faults *faults) {
  return pc_faults_add(faults, PC_ERR_RANGE, "shard", NULL,
                       "must be one of 1 to as many as there are, %d at most", (int)PC_SHARDS_MAX);
}

bool pc_shard_parse(const char *text, pc_shard *shard) {
  size_t numbers[2] = {0, 0};
  for (int n = 0; n < 2; n++) {
    const char *first = text;
    for (; *text >= '0' && *text <= '9' && numbers[n] <= PC_SHARDS_MAX; text++)
      numbers[n] = 10 * numbers[n] + (size_t)(*text - '0');
    if (text == first || *text != (n == 0 ? '/' : '\0'))
      return false;
    text++;
  }
  *shard = (pc_shard){numbers[0], numbers[1]};
  return is_shard(*shard);
}

uint64_t pc_shard_check(uint64_t hash, const char *bytes, size_t length) {
  for (size_t i = 0; i < length; i++)
    hash = (hash ^ (unsigned char)bytes[i]) * UINT64_C(1099511628211);
  return hash;
}

/* Adds a value as one line and releases it. */
static void add_line(pc_text *out, json_t *value) {
  pc_json_print(value, JSON_COMPACT, out);
  pc_text_add(out, "\n");
  json_decref(value);
}

static bool put(json_t *map, const char *key, json_t *value) {
  return json_object_set_new(map, key, value) == 0;
}

static json_t *put_word(const char *word) {
  return word ? json_string(word) : json_null();
}

static json_t *put_choice(const pc_choice *choice) {
  json_t *map = json_object();
  bool good = put(map, "layout", put_word(choice->layout)) && put(map, "box", put_word(choice->box)) &&
              put(map, "loader", put_word(choice->loader)) && put(map, "policy", put_word(choice->policy)) &&
              put(map, "depth_m", pc_shard_number(choice->depth_m)) &&
              put(map, "machines", json_integer(choice->machines));
  if (good)
    return map;
  json_decref(map);
  return NULL;
}

/* What a part is made from. */
typedef struct job {
  const pc_scenario *scenario;
  const pc_choice *choice; /* NULL: a comparison */
  const pc_heading_report *headings;
  pc_shard shard;
  int threads;
  size_t replications, rows;
  size_t first, end; /* of all replications of all rows */
  size_t lines;
  size_t made; /* rows of which a lot could be made */
  size_t out_start;
  pc_text *out;
  const pc_watch *watch; /* NULL: nobody watches */
  bool stopped;
} job;

/* ---- watched ---- */

static void tell(void *context, size_t done, size_t all) {
  const job *j = context;
  (void)all; /* of one row */
  if (j->watch->progress)
    j->watch->progress(j->watch->context, j->lines + done, j->end - j->first);
}

static bool stop(void *context) {
  const job *j = context;
  return j->watch->stop && j->watch->stop(j->watch->context);
}

/* ---- lines ---- */

static void start(job *j) {
  j->replications = (size_t)j->scenario->chance.replications;
  size_t all = j->rows * j->replications;
  pc_shard_stretch(j->shard, all, &j->first, &j->end);
  j->out_start = j->out->length;
  json_t *map = json_object();
  bool good = put(map, "format", json_string(PC_PART_FORMAT)) && put(map, "version", json_integer(1)) &&
              put(map, "program", json_string(pc_version())) &&
              put(map, "command", json_string(j->choice ? "run" : "compare")) &&
              put(map, "shard", json_integer((json_int_t)j->shard.index)) &&
              put(map, "of", json_integer((json_int_t)j->shard.count)) &&
              put(map, "combinations", json_integer((json_int_t)j->rows)) &&
              put(map, "choice", j->choice ? put_choice(j->choice) : json_null()) &&
              put(map, "headings", pc_shard_put_headings(j->headings)) &&
              put(map, "scenario", pc_shard_put_part(&pc_format_scenario, j->scenario)) &&
              put(map, "units", json_string(j->scenario->units == PC_US ? "us" : "metric"));
  if (!good)
    j->out->failed = true;
  add_line(j->out, map);
}

static pc_status told(pc_status status, pc_faults *faults) {
  if (status != PC_OK && pc_faults_fatal(faults) == 0)
    pc_faults_add(faults, status, NULL, NULL, "%s", pc_status_describe(status));
  return status;
}

/* A part is whole or not there at all. */
static pc_status end(job *j, pc_status status, size_t *left, pc_faults *faults) {
  *left = j->stopped ? j->end - j->first - j->lines : 0;
  if (*left > 0 && !j->out->failed) {
    j->out->length = j->out_start;
    j->out->data[j->out_start] = '\0';
    return PC_OK;
  }
  if (status == PC_OK && !j->out->failed) {
    uint64_t check =
        pc_shard_check(PC_PART_CHECK, j->out->data + j->out_start, j->out->length - j->out_start);
    pc_text_addf(j->out, "{\"lines\":%zu,\"check\":\"%016" PRIx64 "\"}\n", j->lines, check);
  }
  if (status == PC_OK && j->out->failed)
    return pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  return told(status, faults);
}

/* `first`: what was read off the rows, of the first replication; NULL of others. */
static void add_result(job *j, size_t row, size_t replication, const pc_result *result,
                       const pc_first_night *first) {
  json_t *map = json_object();
  bool good = put(map, "combination", json_integer((json_int_t)row)) &&
              put(map, "replication", json_integer((json_int_t)replication)) &&
              put(map, "result", pc_shard_put_result(result));
  if (first && first->depths.lot->storm_end_s > 0.0) {
    const pc_keep_up keep_up = pc_depths_judge(&first->depths);
    good = good && put(map, "keep_up", pc_shard_put_keep_up(&keep_up));
    if (j->choice)
      good = good && put(map, "depths", pc_shard_put_depths(&first->depths));
  }
  if (first && pc_crossings_may_be(j->scenario)) {
    pc_crossed crossed = {0};
    good = good && pc_crossings_list(&first->crossings, &crossed) == PC_OK &&
           put(map, "crossings", pc_shard_put_crossings(&crossed));
    pc_crossed_free(&crossed);
  }
  if (!good)
    j->out->failed = true;
  add_line(j->out, map);
  j->lines++;
}

/* In place of a result, where no lot can be made: whoever joins the parts finds that out by itself. */
static void add_left_out(job *j, size_t row, size_t replication) {
  json_t *map = json_object();
  if (!put(map, "combination", json_integer((json_int_t)row)) ||
      !put(map, "replication", json_integer((json_int_t)replication)) || !put(map, "left_out", json_true()))
    j->out->failed = true;
  add_line(j->out, map);
  j->lines++;
}

/* The replications of one row that fall into the shard. */
static pc_status do_row(void *context, size_t row, const pc_lot *lot) {
  job *j = context;
  size_t begin = row * j->replications;
  size_t from = j->first > begin ? j->first - begin : 0;
  size_t to = j->end < begin + j->replications ? j->end - begin : j->replications;
  for (size_t r = from; r < to && !lot; r++)
    add_left_out(j, row, r);
  if (!lot)
    return PC_OK;
  if (j->watch && stop(j)) {
    j->stopped = true;
    return PC_ERR_LIMIT; /* which ends the visit */
  }
  j->made++;
  pc_first_night first;
  pc_trace trace;
  pc_first_night_start(&first, lot, j->scenario);
  bool traced = pc_first_night_trace(&first, &trace) && from == 0;
  const pc_watch watch = {tell, stop, j};
  pc_result *results;
  size_t done = 0;
  pc_status status = pc_results_create(lot, to - from, &results);
  if (status == PC_OK)
    status = pc_replicate_range(lot, from, to - from, (uint64_t)j->scenario->chance.seed, j->threads,
                                traced ? &trace : NULL, j->watch ? &watch : NULL, results, &done);
  if (status == PC_OK && pc_first_night_failed(&first))
    status = PC_ERR_MEMORY;
  for (size_t r = from; r < from + done && status == PC_OK; r++)
    add_result(j, row, r, &results[r - from], r == 0 && traced ? &first : NULL);
  pc_results_free(results, to - from);
  pc_first_night_free(&first);
  j->stopped = status == PC_OK && done < to - from;
  return j->stopped ? PC_ERR_LIMIT : status;
}

static pc_status end_at_first(void *context, size_t row, const pc_lot *lot) {
  bool *found = context;
  (void)row;
  *found = lot != NULL;
  return lot ? PC_ERR_LIMIT : PC_OK;
}

/* Where none of the shard's own rows could be made, those of others decide whether that is a fault of the
 * whole. */
static pc_status check_any(const job *j, pc_faults *faults) {
  const pc_wanted *wanted = &j->scenario->compare;
  pc_faults found = pc_faults_like(faults);
  bool any = false;
  pc_status status = pc_compare_visit_each(j->scenario, wanted, 0, j->rows, end_at_first, &any, &found);
  pc_faults_free(&found);
  if (any)
    return PC_OK;
  return status == PC_OK ? pc_compare_visit(j->scenario, wanted, 0, 1, end_at_first, &any, faults) : status;
}

/* All rows of the shard. What is left out is not told of if the whole is at fault. */
static pc_status do_rows(job *j, pc_faults *faults) {
  pc_faults found = pc_faults_like(faults);
  if (j->end <= j->first)
    return PC_OK;
  pc_status status = pc_compare_visit_each(j->scenario, &j->scenario->compare, j->first / j->replications,
                                           (j->end - 1) / j->replications + 1, do_row, j, &found);
  if (j->stopped)
    status = PC_OK;
  pc_status any = status == PC_OK && j->made == 0 && !j->stopped ? check_any(j, faults) : PC_OK;
  if (any == PC_OK)
    pc_faults_move(faults, &found);
  pc_faults_free(&found);
  return status == PC_OK ? any : status;
}

/* A part is read with its scenario, so that one of a faulty scenario could not be joined. */
static pc_status check_scenario(const pc_scenario *scenario, pc_faults *faults) {
  pc_faults found = pc_faults_like(faults);
  pc_scenario_validate(scenario, &found);
  pc_status status = pc_faults_status(&found);
  for (size_t i = 0; i < found.count; i++)
    if (!found.items[i].caution)
      pc_faults_push(faults, &found.items[i]);
  faults->dropped += found.dropped;
  pc_faults_free(&found);
  return status;
}

pc_status pc_shard_compare_watched(const pc_scenario *scenario, const pc_heading_report *headings,
                                   pc_shard shard, int threads, const pc_watch *watch, size_t *left,
                                   pc_text *out, pc_faults *faults) {
  job j = {.scenario = scenario,
           .headings = headings,
           .shard = shard,
           .threads = threads,
           .watch = watch,
           .out = out};
  *left = 0;
  if (!is_shard(shard))
    return no_shard(faults);
  pc_status status = check_scenario(scenario, faults);
  if (status == PC_OK)
    status = pc_compare_count(scenario, &scenario->compare, &j.rows, faults);
  if (status != PC_OK)
    return told(status, faults);
  start(&j);
  status = do_rows(&j, faults);
  return end(&j, status, left, faults);
}

pc_status pc_shard_compare(const pc_scenario *scenario, const pc_heading_report *headings, pc_shard shard,
                           int threads, pc_text *out, pc_faults *faults) {
  size_t left;
  return pc_shard_compare_watched(scenario, headings, shard, threads, NULL, &left, out, faults);
}

pc_status pc_shard_run_watched(const pc_scenario *scenario, const pc_choice *choice,
                               const pc_heading_report *headings, pc_shard shard, int threads,
                               const pc_watch *watch, size_t *left, pc_text *out, pc_faults *faults) {
  job j = {.scenario = scenario,
           .choice = choice,
           .headings = headings,
           .shard = shard,
           .threads = threads,
           .rows = 1,
           .watch = watch,
           .out = out};
  *left = 0;
  if (!is_shard(shard))
    return no_shard(faults);
  pc_lot *lot;
  pc_status status = check_scenario(scenario, faults);
  if (status == PC_OK)
    status = pc_lot_create(scenario, choice, &lot, faults);
  if (status != PC_OK)
    return told(status, faults);
  start(&j);
  if (j.end > j.first)
    status = do_row(&j, 0, lot);
  pc_lot_free(lot);
  return end(&j, j.stopped ? PC_OK : status, left, faults);
}

pc_status pc_shard_run(const pc_scenario *scenario, const pc_choice *choice,
                       const pc_heading_report *headings, pc_shard shard, int threads, pc_text *out,
                       pc_faults *faults) {
  size_t left;
  return pc_shard_run_watched(scenario, choice, headings, shard, threads, NULL, &left, out, faults);
}
