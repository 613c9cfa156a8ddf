// SPDX-License-Identifier: GPL-3.0-or-later
/* Markup: text made safe for it, and SVG made fit for a page. Internal to lib/io. Failures: only memory; then
 * out->failed is set. */
#ifndef PC_IO_HTML_H
#define PC_IO_HTML_H

#include "base/text.h"

/* Any text as character data or as the value of a quoted attribute: & < > " ' become references, bytes that
 * are no UTF-8 and control characters that XML does not allow become U+FFFD. */
void pc_html_add(pc_text *out, const char *text);

/* The SVG that cairo wrote, with a title, and with ids that neither hang on what else the process has drawn
 * nor, with a prefix, meet those of other pictures on the same page. With a prefix it is without the XML
 * declaration, too. */
void pc_svg_tidy(const char *svg, const char *title, const char *prefix, pc_text *out);

#endif
