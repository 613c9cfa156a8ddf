// SPDX-License-Identifier: GPL-3.0-or-later
/* The covering problem as a linear program with integers, solved by GLPK. GLPK ends the process when memory
 * is short, unless its error hook leaves by a jump: everything of ours is allocated outside of that. It keeps
 * its state, the hooks among it, for each thread, and no hook can be asked for to be put back: so that the
 * program's own stay, it is called in a thread of ours. */
#include <glpk.h>
#include <math.h>
#include <pthread.h>
#include <setjmp.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "study/assign_private.h"

static const double close_enough = 1e-7;

static void leave(void *info) {
  longjmp(*(jmp_buf *)info, 1);
}

/* GLPK writes of a failure even where its output is off; this says that it was written. */
static int swallow(void *info, const char *text) {
  (void)info;
  (void)text;
  return 1;
}

typedef struct guarded_work {
  void (*work)(void *context);
  void *context;
  pc_status status;
} guarded_work;

static void *guard(void *argument) {
  guarded_work *g = argument;
  g->status = PC_ERR_MEMORY;
  int made = glp_init_env();
  if (made > 1)
    return NULL;
  int heard = glp_term_out(GLP_OFF);
  glp_term_hook(swallow, NULL);
  jmp_buf back;
  if (setjmp(back) != 0) {
    glp_error_hook(NULL, NULL);
    glp_free_env(); /* with everything in it, in whatever state it was */
    return NULL;
  }
  glp_error_hook(leave, &back);
  g->work(g->context);
  glp_error_hook(NULL, NULL);
  glp_term_hook(NULL, NULL);
  glp_term_out(heard);
  if (made == 0)
    glp_free_env();
  g->status = PC_OK;
  return NULL;
}

/* Runs `work` so that GLPK's failures come back as a status. */
static pc_status guarded(void (*work)(void *context), void *context) {
  guarded_work g = {.work = work, .context = context};
  pthread_t thread;
  if (pthread_create(&thread, NULL, guard, &g) == 0)
    pthread_join(thread, NULL);
  else
    (void)guard(&g);
  return g.status;
}

typedef struct covering_work {
  pc_cover *cover;
  size_t *columns; /* of the pool, in the program's order */
  size_t count;
  int *index; /* room for one column of the matrix */
  double *value;
  size_t nodes, node_limit;
  double tree_bound;
  bool stopped;
} covering_work;

static void add_rows(glp_prob *lp, const pc_assign_problem *p) {
  int row = glp_add_rows(lp, (int)(p->lot_count + p->machine_kinds + p->box_kinds));
  for (size_t l = 0; l < p->lot_count; l++)
    glp_set_row_bnds(lp, row++, GLP_LO, 1.0, 0.0);
  for (size_t m = 0; m < p->machine_kinds; m++)
    glp_set_row_bnds(lp, row++, GLP_UP, 0.0, p->machines[m]);
  for (size_t b = 0; b < p->box_kinds; b++)
    glp_set_row_bnds(lp, row++, GLP_UP, 0.0, p->boxes[b]);
}

static void add_column(glp_prob *lp, const covering_work *w, size_t which) {
  const pc_cover *c = w->cover;
  const pc_assign_problem *p = c->problem;
  const pc_route_column *column = &c->pool->columns[which];
  const pc_assign_unit *unit = &p->units[column->unit];
  int j = glp_add_cols(lp, 1), n = 0;
  glp_set_col_bnds(lp, j, GLP_DB, 0.0, 1.0);
  glp_set_obj_coef(lp, j, c->weights ? c->weights[which] : 0.0);
  for (size_t l = 0; l < p->lot_count; l++)
    if (column->lots >> l & 1) {
      w->index[++n] = (int)l + 1;
      w->value[n] = 1.0;
    }
  w->index[++n] = (int)(p->lot_count + unit->machine) + 1;
  w->value[n] = unit->together;
  w->index[++n] = (int)(p->lot_count + p->machine_kinds + unit->box) + 1;
  w->value[n] = unit->together;
  glp_set_mat_col(lp, j, n, w->index, w->value);
}

/* Columns that no cover better than the known one can hold, by their reduced cost, are taken out. */
static void drop_hopeless(glp_prob *lp, covering_work *w) {
  const pc_cover *c = w->cover;
  double spare = c->cutoff - glp_get_obj_val(lp);
  if (!c->weights || !isfinite(spare))
    return;
  spare += close_enough * (1.0 + fabs(c->cutoff));
  size_t kept = 0, dropped = 0;
  int *out = w->index; /* room for all columns: see pc_cover_solve */
  for (size_t i = 0; i < w->count; i++) {
    int j = (int)i + 1;
    if (glp_get_col_stat(lp, j) == GLP_NL && glp_get_col_dual(lp, j) > spare)
      out[++dropped] = j;
    else
      w->columns[kept++] = w->columns[i];
  }
  w->count = kept;
  if (dropped > 0)
    glp_del_cols(lp, (int)dropped, out);
}

static void watch(glp_tree *tree, void *context) {
  covering_work *w = context;
  if (pc_steps_stopped(w->cover->steps)) {
    w->stopped = w->cover->stopped = true;
    glp_ios_terminate(tree);
    return;
  }
  if (glp_ios_reason(tree) != GLP_ISELECT)
    return;
  int best = glp_ios_best_node(tree);
  if (best > 0)
    w->tree_bound = glp_ios_node_bound(tree, best);
  if (w->nodes++ < w->node_limit)
    return;
  w->stopped = true;
  glp_ios_terminate(tree);
}

/* What the integers say, made sure of by counting: each lot covered, no more machines and boxes than there
 * are. */
static bool take_cover(glp_prob *lp, covering_work *w) {
  pc_cover *c = w->cover;
  const pc_assign_problem *p = c->problem;
  uint64_t covered = 0;
  int machines[PC_FLEET_MAX] = {0}, boxes[PC_FLEET_MAX] = {0};
  c->picked_count = 0;
  for (size_t i = 0; i < w->count && c->picked_count < 2 * PC_LOTS_MAX; i++) {
    if (glp_mip_col_val(lp, (int)i + 1) < 0.5)
      continue;
    const pc_route_column *column = &c->pool->columns[w->columns[i]];
    covered |= column->lots;
    machines[p->units[column->unit].machine] += p->units[column->unit].together;
    boxes[p->units[column->unit].box] += p->units[column->unit].together;
    c->picked[c->picked_count++] = w->columns[i];
  }
  bool good = covered == (p->lot_count < 64 ? (UINT64_C(1) << p->lot_count) - 1 : UINT64_MAX);
  for (size_t m = 0; m < p->machine_kinds; m++)
    good = good && machines[m] <= p->machines[m];
  for (size_t b = 0; b < p->box_kinds; b++)
    good = good && boxes[b] <= p->boxes[b];
  return good;
}

static void search(glp_prob *lp, covering_work *w) {
  pc_cover *c = w->cover;
  glp_iocp how;
  glp_init_iocp(&how);
  how.msg_lev = GLP_MSG_OFF;
  how.cb_func = watch;
  how.cb_info = w;
  if (!c->weights)
    how.bt_tech = GLP_BT_DFS; /* the first cover is as good as any */
  for (size_t i = 0; i < w->count; i++)
    glp_set_col_kind(lp, (int)i + 1, GLP_BV);
  w->tree_bound = c->bound;
  int failed = glp_intopt(lp, &how);
  int found = glp_mip_status(lp);
  if (failed == 0 && found == GLP_NOFEAS) {
    c->covering = PC_UNCOVERABLE;
    return;
  }
  bool some = (found == GLP_OPT || found == GLP_FEAS) && take_cover(lp, w);
  c->covering = some ? PC_COVERED : PC_COVER_UNKNOWN;
  c->proven = some && found == GLP_OPT && !w->stopped;
  c->bound = c->proven ? glp_mip_obj_val(lp) : fmax(c->bound, w->tree_bound);
}

static void solve(void *context) {
  covering_work *w = context;
  pc_cover *c = w->cover;
  glp_prob *lp = glp_create_prob();
  glp_smcp how;
  glp_init_smcp(&how);
  how.msg_lev = GLP_MSG_OFF;
  add_rows(lp, c->problem);
  for (size_t i = 0; i < w->count; i++)
    add_column(lp, w, w->columns[i]);
  glp_scale_prob(lp, GLP_SF_AUTO);
  glp_adv_basis(lp, 0);
  int failed = glp_simplex(lp, &how), found = glp_get_status(lp);
  c->covering = PC_COVER_UNKNOWN;
  if (failed == 0 && found == GLP_NOFEAS)
    c->covering = PC_UNCOVERABLE;
  if (failed == 0 && found == GLP_OPT) {
    c->covering = PC_COVERED;
    c->bound = glp_get_obj_val(lp);
    if (!c->relaxed) {
      drop_hopeless(lp, w);
      /* the basis is no longer one if columns have gone */
      if (glp_simplex(lp, &how) == 0 && glp_get_status(lp) == GLP_OPT)
        search(lp, w);
      else
        c->covering = PC_COVER_UNKNOWN;
    }
  }
  glp_delete_prob(lp);
}

pc_status pc_cover_solve(pc_cover *cover) {
  const pc_assign_problem *p = cover->problem;
  size_t all = cover->pool->column_count;
  size_t room = (all > p->lot_count ? all : p->lot_count) + 4;
  covering_work w = {.cover = cover, .node_limit = p->node_limit > 0 ? p->node_limit : PC_ASSIGN_NODES};
  w.columns = pc_alloc(all, sizeof *w.columns);
  w.index = pc_alloc(room, sizeof *w.index);
  w.value = pc_alloc(room, sizeof *w.value);
  pc_status status = w.columns && w.index && w.value ? PC_OK : PC_ERR_MEMORY;
  for (size_t i = 0; i < all && status == PC_OK; i++)
    if (cover->pool->columns[i].end_s <= cover->limit_s)
      w.columns[w.count++] = i;
  cover->picked_count = 0;
  cover->stopped = false;
  cover->proven = false;
  cover->bound = -(double)INFINITY;
  cover->covering = PC_UNCOVERABLE;
  if (status == PC_OK && w.count > 0)
    status = guarded(solve, &w);
  free(w.columns);
  free(w.index);
  free(w.value);
  return status;
}

/* ---- the bound that needs no routes ---- */

typedef struct bound_work {
  const pc_assign_problem *problem;
  int *index;
  double *value;
  double bound;
} bound_work;

/* A lot's work and the least way to it. */
static double least_s(const pc_assign_problem *p, size_t unit, size_t lot) {
  double way = INFINITY;
  for (size_t from = 0; from <= p->lot_count; from++)
    if (from != lot + 1)
      way = fmin(way, pc_assign_travel(p, from, lot + 1));
  return way + pc_assign_work(p, unit, lot);
}

/* Least T so that the machine time of each kind of machine, and of box, is no more than its number times T.
 */
static void solve_bound(void *context) {
  bound_work *w = context;
  const pc_assign_problem *p = w->problem;
  glp_prob *lp = glp_create_prob();
  glp_smcp how;
  glp_init_smcp(&how);
  how.msg_lev = GLP_MSG_OFF;
  add_rows(lp, p);
  int t = glp_add_cols(lp, 1), n = 0;
  glp_set_col_bnds(lp, t, GLP_LO, 0.0, 0.0);
  glp_set_obj_coef(lp, t, 1.0);
  for (size_t k = 0; k < p->machine_kinds + p->box_kinds; k++) {
    w->index[++n] = (int)(p->lot_count + k) + 1;
    w->value[n] = -(k < p->machine_kinds ? p->machines[k] : p->boxes[k - p->machine_kinds]);
    glp_set_row_bnds(lp, (int)(p->lot_count + k) + 1, GLP_UP, 0.0, 0.0);
  }
  glp_set_mat_col(lp, t, n, w->index, w->value);
  for (size_t u = 0; u < p->unit_count; u++)
    for (size_t l = 0; l < p->lot_count; l++) {
      double time_s = least_s(p, u, l);
      if (isnan(time_s))
        continue;
      int j = glp_add_cols(lp, 1);
      glp_set_col_bnds(lp, j, GLP_LO, 0.0, 0.0);
      w->index[1] = (int)l + 1;
      w->value[1] = 1.0;
      w->index[2] = (int)(p->lot_count + p->units[u].machine) + 1;
      w->index[3] = (int)(p->lot_count + p->machine_kinds + p->units[u].box) + 1;
      w->value[2] = w->value[3] = time_s * p->units[u].together;
      glp_set_mat_col(lp, j, 3, w->index, w->value);
    }
  glp_adv_basis(lp, 0);
  if (glp_simplex(lp, &how) == 0 && glp_get_status(lp) == GLP_OPT)
    w->bound = glp_get_obj_val(lp) * (1.0 - close_enough);
  glp_delete_prob(lp);
}

/* No lot is done before the unit that is quickest there has come from the yard and cleared it. */
static double longest_lot_s(const pc_assign_problem *p) {
  double longest = 0.0;
  for (size_t l = 0; l < p->lot_count; l++) {
    double best = INFINITY;
    for (size_t u = 0; u < p->unit_count; u++)
      best = fmin(best, pc_assign_travel(p, 0, l + 1) + pc_assign_work(p, u, l));
    longest = fmax(longest, best);
  }
  return longest;
}

static double cheapest(const pc_assign_problem *p) {
  double sum = 0.0;
  for (size_t l = 0; l < p->lot_count; l++) {
    double best = INFINITY;
    for (size_t u = 0; u < p->unit_count; u++)
      best = fmin(best, p->units[u].cost_per_s * least_s(p, u, l) + pc_assign_extra(p, u, l));
    sum += best;
  }
  return sum;
}

pc_status pc_assign_bound(const pc_assign_problem *p, double *bound) {
  if (p->least == PC_LEAST_COST) {
    *bound = cheapest(p);
    return PC_OK;
  }
  size_t room = p->machine_kinds + p->box_kinds + 4;
  bound_work w = {
      .problem = p, .index = pc_alloc(room, sizeof *w.index), .value = pc_alloc(room, sizeof *w.value)};
  pc_status status = w.index && w.value ? guarded(solve_bound, &w) : PC_ERR_MEMORY;
  free(w.index);
  free(w.value);
  *bound = fmax(w.bound, longest_lot_s(p));
  return status;
}
