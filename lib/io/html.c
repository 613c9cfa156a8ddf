// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/html.h"

#include <string.h>

#include "io/utf8.h"

void pc_html_add(pc_text *out, const char *text) {
  for (const char *at = text; *at;) {
    size_t length = pc_utf8_length(at, 4);
    unsigned char first = (unsigned char)*at;
    if (length == 0 || (first < 0x20 && !strchr("\t\n\r", *at)) || first == 0x7f)
      pc_text_add(out, PC_UTF8_REPLACEMENT);
    else if (strchr("&<>\"'", *at))
      pc_text_addf(out, "&#%d;", *at);
    else
      pc_text_add_bytes(out, at, length);
    at += length ? length : 1;
  }
}

/* After one of these comes an id, or a reference to one. */
static size_t id_mark(const char *at) {
  static const char *const marks[] = {"id=\"", "href=\"#", "url(#"};
  for (size_t i = 0; i < sizeof marks / sizeof marks[0]; i++)
    if (strncmp(at, marks[i], strlen(marks[i])) == 0)
      return strlen(marks[i]);
  return 0;
}

static void add_ids(pc_text *out, const char *svg, const char *prefix) {
  const char *from = svg;
  for (const char *at = svg; *at;) {
    size_t mark = id_mark(at);
    if (mark == 0) {
      at++;
      continue;
    }
    at += mark;
    pc_text_add_bytes(out, from, (size_t)(at - from));
    pc_text_add(out, prefix);
    from = at;
    /* "surface12": the number counts the surfaces of the process */
    if (strncmp(at, "surface", 7) == 0) {
      pc_text_add(out, "surface");
      at += 7 + strspn(at + 7, "0123456789");
      from = at;
    }
  }
  pc_text_add(out, from);
}

void pc_svg_tidy(const char *svg, const char *title, const char *prefix, pc_text *out) {
  const char *root = strstr(svg, "<svg");
  const char *end = root ? strchr(root, '>') : NULL;
  if (!end) { /* not what cairo writes */
    pc_text_add(out, svg);
    return;
  }
  if (!prefix)
    pc_text_add_bytes(out, svg, (size_t)(root - svg));
  pc_text_add(out, "<svg role=\"img\"");
  if (title)
    pc_text_addf(out, " aria-labelledby=\"%stitle\"", prefix ? prefix : "");
  pc_text_add_bytes(out, root + 4, (size_t)(end + 1 - root) - 4);
  if (title) {
    pc_text_addf(out, "\n<title id=\"%stitle\">", prefix ? prefix : "");
    pc_html_add(out, title);
    pc_text_add(out, "</title>");
  }
  add_ids(out, end + 1, prefix ? prefix : "");
}
