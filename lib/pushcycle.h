// SPDX-License-Identifier: GPL-3.0-or-later
/* Everything of libpushcycle: the simulator and the studies made with it. Reading and writing files is
 * pushcycle-io.h. */
#ifndef PUSHCYCLE_H
#define PUSHCYCLE_H

#include "base/export.h"
#include "base/fields.h"
#include "base/memory.h"
#include "base/parallel.h"
#include "base/random.h"
#include "base/status.h"
#include "base/sum.h"
#include "base/text.h"
#include "base/units.h"
#include "base/version.h"
#include "machine/box.h"
#include "machine/loader.h"
#include "machine/snow.h"
#include "sim/engine.h"
#include "sim/lot.h"
#include "sim/policy.h"
#include "sim/queue.h"
#include "sim/result.h"
#include "sim/run.h"
#include "sim/scenario.h"
#include "sim/trace.h"
#include "site/faces.h"
#include "site/geometry.h"
#include "site/ground.h"
#include "site/piles.h"
#include "site/routes.h"
#include "site/site.h"
#include "site/siting.h"
#include "site/slow.h"
#include "study/bound.h"
#include "study/compare.h"
#include "study/crews.h"
#include "study/depths.h"
#include "study/heading.h"
#include "study/limits.h"
#include "study/replicate.h"

#endif
