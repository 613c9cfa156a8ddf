// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/plan_search.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/memory.h"
#include "base/parallel.h"
#include "base/random.h"
#include "sim/policies.h"
#include "study/replicate_private.h"

enum {
  SEARCHERS = 8,
  EXCHANGE = 8,            /* tries of each searcher between two exchanges */
  SEARCH_REPLICATIONS = 8, /* under chance */
  JUDGE_REPLICATIONS = 10, /* at least, under chance */
  FIRST_UNSEEN = 1000000,  /* replications that nobody else looks at */
  WIDEST = 6               /* lanes that one change touches */
};

static const double usual_change = 60.0; /* of keys, thousandths */

typedef struct score { /* less is better, the first that differs decides */
  size_t unfinished, late;
  double left_kg; /* where a night is not finished: to a kilogram, for the last digits of sums tell nothing */
  double time_s;  /* mean */
  double times_s[SEARCH_REPLICATIONS];
} score;

static bool is_better(const score *a, const score *b) {
  if (a->unfinished != b->unfinished)
    return a->unfinished < b->unfinished;
  if (a->late != b->late)
    return a->late < b->late;
  if (a->left_kg != b->left_kg)
    return a->left_kg < b->left_kg;
  return a->time_s < b->time_s;
}

typedef struct searcher {
  pc_plan best, trial;
  score score;
  pc_stream stream;
} searcher;

typedef struct hunt {
  const pc_lot *lot; /* follows a plan */
  const pc_plan_search *how;
  size_t replications, parts;
  double cycle_s; /* mean */
  searcher searchers[SEARCHERS];
  pc_world *worlds[SEARCHERS];
  pc_result results[SEARCHERS];
  size_t done; /* tries so far */
} hunt;

/* ---- running ---- */

/* A plan that falls behind `best`, after as many replications, is given up: most cost one run only. */
static pc_status judge(hunt *h, size_t part, const pc_plan *plan, const score *best, score *out) {
  *out = (score){0};
  double left_kg = 0.0, ahead_s = 0.0;
  pc_result *result = &h->results[part];
  pc_world_follow(h->worlds[part], plan);
  for (size_t r = 0; r < h->replications; r++) {
    pc_status status = pc_world_run(h->worlds[part], h->how->seed, FIRST_UNSEEN + r, NULL, result);
    if (status != PC_OK)
      return status;
    out->unfinished += !result->finished;
    for (size_t a = 0; a < result->area_count; a++)
      out->late += result->areas[a].late;
    out->time_s += result->total_time_s / (double)h->replications;
    left_kg += result->left_kg;
    out->times_s[r] = result->total_time_s;
    ahead_s += best ? best->times_s[r] - result->total_time_s : 0.0;
    if (best && best->unfinished == 0 && (ahead_s < 0.0 || out->unfinished > 0)) {
      out->unfinished = SIZE_MAX;
      return PC_OK;
    }
  }
  out->left_kg = out->unfinished > 0 ? round(left_kg / (double)h->replications) : 0.0;
  return PC_OK;
}

/* ---- changing a plan ---- */

static double share(searcher *s) {
  return (double)(pc_stream_next(&s->stream) >> 11) * 0x1p-53;
}

static size_t below(searcher *s, size_t count) {
  size_t i = (size_t)(share(s) * (double)count);
  return i < count ? i : count - 1;
}

/* About normal, mean 0, deviation 1: no function that libraries round differently. */
static double about_normal(searcher *s) {
  return (share(s) + share(s) + share(s) + share(s) - 2.0) * 1.7320508075688772;
}

static double rounded(double value, double least, double most) {
  return fmin(most, fmax(least, round(value * 1000.0) / 1000.0));
}

static void change_weight(hunt *h, searcher *s) {
  static const int starts[] = {0, 1, 2, 4, PC_PLAN_STARTS_MAX};
  pc_plan_weights *w = &s->trial.weights;
  double *const factors[] = {&w->ideal, &w->spill, &w->dirty, &w->wait, &w->empty, &w->part};
  enum { FACTORS = sizeof factors / sizeof factors[0] };
  size_t which = below(s, FACTORS + 2);
  if (which < FACTORS)
    *factors[which] = rounded(*factors[which] * fmax(0.1, 1.0 + 0.3 * about_normal(s)), 0.0, 20.0);
  else if (which == FACTORS)
    w->load_s = rounded(w->load_s + 0.05 * h->cycle_s * about_normal(s), -3600.0, 3600.0);
  else
    w->starts = starts[below(s, sizeof starts / sizeof starts[0])];
}

/* A block of neighbouring lanes and sections is taken sooner or later, in one direction or in both. */
static void change_block(searcher *s, double size) {
  size_t lanes = s->trial.key_count / (2 * PC_PLAN_SECTIONS);
  size_t lane = below(s, lanes), side = below(s, 2), section = below(s, PC_PLAN_SECTIONS);
  size_t wide = 1 + (size_t)(share(s) * share(s) * WIDEST), along = 1 + below(s, PC_PLAN_SECTIONS / 2);
  bool both = share(s) < 0.5;
  double change = size * about_normal(s);
  for (size_t l = lane; l < lane + wide && l < lanes; l++)
    for (size_t d = both ? 0 : side; d <= (both ? 1 : side); d++)
      for (size_t k = section; k < section + along && k < PC_PLAN_SECTIONS; k++) {
        int16_t *key = &s->trial.keys[(2 * l + d) * PC_PLAN_SECTIONS + k];
        *key = (int16_t)fmin(PC_PLAN_KEY_MAX, fmax(-PC_PLAN_KEY_MAX, round(*key + change)));
      }
}

static void change(hunt *h, searcher *s, size_t number) {
  static const struct { /* what has helped on some lot or other */
    int starts;
    double empty, load_cycles;
  } first[SEARCHERS] = {{PC_PLAN_STARTS_MAX, 1.0, 0.0},
                        {0, 1.3, 0.0},
                        {1, 1.0, 0.0},
                        {4, 1.0, 0.0},
                        {0, 1.0, 0.2},
                        {2, 1.0, 0.0},
                        {0, 1.3, 0.2},
                        {PC_PLAN_STARTS_MAX, 1.3, 0.0}};
  pc_plan_assign(&s->trial, &s->best);
  if (number == 0) {
    size_t k = (size_t)(s - h->searchers);
    s->trial.weights.starts = first[k].starts;
    s->trial.weights.empty = first[k].empty;
    s->trial.weights.load_s = rounded(first[k].load_cycles * h->cycle_s, 0.0, 3600.0);
  } else if (s->trial.key_count == 0 || share(s) < (h->replications > 1 ? 0.6 : 0.3)) {
    for (size_t i = 1 + below(s, 3); i > 0; i--)
      change_weight(h, s);
  } else {
    double size = usual_change * ldexp(1.0, (int)below(s, 5) - 2); /* a quarter … four times as much */
    for (size_t i = 1 + (size_t)(share(s) * share(s) * 20.0); i > 0; i--)
      change_block(s, size);
  }
}

/* ---- searching ---- */

/* One try of every p-th searcher. */
static pc_status try_some(void *context, size_t part) {
  hunt *h = context;
  for (size_t k = part; k < SEARCHERS && h->done + k < h->how->tries; k += h->parts) {
    searcher *s = &h->searchers[k];
    score found;
    change(h, s, h->done / SEARCHERS);
    pc_status status = judge(h, part, &s->trial, &s->score, &found);
    if (status != PC_OK)
      return status;
    if (!is_better(&s->score, &found)) { /* what is as good may lead farther */
      pc_plan_assign(&s->best, &s->trial);
      s->score = found;
    }
  }
  return PC_OK;
}

static size_t find_best(const hunt *h) {
  size_t best = 0;
  for (size_t k = 1; k < SEARCHERS; k++)
    best = is_better(&h->searchers[k].score, &h->searchers[best].score) ? k : best;
  return best;
}

/* The last searcher goes on from where the first one is. */
static void exchange(hunt *h) {
  size_t best = find_best(h), worst = 0;
  for (size_t k = 1; k < SEARCHERS; k++)
    worst = is_better(&h->searchers[worst].score, &h->searchers[k].score) ? k : worst;
  if (!is_better(&h->searchers[best].score, &h->searchers[worst].score))
    return;
  pc_plan_assign(&h->searchers[worst].best, &h->searchers[best].best);
  h->searchers[worst].score = h->searchers[best].score;
}

static double now_s(void) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static pc_status search(hunt *h, pc_planning *planning, double begun_s) {
  const pc_plan_search *how = h->how;
  pc_status status = PC_OK;
  for (size_t round = 1; h->done < how->tries && status == PC_OK; round++) {
    planning->stopped = how->stop && how->stop(how->context);
    if (planning->stopped || now_s() - begun_s >= how->seconds)
      break;
    status = pc_parallel(h->parts, try_some, h);
    h->done += how->tries - h->done < SEARCHERS ? how->tries - h->done : SEARCHERS;
    if (round % EXCHANGE == 0)
      exchange(h);
    const score *best = &h->searchers[find_best(h)].score;
    if (how->progress && status == PC_OK && best->unfinished == 0)
      how->progress(how->context, h->done, best->time_s, planning->search_keep_s);
  }
  return status;
}

static pc_status start(hunt *h) {
  h->parts = pc_parts_for(h->how->threads, SEARCHERS);
  for (size_t p = 0; p < h->parts; p++)
    if (pc_world_create(h->lot, &h->worlds[p]) != PC_OK ||
        pc_result_init_for(&h->results[p], h->lot) != PC_OK)
      return PC_ERR_MEMORY;
  for (size_t k = 0; k < SEARCHERS; k++) {
    searcher *s = &h->searchers[k];
    if (pc_plan_init(&s->best, h->lot) != PC_OK || pc_plan_init(&s->trial, h->lot) != PC_OK)
      return PC_ERR_MEMORY;
    pc_stream_start(&s->stream, h->how->seed, k, 0, PC_PURPOSE_COUNT);
  }
  return PC_OK;
}

static void end(hunt *h) {
  for (size_t k = 0; k < SEARCHERS; k++) {
    pc_plan_free(&h->searchers[k].best);
    pc_plan_free(&h->searchers[k].trial);
    pc_world_free(h->worlds[k]);
    pc_result_free(&h->results[k]);
  }
}

/* Keep-pushing is where everybody starts. */
static pc_status begin(hunt *h, pc_planning *planning) {
  score first;
  pc_status status = judge(h, 0, &h->searchers[0].best, NULL, &first);
  const pc_result *result = &h->results[0];
  double machine_s = result->total_time_s * (double)h->lot->machine_count;
  h->cycle_s = result->cycles > 0 ? machine_s / result->cycles : 60.0;
  for (size_t k = 0; k < SEARCHERS; k++) {
    h->searchers[k].score = first;
    double rate = result->placed_kg > 0.0 ? machine_s / result->placed_kg : 0.0;
    h->searchers[k].best.rate_spkg = round(rate * 1e9) / 1e9; /* so that a file holds it exactly */
  }
  planning->search_keep_s = first.unfinished > 0 ? NAN : first.time_s;
  return status;
}

/* ---- judging what was found ---- */

static bool varies(const pc_lot *lot) {
  const pc_chance *c = &lot->chance;
  bool any = c->fill > 0.0 || c->carry > 0.0 || c->dump > 0.0 || c->turn > 0.0 || c->back > 0.0;
  for (size_t m = 0; m < lot->machine_count; m++)
    any |= !isnan(lot->machines[m].unit.loader.breakdown_mean_s);
  return any;
}

static score score_of(const pc_summary *summary) {
  return (score){.unfinished = summary->unfinished,
                 .late = pc_summary_late(summary),
                 .left_kg = summary->unfinished > 0 ? round(summary->mean.left_kg) : 0.0,
                 .time_s = summary->total_time_s.mean};
}

/* Runs all three on luck that the search has not seen; the plan has to be better than keep-pushing there. */
static pc_status confirm(const pc_lot *lot, const pc_plan_search *how, pc_planning *p) {
  pc_lot straight = *lot, keep = *lot, planned = *lot;
  size_t count = lot->chance.replications > 0 ? (size_t)lot->chance.replications : 1;
  if (p->chance && count < JUDGE_REPLICATIONS)
    count = JUDGE_REPLICATIONS;
  straight.policy = &pc_policy_straight_runs;
  keep.policy = &pc_policy_keep_pushing;
  pc_lot_follow(&planned, &p->plan);
  pc_status status = pc_replicate(&straight, count, how->seed, how->threads, NULL, &p->straight);
  if (status == PC_OK)
    status = pc_replicate(&keep, count, how->seed, how->threads, NULL, &p->keep);
  if (status == PC_OK)
    status = pc_replicate(&planned, count, how->seed, how->threads, NULL, &p->planned);
  if (status != PC_OK)
    return status;
  const score was = score_of(&p->keep), is = score_of(&p->planned);
  p->gains = is_better(&is, &was);
  if (!p->gains) {
    p->plan.weights = pc_plan_weights_default();
    memset(p->plan.keys, 0, p->plan.key_count * sizeof *p->plan.keys);
    pc_summary_free(&p->planned);
    status = pc_replicate(&planned, count, how->seed, how->threads, NULL, &p->planned);
  }
  if (status == PC_OK)
    p->saved_s = pc_summary_difference(&p->keep, &p->planned, 0.95);
  return status;
}

pc_status pc_plan_find(const pc_lot *lot, const pc_plan_search *how, pc_planning *planning) {
  double begun_s = now_s();
  *planning = (pc_planning){.chance = varies(lot)};
  if (how->tries == SIZE_MAX && !(how->seconds < INFINITY) && !how->stop)
    return PC_ERR_RANGE;
  pc_lot following = *lot;
  pc_lot_follow(&following, NULL);
  hunt *h = pc_alloc(1, sizeof *h);
  if (!h)
    return PC_ERR_MEMORY;
  *h = (hunt){.lot = &following, .how = how, .replications = planning->chance ? SEARCH_REPLICATIONS : 1};
  pc_status status = start(h);
  if (status == PC_OK)
    status = begin(h, planning);
  if (status == PC_OK)
    status = search(h, planning, begun_s);
  if (status == PC_OK)
    status = pc_plan_init(&planning->plan, lot);
  if (status == PC_OK) {
    const searcher *best = &h->searchers[find_best(h)];
    pc_plan_assign(&planning->plan, &best->best);
    planning->search_best_s = best->score.unfinished > 0 ? NAN : best->score.time_s;
    planning->tries = h->done;
    planning->search_replications = h->replications;
  }
  end(h);
  free(h);
  if (status == PC_OK)
    status = confirm(lot, how, planning);
  if (status == PC_OK)
    status = pc_plan_bites(lot, &planning->plan, how->seed, &planning->bites, &planning->bite_count);
  if (status != PC_OK)
    pc_planning_free(planning);
  return status;
}

void pc_planning_free(pc_planning *planning) {
  if (!planning)
    return;
  pc_plan_free(&planning->plan);
  pc_summary_free(&planning->keep);
  pc_summary_free(&planning->straight);
  pc_summary_free(&planning->planned);
  free(planning->bites);
  *planning = (pc_planning){0};
}
