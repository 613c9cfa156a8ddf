// SPDX-License-Identifier: GPL-3.0-or-later
/* Growing text buffer, names, and the nearest known word. Thread-safe (arguments only). */
#ifndef PC_BASE_TEXT_H
#define PC_BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#include "base/export.h"

PC_BEGIN_C

enum { PC_NAME_MAX = 64, PC_NAME_ROOM = 144 };

/* A name given by the user: UTF-8, at most 63 bytes. What is made of several of them, as a mix of boxes
 * (sim/mix.h), is a name too, with more room: 143 bytes. */
typedef struct pc_name {
  char text[PC_NAME_ROOM];
} pc_name;

/* Copies; returns false (and copies nothing) if `text` is longer than 63 bytes. */
PC_API PC_MUST_USE bool pc_name_set(pc_name *name, const char *text);
/* Copies what fits into 63 bytes, on a UTF-8 boundary; for names in source code. */
PC_API pc_name pc_name_of(const char *text);
/* The same for what may be made of several names: 143 bytes. */
PC_API PC_MUST_USE bool pc_name_set_long(pc_name *name, const char *text);
PC_API pc_name pc_name_long_of(const char *text);
PC_API bool pc_name_is(const pc_name *name, const char *text);
/* Index of the first of `count` structs of `size` bytes that has this name; `count`: none has. Each begins
 * with its pc_name. */
PC_API size_t pc_name_find(const void *items, size_t count, size_t size, const char *name);

/* A list of names, in the order given. Zero-initialise; free with pc_names_free. */
typedef struct pc_names {
  pc_name *items;
  size_t count;
} pc_names;

PC_API void pc_names_free(pc_names *names);
/* True if `name` stands in the list. */
PC_API bool pc_names_have(const pc_names *names, const char *name);
/* True if it is the one word "all". */
PC_API bool pc_names_are_all(const pc_names *names);

/* Zero-initialise; free with pc_text_free. After a failed allocation `failed` is set and further
 * additions are ignored. `data` is always terminated once anything was added. */
typedef struct pc_text {
  char *data;
  size_t length, capacity;
  bool failed;
} pc_text;

/* Appends; what printf would print, for pc_text_addf. */
PC_API void pc_text_add(pc_text *text, const char *string);
/* Any bytes, zeros too: `length` counts them. */
PC_API void pc_text_add_bytes(pc_text *text, const void *bytes, size_t count);
PC_API void pc_text_addf(pc_text *text, const char *format, ...) PC_PRINTF(2, 3);
/* In quotes, so that YAML reads the string as it is, whatever it holds: in single ones, those within doubled,
 * or in double ones with escapes (\u0009) if it has line breaks or other characters that are not to be seen.
 * Only a byte that belongs to no UTF-8 becomes U+FFFD, as no YAML can hold it. */
PC_API void pc_text_add_quoted(pc_text *text, const char *string);
/* As one word for a POSIX shell, to be pasted: in double quotes, or in single ones if it holds what a shell
 * would expand between double ones. */
PC_API void pc_text_add_shell(pc_text *text, const char *string);
PC_API void pc_text_free(pc_text *text);

/* Bytes of the UTF-8 character (RFC 3629) that begins at `at`, of which there are `left` bytes; 0: none does
 * (overlong forms, surrogates and what lies beyond U+10FFFF are none), or the text ends there with a zero. A
 * text that ends with a zero has 4 bytes left anywhere. */
PC_API size_t pc_utf8_length(const char *at, size_t left);
/* True if it is UTF-8 on one line, without control characters: what a name may be. */
PC_API bool pc_is_line(const char *text);

/* The word in `words` (count of them) nearest to `word` by edit distance (two neighbours swapped count as
 * one slip), ignoring the case of ASCII letters; NULL if none is near enough to be a likely slip (distance ≤
 * 1 + length/4). */
PC_API const char *pc_nearest_word(const char *word, const char *const *words, size_t count);

PC_END_C

#endif
