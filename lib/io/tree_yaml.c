// SPDX-License-Identifier: GPL-3.0-or-later
/* Builds the tree from libyaml's events. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <yaml.h>

#include "base/memory.h"
#include "base/text.h"
#include "io/tree_private.h"

typedef struct frame {
  pc_node *node;
  const char *key; /* of a map: the key whose value is due, or NULL */
  int key_line, key_column;
  bool has_key;  /* a key was read (it may be one that cannot be used) */
  bool detached; /* the value that is due belongs nowhere: its key is a fault */
} frame;

typedef struct builder {
  pc_tree *tree;
  pc_faults *faults;
  const char *file;
  bool placed; /* false: the text stands in no file, so lines and columns are 0 */
  pc_node *root;
  frame frames[PC_TREE_DEPTH_MAX];
  size_t depth;
  size_t documents;
  pc_status status; /* of a fault after which there is nothing to go on with */
} builder;

static int line_of(const builder *b, const yaml_mark_t *mark) {
  return b->placed ? (int)mark->line + 1 : 0;
}

static int column_of(const builder *b, const yaml_mark_t *mark) {
  return b->placed ? (int)mark->column + 1 : 0;
}

/* A fault at a mark, under the path of `node` (may be NULL). */
static pc_status fault(builder *b, pc_status status, const yaml_mark_t *mark, const pc_node *node,
                       const char *value, const char *message) {
  char path[2 * PC_KEY_MAX] = "";
  if (node)
    (void)pc_node_path(node, path, sizeof path);
  pc_error error;
  (void)pc_error_set(&error, status, path, value, "%s", message);
  pc_error_place(&error, b->file, line_of(b, mark), column_of(b, mark));
  pc_tree_push_fault(b->faults, &error);
  return status;
}

static pc_status no_memory(builder *b, const yaml_mark_t *mark) {
  return b->status = fault(b, PC_ERR_MEMORY, mark, NULL, NULL, "there is not enough memory to read this");
}

static bool has_control_character(const char *text, size_t length) {
  for (size_t i = 0; i < length; i++)
    if ((unsigned char)text[i] < 0x20 || text[i] == 0x7F)
      return true;
  return false;
}

/* Makes a node for the value that is due now and hangs it in its place. NULL after a fatal fault. */
static pc_node *add_node(builder *b, pc_node_kind kind, const yaml_mark_t *mark) {
  if (pc_tree_node_count(b->tree) >= PC_TREE_NODES_MAX) {
    b->status = fault(b, PC_ERR_LIMIT, mark, NULL, NULL, "the file has more than 2,000,000 values");
    return NULL;
  }
  pc_node *node = pc_tree_new_node(b->tree, kind, b->file);
  if (!node) {
    (void)no_memory(b, mark);
    return NULL;
  }
  node->line = line_of(b, mark);
  node->column = column_of(b, mark);
  if (b->depth == 0) {
    b->root = node;
    return node;
  }
  frame *top = &b->frames[b->depth - 1];
  if (top->node->kind == PC_NODE_LIST) {
    pc_node_append(top->node, node);
    return node;
  }
  if (!top->has_key) { /* a list or map in the place of a key */
    (void)fault(b, PC_ERR_KEY, mark, top->node, NULL, "a key must be a plain text, not a list or a map");
    top->has_key = top->detached = true;
    return node;
  }
  node->key = top->key;
  node->key_line = top->key_line;
  node->key_column = top->key_column;
  if (top->detached)
    node->parent = top->key ? top->node : NULL; /* so that faults inside still know their path */
  else
    pc_node_append(top->node, node);
  top->has_key = top->detached = false;
  top->key = NULL;
  return node;
}

static void refuse_properties(builder *b, const yaml_event_t *event, const pc_node *node, const char *anchor,
                              const char *tag) {
  if (anchor)
    (void)fault(b, PC_ERR_SYNTAX, &event->start_mark, node, anchor,
                "anchors (&name) are not supported: write the value out where it is needed");
  if (tag)
    (void)fault(b, PC_ERR_SYNTAX, &event->start_mark, node, tag,
                "tags (!name) are not supported: write the value alone");
}

static void check_twice(builder *b, frame *top, const yaml_mark_t *mark) {
  const pc_node *twin = pc_node_get(top->node, top->key);
  if (!twin)
    return;
  char message[PC_MESSAGE_MAX];
  if (b->placed)
    snprintf(message, sizeof message, "this key stands twice; the first is on line %d", twin->key_line);
  else
    snprintf(message, sizeof message, "this key stands twice");
  (void)fault(b, PC_ERR_KEY, mark, twin, NULL, message);
  top->detached = true;
}

static void take_key(builder *b, const yaml_event_t *event) {
  frame *top = &b->frames[b->depth - 1];
  const char *text = (const char *)event->data.scalar.value;
  size_t length = event->data.scalar.length;
  const yaml_mark_t *mark = &event->start_mark;
  if (top->node->count >= PC_TREE_KEYS_MAX) {
    b->status = fault(b, PC_ERR_LIMIT, mark, top->node, NULL, "a map may have at most 256 keys");
    return;
  }
  refuse_properties(b, event, top->node, (const char *)event->data.scalar.anchor,
                    (const char *)event->data.scalar.tag);
  top->has_key = true;
  top->key_line = line_of(b, mark);
  top->key_column = column_of(b, mark);
  if (has_control_character(text, length)) {
    (void)fault(b, PC_ERR_KEY, mark, top->node, NULL, "a key must not have control characters in it");
    top->detached = true;
    return;
  }
  top->key = pc_tree_copy_text(b->tree, text, length);
  if (!top->key)
    (void)no_memory(b, mark);
  else
    check_twice(b, top, mark);
}

static void take_scalar(builder *b, const yaml_event_t *event) {
  if (b->depth > 0 && b->frames[b->depth - 1].node->kind == PC_NODE_MAP && !b->frames[b->depth - 1].has_key) {
    take_key(b, event);
    return;
  }
  pc_node *node = add_node(b, PC_NODE_SCALAR, &event->start_mark);
  if (!node)
    return;
  const char *text = (const char *)event->data.scalar.value;
  size_t length = event->data.scalar.length;
  node->quoted = event->data.scalar.style != YAML_PLAIN_SCALAR_STYLE;
  refuse_properties(b, event, node, (const char *)event->data.scalar.anchor,
                    (const char *)event->data.scalar.tag);
  if (has_control_character(text, length)) {
    (void)fault(b, PC_ERR_SYNTAX, &event->start_mark, node, NULL,
                "a text must be on one line, without tabs or control characters");
    node->faulty = true;
    return;
  }
  node->text = pc_tree_copy_text(b->tree, text, length);
  if (!node->text) {
    node->text = "";
    (void)no_memory(b, &event->start_mark);
  }
}

static void take_alias(builder *b, const yaml_event_t *event) {
  const char *message = "aliases (*name) are not supported: write the value out";
  if (b->depth > 0 && b->frames[b->depth - 1].node->kind == PC_NODE_MAP && !b->frames[b->depth - 1].has_key) {
    frame *top = &b->frames[b->depth - 1];
    (void)fault(b, PC_ERR_SYNTAX, &event->start_mark, top->node, NULL, message);
    top->has_key = top->detached = true;
    return;
  }
  pc_node *node = add_node(b, PC_NODE_SCALAR, &event->start_mark);
  if (!node)
    return;
  node->faulty = true;
  (void)fault(b, PC_ERR_SYNTAX, &event->start_mark, node, (const char *)event->data.alias.anchor, message);
}

static void open_node(builder *b, pc_node_kind kind, const yaml_event_t *event, const char *anchor,
                      const char *tag) {
  if (b->depth >= PC_TREE_DEPTH_MAX) {
    b->status = fault(b, PC_ERR_LIMIT, &event->start_mark, NULL, NULL,
                      "lists and maps may be nested at most 32 deep");
    return;
  }
  pc_node *node = add_node(b, kind, &event->start_mark);
  if (!node)
    return;
  refuse_properties(b, event, node, anchor, tag);
  b->frames[b->depth++] = (frame){.node = node};
}

static void take_event(builder *b, const yaml_event_t *event) {
  switch (event->type) {
  case YAML_DOCUMENT_START_EVENT:
    if (++b->documents > 1)
      b->status = fault(b, PC_ERR_SYNTAX, &event->start_mark, NULL, NULL,
                        "a second document starts here (\"---\"): a file holds one scenario");
    break;
  case YAML_SCALAR_EVENT:
    take_scalar(b, event);
    break;
  case YAML_ALIAS_EVENT:
    take_alias(b, event);
    break;
  case YAML_SEQUENCE_START_EVENT:
    open_node(b, PC_NODE_LIST, event, (const char *)event->data.sequence_start.anchor,
              (const char *)event->data.sequence_start.tag);
    break;
  case YAML_MAPPING_START_EVENT:
    open_node(b, PC_NODE_MAP, event, (const char *)event->data.mapping_start.anchor,
              (const char *)event->data.mapping_start.tag);
    break;
  case YAML_SEQUENCE_END_EVENT:
  case YAML_MAPPING_END_EVENT:
    b->depth--;
    break;
  default:
    break;
  }
}

/* The parser's words, and what a person should do about it. Anything else is shown as the parser says it. */
static const struct {
  const char *problem, *words;
} parser_words[] = {
    {"mapping values are not allowed in this context",
     "a key is not possible here: check the indentation, and quote a text that has a colon in it"},
    {"did not find expected key",
     "a key is due here: check the indentation, and that brackets and quotes before it are closed"},
    {"did not find expected ',' or '}'", "a comma or a closing } is missing before this"},
    {"did not find expected ',' or ']'", "a comma or a closing ] is missing before this"},
    {"did not find expected '-' indicator",
     "a list entry (\"- …\") is due here: check the indentation, and that brackets before it are closed"},
    {"could not find expected ':'",
     "a key without a colon: write \"key: value\", with a space after the colon"},
    {"found unexpected end of stream", "the text ends here, but a quote is still open"},
    {"did not find expected node content", "a value is missing here"},
    {"did not find expected <document start>",
     "nothing may follow here: the list or map before this has ended already"},
    {"block sequence entries are not allowed in this context",
     "a list entry (\"- …\") is not possible here: begin it on a line of its own"},
    {"found a tab character that violates indentation", "a tab cannot indent: use spaces"},
};

static void describe_problem(const yaml_parser_t *parser, char byte, char *message, size_t size) {
  const char *problem = parser->problem ? parser->problem : "it cannot be read";
  const char *words = NULL;
  for (size_t i = 0; i < sizeof parser_words / sizeof parser_words[0]; i++)
    if (strcmp(problem, parser_words[i].problem) == 0)
      words = parser_words[i].words;
  if (strcmp(problem, "found character that cannot start any token") == 0) {
    if (byte == '\t')
      snprintf(message, size, "a tab cannot indent: use spaces");
    else
      snprintf(message, size, "a text cannot start with \"%c\": put it in quotes", byte);
    return;
  }
  if (!words)
    snprintf(message, size, "this is not YAML: %s", problem);
  else
    snprintf(message, size, "%s", words);
  size_t length = strlen(message);
  if (parser->context && parser->context_mark.line < parser->problem_mark.line)
    snprintf(message + length, size - length, " (it belongs to what starts on line %zu)",
             parser->context_mark.line + 1);
}

static pc_status parser_fault(builder *b, const yaml_parser_t *parser, const char *text, size_t length) {
  if (parser->error == YAML_MEMORY_ERROR)
    return no_memory(b, &parser->mark);
  yaml_mark_t mark = parser->problem_mark;
  if (parser->error == YAML_READER_ERROR)
    mark = parser->mark;
  size_t at = mark.index;
  /* The parser counts characters, not bytes; only a file of plain ASCII gives the very byte. */
  char byte = '?';
  size_t characters = 0;
  for (size_t i = 0; i < length; i++) {
    if (((unsigned char)text[i] & 0xC0) == 0x80)
      continue;
    if (characters++ == at) {
      byte = text[i];
      break;
    }
  }
  char message[PC_MESSAGE_MAX];
  if (parser->error == YAML_READER_ERROR)
    snprintf(message, sizeof message, "a control character stands in the file");
  else
    describe_problem(parser, byte, message, sizeof message);
  return b->status = fault(b, PC_ERR_SYNTAX, &mark, NULL, NULL, message);
}

/* Runs the parser over a text; b->root is what came out of it. */
static void build(builder *b, const char *text, size_t length) {
  yaml_parser_t parser;
  if (!yaml_parser_initialize(&parser)) {
    (void)no_memory(b, &(yaml_mark_t){0});
    return;
  }
  yaml_parser_set_encoding(&parser, YAML_UTF8_ENCODING);
  yaml_parser_set_input_string(&parser, (const unsigned char *)text, length);
  bool done = false;
  while (!done && b->status == PC_OK) {
    yaml_event_t event;
    if (!yaml_parser_parse(&parser, &event)) {
      (void)parser_fault(b, &parser, text, length);
      break;
    }
    done = event.type == YAML_STREAM_END_EVENT;
    take_event(b, &event);
    yaml_event_delete(&event);
  }
  yaml_parser_delete(&parser);
}

static bool check_utf8(builder *b, const char *text, size_t length) {
  yaml_mark_t mark = {0};
  for (size_t at = 0; at < length;) {
    unsigned char byte = (unsigned char)text[at];
    if ((byte < 0x20 && byte != '\t' && byte != '\n' && byte != '\r') || byte == 0x7F) {
      b->status = fault(b, PC_ERR_SYNTAX, &mark, NULL, NULL, "a control character stands here: take it out");
      return false;
    }
    size_t step = pc_utf8_length(text + at, length - at);
    if (step == 0) {
      b->status = fault(b, PC_ERR_SYNTAX, &mark, NULL, NULL, "the file is not UTF-8 text: save it as UTF-8");
      return false;
    }
    mark.column++;
    if (text[at] == '\n') {
      mark.line++;
      mark.column = 0;
    }
    at += step;
  }
  return true;
}

/* Status of the first fault from number `from` on; `otherwise` if none could be kept. */
static pc_status first_status(const pc_faults *faults, size_t from, pc_status otherwise) {
  const pc_error *first = pc_faults_first(faults, from);
  return first ? first->status : otherwise;
}

pc_status pc_tree_parse(const char *name, const char *text, size_t length, pc_tree **tree,
                        pc_faults *faults) {
  *tree = NULL;
  size_t before = faults->count;
  builder b = {.faults = faults, .file = name, .placed = true};
  if (length > PC_TREE_BYTES_MAX)
    return fault(&b, PC_ERR_LIMIT, &(yaml_mark_t){0}, NULL, NULL,
                 "is larger than 64 MiB, the limit for one file");
  b.tree = pc_tree_create();
  if (!b.tree)
    return no_memory(&b, &(yaml_mark_t){0});
  b.file = pc_tree_copy_text(b.tree, name, strlen(name));
  if (!b.file) {
    b.file = name;
    (void)no_memory(&b, &(yaml_mark_t){0});
  } else if (length > 0 &&
             check_utf8(&b, text, length)) { /* else text may be NULL, which libyaml asserts on */
    size_t skip = length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0; /* byte order mark */
    build(&b, text + skip, length - skip);
  }
  if (b.status == PC_OK && (!b.root || pc_node_is_empty(b.root)))
    b.status = fault(&b, PC_ERR_SYNTAX, &(yaml_mark_t){0}, NULL, NULL, "the file is empty");
  if (b.status != PC_OK) {
    pc_tree_free(b.tree);
    return first_status(faults, before, b.status);
  }
  pc_tree_set_root(b.tree, b.root);
  *tree = b.tree;
  return first_status(faults, before, faults->dropped > 0 ? PC_ERR_MEMORY : PC_OK);
}

pc_status pc_tree_parse_value(pc_tree *tree, const char *file, const char *text, pc_node **node,
                              pc_faults *faults) {
  *node = NULL;
  size_t before = faults->count;
  builder b = {.tree = tree, .faults = faults, .file = file};
  if (check_utf8(&b, text, strlen(text)))
    build(&b, text, strlen(text));
  if (b.status == PC_OK && !b.root) {
    b.root = pc_tree_new_node(tree, PC_NODE_SCALAR, file); /* nothing at all: an empty value */
    if (!b.root)
      return no_memory(&b, &(yaml_mark_t){0});
  }
  *node = b.status == PC_OK ? b.root : NULL;
  return first_status(faults, before, b.status);
}

static pc_status file_fault(const char *name, pc_faults *faults, pc_status status, const char *message) {
  pc_error error;
  (void)pc_error_set(&error, status, NULL, NULL, "%s", message);
  pc_error_place(&error, name, 0, 0);
  pc_tree_push_fault(faults, &error);
  return status;
}

/* Own words: strerror is neither thread-safe nor the same everywhere. */
static const char *reason(int number) {
  switch (number) {
  case ENOENT:
    return "there is no such file";
  case EACCES:
    return "the file may not be read: permission is missing";
  case EISDIR:
    return "this is a folder, not a file";
  case ENOMEM:
    return "there is not enough memory to read this";
  case ENOTDIR:
    return "part of the path is not a folder";
  default:
    return "the file cannot be read";
  }
}

/* All of an open file. */
static pc_status read_stream(FILE *file, const char *name, void **text, size_t *length, pc_faults *faults) {
  size_t capacity = 0;
  pc_status status = PC_OK;
  *text = NULL;
  *length = 0;
  for (;;) {
    if (pc_reserve(text, &capacity, *length + 64 * 1024, 1) != 0) {
      status = file_fault(name, faults, PC_ERR_MEMORY, "there is not enough memory to read this");
      break;
    }
    errno = 0;
    size_t got = fread((char *)*text + *length, 1, capacity - *length, file);
    *length += got;
    if (ferror(file)) {
      status = file_fault(name, faults, PC_ERR_FILE, reason(errno));
      break;
    }
    if (*length > PC_TREE_BYTES_MAX) {
      status = file_fault(name, faults, PC_ERR_LIMIT, "is larger than 64 MiB, the limit for one file");
      break;
    }
    if (got == 0)
      break;
  }
  if (status != PC_OK) {
    free(*text);
    *text = NULL;
  }
  return status;
}

pc_status pc_file_read(const char *path, void **text, size_t *length, pc_faults *faults) {
  *text = NULL;
  *length = 0;
  if (strcmp(path, "-") == 0)
    return read_stream(stdin, "standard input", text, length, faults);
  errno = 0;
  FILE *file = fopen(path, "rb");
  if (!file)
    return file_fault(path, faults, errno == ENOMEM ? PC_ERR_MEMORY : PC_ERR_FILE, reason(errno));
  pc_status status = read_stream(file, path, text, length, faults);
  fclose(file);
  return status;
}

pc_status pc_tree_read_stream(FILE *file, const char *name, pc_tree **tree, pc_faults *faults) {
  void *text;
  size_t length;
  *tree = NULL;
  pc_status status = read_stream(file, name, &text, &length, faults);
  if (status == PC_OK)
    status = pc_tree_parse(name, text, length, tree, faults);
  free(text);
  return status;
}

pc_status pc_tree_read(const char *path, pc_tree **tree, pc_faults *faults) {
  *tree = NULL;
  void *text;
  size_t length;
  pc_status status = pc_file_read(path, &text, &length, faults);
  if (status == PC_OK)
    status = pc_tree_parse(strcmp(path, "-") == 0 ? "standard input" : path, text, length, tree, faults);
  free(text);
  return status;
}
