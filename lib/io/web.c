// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/web.h"

#include <string.h>

#include "gen/board_html.inc"
#include "gen/board_js.inc"
#include "gen/lot_js.inc"
#include "gen/night_js.inc"
#include "gen/page_css.inc"
#include "gen/replay_html.inc"
#include "gen/replay_js.inc"

enum { SCRIPTS_MAX = 3 };

typedef struct script {
  const char *text, *sha256;
} script;

typedef struct page {
  const char *title, *body;
  const char *connect; /* what its scripts may ask for */
  script scripts[SCRIPTS_MAX];
} page;

static const page pages[] = {
    [PC_WEB_REPLAY] = {"pushcycle replay",
                       replay_html,
                       "",
                       {{lot_js, lot_js_sha256}, {night_js, night_js_sha256}, {replay_js, replay_js_sha256}}},
    [PC_WEB_BOARD] = {"pushcycle board",
                      board_html,
                      "connect-src 'self'; ",
                      {{lot_js, lot_js_sha256}, {board_js, board_js_sha256}, {NULL, NULL}}},
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
  pc_text_add(out, "default-src 'none'; script-src");
  for (size_t i = 0; i < SCRIPTS_MAX && made->scripts[i].text; i++)
    pc_text_addf(out, " 'sha256-%s'", made->scripts[i].sha256);
  pc_text_addf(out, "; style-src 'sha256-%s'; %sbase-uri 'none'; form-action 'none'", page_css_sha256,
               made->connect);
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
  pc_text_add(out, "</script>\n");
  for (size_t i = 0; i < SCRIPTS_MAX && made->scripts[i].text; i++)
    pc_text_addf(out, "<script>%s</script>\n", made->scripts[i].text);
  pc_text_add(out, "</body>\n</html>\n");
}
