// SPDX-License-Identifier: GPL-3.0-or-later
/* Internal: quantiles that are found without GSL's error handler, which ends the process. Not installed. */
#ifndef PC_STUDY_QUANTILE_PRIVATE_H
#define PC_STUDY_QUANTILE_PRIVATE_H

/* Student's t with `freedom` (>= 1) degrees of freedom; NaN unless 0 < share < 1, or where it is not found.
 */
double pc_t_quantile(double share, double freedom);

#endif
