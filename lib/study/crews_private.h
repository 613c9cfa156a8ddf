// SPDX-License-Identifier: GPL-3.0-or-later
/* What is said of a crew, shared by those who say it; not installed. */
#ifndef PC_STUDY_CREWS_PRIVATE_H
#define PC_STUDY_CREWS_PRIVATE_H

#include "sim/lot.h"

/* The same loader with the same box, for the same areas: where one of two such has more to spare, that is how
 * the last loads fell. */
bool pc_same_kind(const pc_lot *lot, const pc_lot_machine *a, const pc_lot_machine *b);

#endif
