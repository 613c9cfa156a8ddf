// SPDX-License-Identifier: GPL-3.0-or-later
/* Macros shared by every public header: symbol visibility, compiler checks, C linkage for C++. No
 * functions, so nothing about threads. */
#ifndef PC_BASE_EXPORT_H
#define PC_BASE_EXPORT_H

#if defined(__GNUC__)
#define PC_API __attribute__((visibility("default")))
#define PC_MUST_USE __attribute__((warn_unused_result))
#define PC_PRINTF(string, first) __attribute__((__format__(__printf__, string, first)))
#else
#define PC_API
#define PC_MUST_USE
#define PC_PRINTF(string, first)
#endif

/* Around the declarations of every public header. */
#ifdef __cplusplus
#define PC_BEGIN_C extern "C" {
#define PC_END_C }
#else
#define PC_BEGIN_C
#define PC_END_C
#endif

#endif
