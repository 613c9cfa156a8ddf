// SPDX-License-Identifier: GPL-3.0-or-later
/* Which files a scenario names, found also where it is faulty: whoever writes a file beside it must not take
 * one of them for his own. A name too many does no harm there; one too few might. */
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/reader.h"
#include "io/scenario.h"
#include "io/tree_private.h"

enum { NAME_BYTES_MAX = 4096 };

typedef struct finder {
  pc_origins *files;
  const char *path; /* of the scenario, or NULL */
} finder;

/* Notes the name, as seen from the scenario if it stands there. */
static void note(const finder *find, bool beside, const char *key, const char *name, size_t length) {
  const char *slash = beside && find->path && *name != '/' ? strrchr(find->path, '/') : NULL;
  pc_text path = {0};
  if (slash)
    pc_text_add_bytes(&path, find->path, (size_t)(slash - find->path) + 1);
  pc_text_add_bytes(&path, name, length);
  if (path.failed)
    find->files->failed = true;
  else
    pc_origins_note_file(find->files, key, path.data);
  pc_text_free(&path);
}

/* ---- what the tree says ---- */

static void note_node(const finder *find, const char *key, const pc_node *node) {
  if (node && node->kind == PC_NODE_SCALAR && node->text[0] != '\0')
    note(find, node->line > 0, key, node->text, strlen(node->text));
}

static pc_status by_tree(const finder *find, const char *text, size_t length, const pc_override *overrides,
                         size_t override_count) {
  pc_faults told = {0}; /* elsewhere */
  pc_tree *tree = NULL;
  pc_status status = pc_tree_parse("", text, length, &tree, &told);
  if (tree) {
    pc_reader reader = {.tree = tree, .faults = &told, .unit_m = 1};
    pc_overrides_apply(tree, overrides, override_count, &reader);
    note_node(find, "storm_file", pc_node_get(pc_tree_root(tree), "storm_file"));
    note_node(find, "site.file", pc_node_get(pc_node_get(pc_tree_root(tree), "site"), "file"));
    find->files->failed |= reader.no_memory;
    free(reader.slips);
    pc_overrides_free(&reader);
    pc_tree_free(tree);
  }
  pc_faults_free(&told);
  return status == PC_ERR_MEMORY ? status : PC_OK;
}

/* ---- what the text says, be it YAML or not ---- */

static const char *skip(const char *at, const char *end, const char *these) {
  while (at < end && strchr(these, *at))
    at++;
  return at;
}

/* The key is storm_file or file of the site: which, depends on what stands before it. */
static const char *key_before(const char *start, const char *at) {
  static const char name[] = "file", whole[] = "storm_file";
  const size_t length = sizeof name - 1, most = sizeof whole - 1;
  while (at > start && strchr(" \t\"'", at[-1]))
    at--;
  if ((size_t)(at - start) < length || memcmp(at - length, name, length) != 0)
    return NULL;
  bool storm = (size_t)(at - start) >= most && memcmp(at - most, whole, most) == 0;
  return storm ? "storm_file" : "site.file";
}

/* A bare name may end at the end of its line, or before a comment, a comma or a bracket: each is noted. */
static void note_bare(const finder *find, bool beside, const char *key, const char *at, const char *end) {
  const char *stop = at;
  while (stop < end && stop - at < NAME_BYTES_MAX) {
    while (stop < end && !strchr(",}]#\r\n", *stop))
      stop++;
    const char *last = stop;
    while (last > at && strchr(" \t", last[-1]))
      last--;
    if (last > at)
      note(find, beside, key, at, (size_t)(last - at));
    if (stop == end || *stop == '\n' || *stop == '\r')
      return;
    stop++;
  }
}

static void note_value(const finder *find, bool beside, const char *key, const char *at, const char *end) {
  at = skip(at, end, " \t\r\n");
  if (at == end)
    return;
  if (*at != '"' && *at != '\'') {
    note_bare(find, beside, key, at, end);
    return;
  }
  const char *close = memchr(at + 1, *at, (size_t)(end - at) - 1);
  if (close && close > at + 1 && close - at < NAME_BYTES_MAX)
    note(find, beside, key, at + 1, (size_t)(close - at) - 1);
}

static void by_text(const finder *find, bool beside, const char *text, size_t length) {
  const char *end = text + length;
  for (const char *at = text; at < end; at++) {
    const char *key = *at == ':' || *at == '=' ? key_before(text, at) : NULL;
    if (key)
      note_value(find, beside, key, at + 1, end);
  }
}

/* Text of two bytes a letter is text of one here, without its zeros. */
static bool without_zeros(const char *text, size_t length, pc_text *out) {
  for (size_t i = 0; i < length; i++) {
    const char *zero = memchr(text + i, '\0', length - i);
    size_t run = zero ? (size_t)(zero - text) - i : length - i;
    pc_text_add_bytes(out, text + i, run);
    i += run;
  }
  return !out->failed;
}

pc_status pc_scenario_files(const char *path, const char *text, size_t length, const pc_override *overrides,
                            size_t override_count, pc_origins *files) {
  const finder find = {files, path};
  pc_text plain = {0};
  pc_status status = by_tree(&find, text, length, overrides, override_count);
  files->failed |= !without_zeros(text, length, &plain);
  if (plain.data)
    by_text(&find, true, plain.data, plain.length);
  pc_text_free(&plain);
  for (size_t i = 0; i < override_count; i++) {
    pc_text whole = {0};
    pc_text_addf(&whole, "%s%s%s", overrides[i].path, overrides[i].value ? "=" : "",
                 overrides[i].value ? overrides[i].value : "");
    files->failed |= whole.failed;
    if (whole.data)
      by_text(&find, false, whole.data, whole.length);
    pc_text_free(&whole);
  }
  return files->failed ? PC_ERR_MEMORY : status;
}
