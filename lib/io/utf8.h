// SPDX-License-Identifier: GPL-3.0-or-later
/* UTF-8 (RFC 3629). Internal to lib/io; pure functions. */
#ifndef PC_IO_UTF8_H
#define PC_IO_UTF8_H

#include "base/text.h"

#define PC_UTF8_REPLACEMENT "\xEF\xBF\xBD" /* U+FFFD */

/* Adds the text as one line of well-formed UTF-8: control characters become a space, what is no UTF-8
 * U+FFFD. */
void pc_utf8_add_line(pc_text *out, const char *text);
/* The text, or as many of its first characters as make `most` with an ellipsis in place of the rest. */
void pc_utf8_add_short(pc_text *out, const char *text, size_t most);

#endif
