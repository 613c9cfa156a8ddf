// SPDX-License-Identifier: GPL-3.0-or-later
/* Routes of one unit after another, length by length: of all orders of the same lots with the same last one,
 * only the earliest can be part of the best plan. Where there are too many, those with the least waste go on.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "study/assign_private.h"

typedef struct finder {
  const pc_assign_problem *problem;
  pc_route_pool *pool;
  const pc_steps *steps;
  size_t unit, limit;
  double limit_s, limit_cost;
  double best_s[PC_LOTS_MAX]; /* of any unit, to judge waste by */
} finder;

static bool has(uint64_t lots, size_t lot) {
  return (lots >> lot & 1) != 0;
}

static pc_status add_label(pc_route_pool *pool, const pc_route_label *label) {
  void *labels = pool->labels;
  if (pool->label_count >= PC_NO_LABEL - 1 ||
      pc_reserve(&labels, &pool->label_room, pool->label_count + 1, sizeof *label) != 0)
    return PC_ERR_MEMORY;
  pool->labels = labels;
  pool->labels[pool->label_count++] = *label;
  return PC_OK;
}

static double paid_s(const pc_assign_problem *p, const pc_route_label *label) {
  return label->end_s + (p->back_to_yard ? pc_assign_travel(p, label->last + 1, 0) : 0.0);
}

static pc_status add_column(const pc_assign_problem *p, size_t unit, uint32_t index, pc_route_pool *pool) {
  void *columns = pool->columns;
  if (pc_reserve(&columns, &pool->column_room, pool->column_count + 1, sizeof *pool->columns) != 0)
    return PC_ERR_MEMORY;
  pool->columns = columns;
  const pc_route_label *label = &pool->labels[index];
  double paid = paid_s(p, label);
  pool->columns[pool->column_count++] =
      (pc_route_column){.unit = unit,
                        .label = index,
                        .lots = label->lots,
                        .end_s = label->end_s,
                        .paid_s = paid,
                        .cost = p->units[unit].cost_per_s * paid + label->extra};
  return PC_OK;
}

/* Extends a route by one lot; labels that come too late are not worth keeping. */
static pc_status extend(const finder *f, uint32_t index, size_t lot) {
  const pc_assign_problem *p = f->problem;
  bool first = index == PC_NO_LABEL;
  double work = pc_assign_work(p, f->unit, lot);
  if (isnan(work) || (!first && has(f->pool->labels[index].lots, lot)))
    return PC_OK;
  pc_route_label made = {.lots = UINT64_C(1) << lot, .before = index, .last = (uint32_t)lot};
  size_t from = 0;
  if (!first) {
    const pc_route_label *before = &f->pool->labels[index];
    made.lots |= before->lots;
    made.end_s = before->end_s;
    made.extra = before->extra;
    from = before->last + 1;
  }
  made.end_s += pc_assign_travel(p, from, lot + 1) + work;
  made.extra += pc_assign_extra(p, f->unit, lot);
  if (made.end_s > f->limit_s || p->units[f->unit].cost_per_s * made.end_s + made.extra > f->limit_cost)
    return PC_OK;
  return add_label(f->pool, &made);
}

/* By lots and last one, the earliest first. */
static int by_lots(const void *a, const void *b) {
  const pc_route_label *x = a, *y = b;
  if (x->lots != y->lots)
    return x->lots < y->lots ? -1 : 1;
  if (x->last != y->last)
    return x->last < y->last ? -1 : 1;
  if (x->end_s != y->end_s)
    return x->end_s < y->end_s ? -1 : 1;
  return x->before < y->before ? -1 : x->before > y->before;
}

/* Keeps the first of those that are alike; returns how many are left. */
static size_t drop_later(pc_route_label *labels, size_t count) {
  size_t kept = 0;
  for (size_t i = 0; i < count; i++)
    if (kept == 0 || labels[i].lots != labels[kept - 1].lots || labels[i].last != labels[kept - 1].last)
      labels[kept++] = labels[i];
  return kept;
}

typedef struct judged {
  double waste_s;
  pc_route_label label;
} judged;

static int by_waste(const void *a, const void *b) {
  const judged *x = a, *y = b;
  if (x->waste_s != y->waste_s)
    return x->waste_s < y->waste_s ? -1 : 1;
  return by_lots(&x->label, &y->label);
}

/* The time beyond what the lots take at best. */
static double waste_s(const finder *f, const pc_route_label *label) {
  double waste = label->end_s;
  for (size_t l = 0; l < f->problem->lot_count; l++)
    if (has(label->lots, l))
      waste -= f->best_s[l];
  return waste;
}

static pc_status thin_out(const finder *f, pc_route_label *labels, size_t *count) {
  judged *list = pc_alloc(*count, sizeof *list);
  if (!list)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < *count; i++)
    list[i] = (judged){waste_s(f, &labels[i]), labels[i]};
  qsort(list, *count, sizeof *list, by_waste);
  *count = f->limit;
  for (size_t i = 0; i < *count; i++)
    labels[i] = list[i].label;
  free(list);
  qsort(labels, *count, sizeof *labels, by_lots);
  f->pool->complete = false;
  return PC_OK;
}

/* One column for each set of lots: the best of its last ones. */
static pc_status add_columns(const finder *f, size_t first) {
  pc_route_pool *pool = f->pool;
  const pc_assign_problem *p = f->problem;
  for (size_t i = first; i < pool->label_count;) {
    size_t best = i, end = i;
    for (; end < pool->label_count && pool->labels[end].lots == pool->labels[i].lots; end++) {
      const pc_route_label *a = &pool->labels[end], *b = &pool->labels[best];
      bool paid = p->least == PC_LEAST_COST;
      if ((paid ? paid_s(p, a) : a->end_s) < (paid ? paid_s(p, b) : b->end_s))
        best = end;
    }
    pc_status status = add_column(p, f->unit, (uint32_t)best, pool);
    if (status != PC_OK)
      return status;
    i = end;
  }
  return PC_OK;
}

enum { LABELS_AT_ONCE = 1024 };

static bool is_over(const finder *f) {
  if (!pc_steps_stopped(f->steps))
    return false;
  f->pool->complete = false;
  return true;
}

static pc_status find_for_unit(const finder *f) {
  pc_route_pool *pool = f->pool;
  size_t first = pool->label_count, end = first;
  pc_status status = PC_OK;
  for (size_t length = 1; length <= f->problem->lot_count && status == PC_OK && !is_over(f); length++) {
    size_t begin = first, new_first = pool->label_count;
    for (size_t l = 0; l < f->problem->lot_count && length == 1 && status == PC_OK; l++)
      status = extend(f, PC_NO_LABEL, l);
    for (size_t i = begin; i < end && length > 1 && status == PC_OK; i++) {
      if (i % LABELS_AT_ONCE == 0 && is_over(f))
        break;
      for (size_t l = 0; l < f->problem->lot_count && status == PC_OK; l++)
        status = extend(f, (uint32_t)i, l);
    }
    size_t count = pool->label_count - new_first;
    if (status != PC_OK || count == 0)
      break;
    qsort(&pool->labels[new_first], count, sizeof *pool->labels, by_lots);
    count = drop_later(&pool->labels[new_first], count);
    if (count > f->limit)
      status = thin_out(f, &pool->labels[new_first], &count);
    pool->label_count = new_first + count;
    if (status == PC_OK)
      status = add_columns(f, new_first);
    first = new_first;
    end = pool->label_count;
  }
  return status;
}

enum { LABELS_IN_ALL = 2000000, LABELS_OF_LONG = 400000 };

/* How many labels of one length a unit may keep. Where all sets of lots fit in, they are all looked at; where
 * they do not by far, many of each length would only swell the covering problem. */
static size_t label_limit(const pc_assign_problem *p) {
  size_t limit = p->label_limit > 0 ? p->label_limit : PC_ASSIGN_LABELS, n = p->lot_count;
  size_t units = p->unit_count > 0 ? p->unit_count : 1;
  if (n <= 20 && (n << (n - 1)) <= LABELS_IN_ALL / units)
    return limit;
  size_t share = LABELS_OF_LONG / units / n;
  share = share > 100 ? share : 100;
  return limit < share ? limit : share;
}

pc_status pc_assign_routes_find(const pc_assign_problem *p, double limit_s, double limit_cost,
                                const pc_steps *steps, pc_route_pool *pool) {
  finder f = {.problem = p,
              .pool = pool,
              .steps = steps,
              .limit = label_limit(p),
              .limit_s = limit_s,
              .limit_cost = limit_cost};
  for (size_t l = 0; l < p->lot_count; l++) {
    f.best_s[l] = INFINITY;
    for (size_t u = 0; u < p->unit_count; u++)
      f.best_s[l] = fmin(f.best_s[l], pc_assign_work(p, u, l));
  }
  pc_status status = PC_OK;
  pool->complete = true;
  for (f.unit = 0; f.unit < p->unit_count && status == PC_OK; f.unit++)
    status = find_for_unit(&f);
  return status;
}

pc_status pc_assign_routes_add(const pc_assign_problem *p, const pc_assign_route *route,
                               pc_route_pool *pool) {
  pc_route_label label = {.before = PC_NO_LABEL};
  size_t from = 0;
  for (size_t i = 0; i < route->stop_count; i++) {
    size_t lot = route->stops[i].lot;
    label.lots |= UINT64_C(1) << lot;
    label.last = (uint32_t)lot;
    label.end_s += pc_assign_travel(p, from, lot + 1) + pc_assign_work(p, route->unit, lot);
    label.extra += pc_assign_extra(p, route->unit, lot);
    pc_status status = add_label(pool, &label);
    if (status != PC_OK)
      return status;
    label.before = (uint32_t)(pool->label_count - 1);
    from = lot + 1;
  }
  return route->stop_count > 0 ? add_column(p, route->unit, label.before, pool) : PC_OK;
}

size_t pc_assign_routes_order(const pc_route_pool *pool, const pc_route_column *column,
                              size_t lots[PC_LOTS_MAX]) {
  size_t count = 0;
  for (uint32_t at = column->label; at != PC_NO_LABEL; at = pool->labels[at].before)
    count++;
  size_t i = count;
  for (uint32_t at = column->label; at != PC_NO_LABEL; at = pool->labels[at].before)
    lots[--i] = pool->labels[at].last;
  return count;
}

void pc_assign_routes_free(pc_route_pool *pool) {
  free(pool->labels);
  free(pool->columns);
  *pool = (pc_route_pool){0};
}
