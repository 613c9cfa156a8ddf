// SPDX-License-Identifier: GPL-3.0-or-later
/* Values from the command line, put into the tree before it is read. */
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/geojson_private.h"
#include "io/tree_private.h"

typedef struct setting {
  pc_tree *tree;
  pc_reader *reader;
  const char *source;
  const char *path; /* whole, for messages */
} setting;

/* Where and what a fault of an override is: it stands in no file. */
static pc_status fail(const setting *set, pc_status status, const char *value, const char *message) {
  pc_error error;
  (void)pc_error_set(&error, status, set->path, value, "%s", message);
  snprintf(error.file, sizeof error.file, "%s", set->source);
  pc_tree_push_fault(set->reader->faults, &error);
  return status;
}

static void add_entries(const pc_node *list, bool numbered, pc_text *out) {
  pc_text_addf(out, "%zu: ", list->count);
  for (const pc_node *entry = list->first; entry && out->length <= PC_MESSAGE_MAX; entry = entry->next) {
    const pc_node *name = pc_node_get(entry, "name");
    bool named = name && name->kind == PC_NODE_SCALAR;
    pc_text_add(out, entry == list->first ? "" : ", ");
    if (numbered)
      pc_text_addf(out, "[%zu]%s", entry->index, named ? " or " : "");
    if (named)
      pc_text_addf(out, "[%s]", name->text);
  }
}

/* `more`: what the map has of the list, by name only; NULL: nothing. */
static void fail_entry(const setting *set, const pc_node *list, const char *wanted, const pc_node *more) {
  char path[PC_KEY_MAX];
  (void)pc_node_path(list, path, sizeof path);
  pc_text message = {0};
  if (list->kind != PC_NODE_LIST)
    pc_text_addf(&message, "\"%s\" is not a list, so it has no entry [%s]", path, wanted);
  else
    pc_text_addf(&message, "the list \"%s\" has no entry [%s]; it has %s", path, wanted,
                 list->count ? "" : "none at all");
  if (list->kind == PC_NODE_LIST && list->count > 0)
    add_entries(list, true, &message);
  if (more && more->count > 0) {
    pc_text_add(&message, "; and from the map ");
    add_entries(more, false, &message);
  }
  (void)fail(set, PC_ERR_NAME, wanted, message.data ? message.data : "there is no such entry");
  pc_text_free(&message);
}

/* Results call the second area without a name "area 2". */
static bool is_called(const pc_node *entry, const char *usual, const char *wanted) {
  const pc_node *name = pc_node_get(entry, "name");
  char text[PC_KEY_MAX];
  if (name)
    return name->kind == PC_NODE_SCALAR && strcmp(name->text, wanted) == 0;
  (void)snprintf(text, sizeof text, "%s %zu", usual ? usual : "", entry->index + 1);
  return usual && strcmp(text, wanted) == 0;
}

static bool is_number(const char *wanted) {
  size_t digits = strspn(wanted, "0123456789");
  return digits > 0 && wanted[digits] == '\0' && digits < 10;
}

/* Entry of a list by its number or its name. */
static pc_node *find_entry(const pc_node *list, const char *wanted) {
  if (is_number(wanted))
    return pc_node_at(list, (size_t)strtoul(wanted, NULL, 10));
  char path[PC_KEY_MAX];
  (void)pc_node_path(list, path, sizeof path);
  const pc_part *part = pc_format_part(path);
  for (pc_node *entry = list->kind == PC_NODE_LIST ? list->first : NULL; entry; entry = entry->next)
    if (is_called(entry, part ? part->usual_name : NULL, wanted))
      return entry;
  return NULL;
}

typedef struct step {
  char text[PC_KEY_MAX];
  bool is_entry; /* of a list: the text stood in brackets */
} step;

/* Takes the next step off *rest; false if the path is not well formed. */
static bool next_step(const char **rest, step *out) {
  const char *at = *rest;
  out->is_entry = *at == '[';
  at += out->is_entry;
  size_t length = strcspn(at, out->is_entry ? "]" : ".[]");
  if (length == 0 || length >= sizeof out->text || (out->is_entry && at[length] != ']'))
    return false;
  memcpy(out->text, at, length);
  out->text[length] = '\0';
  at += length + out->is_entry;
  if (*at == '.' && at[1] != '\0' && at[1] != '.' && at[1] != '[')
    at++;
  else if (*at != '\0' && *at != '[')
    return false;
  *rest = at;
  return true;
}

/* The value of a key, made if there is none. */
static pc_node *enter_key(const setting *set, pc_node *node, const char *key, const char *rest) {
  if (pc_node_is_empty(node))
    node->kind = PC_NODE_MAP;
  if (node->kind != PC_NODE_MAP) {
    char path[PC_KEY_MAX], message[PC_MESSAGE_MAX];
    (void)pc_node_path(node, path, sizeof path);
    snprintf(message, sizeof message, "\"%s\" is not a map, so it has no key \"%s\"", path, key);
    (void)fail(set, PC_ERR_KEY, NULL, message);
    return NULL;
  }
  pc_node *next = pc_node_get(node, key);
  if (next)
    return next;
  if (strchr(rest, '[')) {
    (void)fail(set, PC_ERR_NAME, NULL, "leads to nothing: the scenario has no such list");
    return NULL;
  }
  if (node->count >= PC_TREE_KEYS_MAX) {
    (void)fail(set, PC_ERR_LIMIT, NULL, "a map may have at most 256 keys");
    return NULL;
  }
  next = pc_tree_add_map(set->tree, node, key, set->source);
  if (!next)
    set->reader->no_memory = true;
  return next;
}

/* The node that the path leads to, or NULL after a fault. */
static pc_node *walk(const setting *set) {
  pc_node *node = pc_tree_root(set->tree);
  const char *rest = set->path;
  while (*rest && node) {
    step now;
    if (!next_step(&rest, &now)) {
      (void)fail(set, PC_ERR_SYNTAX, NULL,
                 "is not a path: write it as snow.depth, boxes[0].width or zones[west].berths");
      return NULL;
    }
    if (!now.is_entry) {
      node = enter_key(set, node, now.text, rest);
    } else {
      pc_node *entry = find_entry(node, now.text);
      if (!entry)
        fail_entry(set, node, now.text, NULL);
      node = entry;
    }
  }
  return node;
}

/* Names in brackets may hold anything but the bracket that closes them. */
static size_t path_depth(const char *path) {
  size_t depth = 1;
  bool inside = false;
  for (; *path; path++) {
    depth += !inside && (*path == '.' || *path == '[');
    inside = *path == '[' ? true : *path == ']' ? false : inside;
  }
  return depth;
}

/* YAML faults in the value are told under the path of the override. */
static pc_node *parse_value(const setting *set, const char *value) {
  pc_faults found = pc_faults_like(set->reader->faults);
  pc_node *node = NULL;
  pc_status status = pc_tree_parse_value(set->tree, set->source, value, &node, &found);
  for (size_t i = 0; i < found.count; i++) {
    pc_error error = found.items[i];
    snprintf(error.key, sizeof error.key, "%s", set->path);
    pc_tree_push_fault(set->reader->faults, &error);
  }
  set->reader->no_memory |= found.dropped > 0 || status == PC_ERR_MEMORY;
  pc_faults_free(&found);
  return node;
}

static void put(const setting *set, const char *value) {
  pc_node *node = walk(set);
  if (!node)
    return;
  const pc_node *parsed = parse_value(set, value);
  if (parsed) {
    pc_node_replace(node, parsed);
    return;
  }
  char path[PC_KEY_MAX];
  (void)pc_node_path(node, path, sizeof path);
  node->faulty = true; /* told already */
  pc_reader_note(set->reader, path);
}

/* ---- what the map of the lot holds ---- */

/* "zones[2].height": the list, as its place among those that a map fills, the entry, and what follows it;
 * false for any other path. */
static bool read_map_path(const char *path, pc_geojson_list *list, step *entry, const char **rest) {
  for (int l = 0; l < PC_GEOJSON_LIST_COUNT; l++) {
    size_t length = strlen(pc_geojson_list_keys[l]);
    if (strncmp(path, pc_geojson_list_keys[l], length) != 0 || path[length] != '[')
      continue;
    *list = (pc_geojson_list)l;
    *rest = path + length;
    return next_step(rest, entry);
  }
  return false;
}

/* A list of the scenario's own that has entries, or something else that stands in its place; else NULL. */
static const pc_node *own_list(const pc_tree *tree, pc_geojson_list list) {
  bool exact;
  const pc_node *node = pc_tree_find(tree, pc_geojson_list_keys[list], &exact);
  return exact && !pc_node_is_empty(node) && (node->kind != PC_NODE_LIST || node->count > 0) ? node : NULL;
}

/* True if what the path leads to is not in the scenario, but may be in its map. */
static bool may_be_of_map(const setting *set) {
  pc_geojson_list list;
  step entry;
  const char *rest;
  if (!read_map_path(set->path, &list, &entry, &rest))
    return false;
  const pc_node *own = own_list(set->tree, list);
  return !own || (own->kind == PC_NODE_LIST && !find_entry(own, entry.text));
}

/* Numbers are those of the scenario's own list where it has one, so that they stay what they are. */
static void put_into_map(const setting *set, const char *value) {
  pc_geojson_list list;
  step entry, key = {.text = ""};
  const char *rest, *after;
  bool exact;
  if (!read_map_path(set->path, &list, &entry, &rest))
    return;
  const pc_node *own = own_list(set->reader->tree, list);
  const pc_node *things = pc_tree_find(set->tree, pc_geojson_list_keys[list], &exact);
  if ((own && is_number(entry.text)) || !find_entry(things, entry.text)) {
    fail_entry(set, own ? own : things, entry.text, own ? things : NULL);
    return;
  }
  after = rest;
  bool has_key = *rest && next_step(&after, &key);
  if (!*rest)
    (void)fail(set, PC_ERR_KEY, NULL, "comes from the map of the lot: set its keys one by one");
  else if (has_key && (strcmp(key.text, "outline") == 0 || strcmp(key.text, "at") == 0))
    (void)fail(set, PC_ERR_KEY, NULL, "is drawn in the map of the lot: move it there, not here");
  else
    put(set, value);
}

static pc_node *add_node(pc_tree *tree, pc_node *parent, pc_node_kind kind, const char *key,
                         const char *text) {
  pc_node *node = pc_tree_new_node(tree, kind, NULL);
  const char *key_copy = key ? pc_tree_copy_text(tree, key, strlen(key)) : NULL;
  const char *text_copy = pc_tree_copy_text(tree, text, strlen(text));
  if (!node || !text_copy || (key && !key_copy))
    return NULL;
  node->key = key_copy;
  node->text = text_copy;
  if (parent)
    pc_node_append(parent, node);
  else
    pc_tree_set_root(tree, node);
  return node;
}

/* The map's things with nothing but their names, in the shape of a scenario. NULL if memory is short. */
static pc_tree *make_map_tree(const pc_geojson *map) {
  pc_tree *tree = pc_tree_create();
  pc_node *root = tree ? add_node(tree, NULL, PC_NODE_MAP, NULL, "") : NULL;
  pc_node *site = root ? add_node(tree, root, PC_NODE_MAP, "site", "") : NULL;
  bool good = site != NULL;
  for (int l = 0; l < PC_GEOJSON_LIST_COUNT && good; l++) {
    const char *dot = strchr(pc_geojson_list_keys[l], '.');
    pc_node *list =
        add_node(tree, dot ? site : root, PC_NODE_LIST, dot ? dot + 1 : pc_geojson_list_keys[l], "");
    good = list != NULL;
    for (size_t i = 0; good && i < pc_geojson_count(map, (pc_geojson_list)l); i++) {
      const pc_name *name = pc_geojson_entry(map, (pc_geojson_list)l, i);
      pc_node *entry = add_node(tree, list, PC_NODE_MAP, NULL, "");
      good = entry && add_node(tree, entry, PC_NODE_SCALAR, "name", name->text);
    }
  }
  if (good)
    return tree;
  pc_tree_free(tree);
  return NULL;
}

/* Reads what was set of the things of one list; faults say which feature it is. */
static void read_things(pc_reader *reader, pc_geojson *map, pc_geojson_list list) {
  bool exact;
  const pc_node *things = pc_tree_find(reader->map_tree, pc_geojson_list_keys[list], &exact);
  const pc_part *part = pc_format_part(pc_geojson_list_keys[list]);
  pc_faults *all = reader->faults;
  for (const pc_node *entry = things->first; entry; entry = entry->next) {
    void *thing = pc_geojson_entry(map, list, entry->index);
    const pc_name name = *(const pc_name *)thing;
    pc_faults found = pc_faults_like(all);
    reader->faults = &found;
    pc_reader_over(reader, entry, part, thing);
    reader->faults = all;
    for (size_t i = 0; i < found.count; i++) {
      pc_geojson_sign(&found.items[i], name.text);
      pc_tree_push_fault(all, &found.items[i]);
    }
    reader->no_memory |= found.dropped > 0;
    pc_faults_free(&found);
  }
}

const pc_node *pc_overrides_find_map(const pc_reader *scenario, const char *key) {
  bool exact;
  const pc_node *node = scenario && scenario->map_tree ? pc_tree_find(scenario->map_tree, key, &exact) : NULL;
  return node && node->file ? node : NULL; /* what the map itself holds stands in no file here */
}

bool pc_overrides_told_map(const pc_reader *scenario, const pc_error *error) {
  return pc_overrides_find_map(scenario, error->key) &&
         pc_reader_is_noted(scenario, error->key, error->status);
}

/* ---- all of them ---- */

static void apply(const setting *set, const char *value, bool keeps, const pc_override *override) {
  if (set->path[0] == '\0') {
    (void)fail(set, PC_ERR_SYNTAX, value, "a path is missing before the \"=\"");
  } else if (path_depth(set->path) >= PC_TREE_DEPTH_MAX / 2) {
    (void)fail(set, PC_ERR_LIMIT, NULL, "has too many steps");
  } else if (set->tree == set->reader->map_tree) {
    put_into_map(set, value);
  } else if (keeps && may_be_of_map(set)) {
    void *kept = set->reader->kept;
    if (pc_reserve(&kept, &set->reader->kept_capacity, set->reader->kept_count + 1, sizeof override) != 0) {
      set->reader->no_memory = true;
      return;
    }
    set->reader->kept = kept;
    set->reader->kept[set->reader->kept_count++] = override;
  } else {
    put(set, value);
  }
}

/* The first "=" that is not inside brackets: a name in brackets may have one. */
static const char *find_equals(const char *text) {
  bool inside = false;
  for (; *text; text++) {
    inside = *text == '[' ? true : *text == ']' ? false : inside;
    if (*text == '=' && !inside)
      return text;
  }
  return NULL;
}

static void apply_one(pc_tree *tree, const pc_override *override, bool keeps, pc_reader *reader) {
  setting set = {.tree = tree,
                 .reader = reader,
                 .source = override->source ? override->source : "--set",
                 .path = override->path};
  if (override->value) {
    apply(&set, override->value, keeps, override);
    return;
  }
  const char *equals = find_equals(override->path);
  if (!equals) {
    (void)fail(&set, PC_ERR_SYNTAX, NULL, "needs a value: write KEY.PATH=VALUE");
    return;
  }
  char *path = pc_copy(override->path, (size_t)(equals - override->path) + 1, 1);
  if (!path) {
    reader->no_memory = true;
    return;
  }
  path[equals - override->path] = '\0';
  set.path = path;
  apply(&set, equals + 1, keeps, override);
  free(path);
}

void pc_overrides_apply(pc_tree *tree, const pc_override *overrides, size_t count, pc_reader *reader) {
  for (size_t i = 0; i < count; i++)
    apply_one(tree, &overrides[i], true, reader);
  if (pc_node_get(pc_node_get(pc_tree_root(tree), "site"), "file"))
    return;
  for (size_t i = 0; i < reader->kept_count; i++) /* no map: so they lead to nothing */
    apply_one(tree, reader->kept[i], false, reader);
  reader->kept_count = 0;
}

void pc_overrides_apply_map(pc_reader *scenario, pc_geojson *map) {
  if (scenario->kept_count == 0)
    return;
  scenario->map_tree = make_map_tree(map);
  if (!scenario->map_tree) {
    scenario->no_memory = true;
    return;
  }
  for (size_t i = 0; i < scenario->kept_count; i++)
    apply_one(scenario->map_tree, scenario->kept[i], false, scenario);
  for (int l = 0; l < PC_GEOJSON_LIST_COUNT; l++)
    read_things(scenario, map, (pc_geojson_list)l);
}

void pc_overrides_free(pc_reader *reader) {
  free(reader->kept);
  pc_tree_free(reader->map_tree);
}
