// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Pages for a browser: one HTML document each, with its styles, scripts and data inside and a content
 * security policy that lets nothing else in. The sources lie in lib/io/web and are built into the library.
 *
 * Data are a JSON text in a block of their own, where nothing is run and no tag can end it early; scripts put
 * every name on the page as text, never as markup. Failures: *text.failed. Thread-safe (arguments only).
 */
#ifndef PC_IO_WEB_H
#define PC_IO_WEB_H

#include "base/text.h"

typedef enum pc_web_kind { PC_WEB_REPLAY, PC_WEB_BOARD } pc_web_kind;

/* The content security policy of a page. */
void pc_web_policy(pc_web_kind kind, pc_text *out);
void pc_web_page(pc_web_kind kind, const char *json, pc_text *out);

#endif
