// SPDX-License-Identifier: GPL-3.0-or-later
/* Everything of libpushcycle-io: scenario files in, results out. */
#ifndef PUSHCYCLE_IO_H
#define PUSHCYCLE_IO_H

#include "pushcycle.h"

#include "io/board.h"
#include "io/fleet.h"
#include "io/geojson.h"
#include "io/moved.h"
#include "io/pictures.h"
#include "io/place_write.h"
#include "io/plan_file.h"
#include "io/replay.h"
#include "io/results.h"
#include "io/run_text.h"
#include "io/scenario.h"
#include "io/schema.h"
#include "io/shards.h"
#include "io/starter.h"
#include "io/storm_csv.h"
#include "io/tables.h"
#include "io/tables_siting.h"
#include "io/timed_cycles_csv.h"
#include "io/trace_csv.h"
#include "io/tree.h"

#endif
