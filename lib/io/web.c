// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/web.h"

#include <string.h>

#include "gen/board_html.inc"
#include "gen/board_js.inc"
#include "gen/lot_js.inc"
#include "gen/page_css.inc"
#include "gen/replay_html.inc"
#include "gen/replay_js.inc"

typedef struct page {
  const char *title, *body, *script, *script_sha256;
  const char *connect; /* what its scripts may ask for */
} page;

static const page pages[] = {
    [PC_WEB_REPLAY] = {"pushcycle replay", replay_html, replay_js, replay_js_sha256, ""},
    [PC_WEB_BOARD] = {"pushcycle board", board_html, board_js, board_js_sha256, "connect-src 'self'; "},
};

/* In JSON "<" only stands in strings, where it may be written in another way: so nothing in a name can end
 * the block. */
static void add_data(const char *json, pc_text *out) {
  for (const char *at = json; *at;) {
    size_t plain = strcspn(at, "<");
    pc_text_addf(out, "%.*s", (int)plain, at);
    at += plain;
    if (*at == '<') {
      pc_text_add(out, "\\u003c");
      at++;
    }
  }
}

void pc_web_policy(pc_web_kind kind, pc_text *out) {
  const page *made = &pages[kind];
  pc_text_addf(
      out,
      "default-src 'none'; script-src 'sha256-%s' 'sha256-%s'; style-src 'sha256-%s'; %sbase-uri 'none'; "
      "form-action 'none'",
      lot_js_sha256, made->script_sha256, page_css_sha256, made->connect);
}

void pc_web_page(pc_web_kind kind, const char *json, pc_text *out) {
  const page *made = &pages[kind];
  pc_text_add(out,
              "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
              "<meta http-equiv=\"Content-Security-Policy\" content=\"");
  pc_web_policy(kind, out);
  pc_text_addf(out,
               "\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
               "<title>%s</title>\n",
               made->title);
  pc_text_addf(out, "<style>%s</style>\n</head>\n<body>\n%s", page_css, made->body);
  pc_text_add(out, "<script type=\"application/json\" id=\"data\">");
  add_data(json, out);
  pc_text_addf(out, "</script>\n<script>%s</script>\n<script>%s</script>\n</body>\n</html>\n", lot_js,
               made->script);
}
