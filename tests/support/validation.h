// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Checks against values from outside the project, which docs/validation.md lists: with PC_VALIDATION=FILE in
 * the environment each of them adds a line to that file. `make validation` writes the page.
 */
#ifndef PC_TESTS_VALIDATION_H
#define PC_TESTS_VALIDATION_H

/* Fails the test unless |got − expected| ≤ slack. `source` says where the expected value comes from (title,
 * and "from memory" or "computed from its formula" where that is so), `what` what it is, with its unit. */
void assert_published(const char *source, const char *what, double got, double expected, double slack);

#endif
