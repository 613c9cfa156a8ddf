// SPDX-License-Identifier: GPL-3.0-or-later
/* Everything of libpushcycle: the simulator and the studies made with it. Reading and writing files is
 * pushcycle-io.h.
 *
 * What holds everywhere, of both libraries: functions whose name ends in _free do nothing with NULL. A
 * pointer may else be NULL only where it is said, a list of faults nowhere: cautions go there, too, although
 * PC_OK is returned. Lists and texts that are added to (pc_faults, pc_text, …) begin zero-initialised; what a
 * function makes or fills afresh need not, and is there to be freed, or empty, after a failure as well.
 * Functions of the program that are called back (traces, watches, policies, sources, …) must return: they
 * must not leave by an exception or a jump, which would pass by what the library has to release. */
#ifndef PUSHCYCLE_H
#define PUSHCYCLE_H

#include "base/clock.h"
#include "base/export.h"
#include "base/fields.h"
#include "base/memory.h"
#include "base/origins.h"
#include "base/parallel.h"
#include "base/random.h"
#include "base/status.h"
#include "base/sum.h"
#include "base/text.h"
#include "base/units.h"
#include "base/version.h"
#include "base/watch.h"
#include "machine/box.h"
#include "machine/loader.h"
#include "machine/snow.h"
#include "sim/engine.h"
#include "sim/lot.h"
#include "sim/mix.h"
#include "sim/plan.h"
#include "sim/policy.h"
#include "sim/queue.h"
#include "sim/result.h"
#include "sim/run.h"
#include "sim/scenario.h"
#include "sim/trace.h"
#include "site/geometry.h"
#include "site/ground.h"
#include "site/piles.h"
#include "site/site.h"
#include "site/siting.h"
#include "site/slow.h"
#include "site/way_place.h"
#include "study/assign.h"
#include "study/bound.h"
#include "study/compare.h"
#include "study/crews.h"
#include "study/crossings.h"
#include "study/depths.h"
#include "study/ends.h"
#include "study/first_night.h"
#include "study/fit.h"
#include "study/heading.h"
#include "study/limits.h"
#include "study/order.h"
#include "study/place.h"
#include "study/plan_search.h"
#include "study/pmedian.h"
#include "study/replicate.h"
#include "study/season.h"
#include "study/select.h"
#include "study/sensitivity.h"
#include "study/transport.h"

#endif
