// SPDX-License-Identifier: GPL-3.0-or-later
/* Scenes shared by tests and benchmarks. */
#ifndef PC_TESTS_SCENE_H
#define PC_TESTS_SCENE_H

#include "sim/lot.h"

/* A rectangle with point zones, one kind of loader, no spill and no film, unless the caller changes it. */
pc_scenario scene_rectangle(double length_m, double width_m, const pc_point *zones, size_t zone_count);
/* The reference lot: 250 × 160 m, 10 kg/m², swath 4.5 m, 1,350 kg a load; zones: 1, 2, 3 or 5 of them. */
pc_scenario scene_reference(size_t zone_count, int machines, const char *policy);
/* 300 × 240 m with six zones and `count` parked vehicles: each by itself and turned at random, or in rows
 * of 25. */
pc_scenario scene_parked(size_t count, bool rows);

#endif
