// SPDX-License-Identifier: GPL-3.0-or-later
/* The YAML tree: kinds, places, paths, refusals, limits. What is YAML follows YAML 1.1/1.2 (yaml.org/spec).
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <yaml.h>

#include "base/text.h"
#include "io/tree.h"

static pc_tree *parse(const char *text) {
  pc_tree *tree = NULL;
  pc_faults faults = {0};
  pc_status status = pc_tree_parse("t.yaml", text, strlen(text), &tree, &faults);
  for (size_t i = 0; i < faults.count; i++)
    print_error("%s\n", faults.items[i].message);
  assert_int_equal(status, PC_OK);
  assert_int_equal(faults.count, 0);
  pc_faults_free(&faults);
  assert_non_null(tree);
  return tree;
}

/* Parses something faulty; the first fault is formatted into `line`. Returns whether a tree came back. */
static bool parse_faulty(const char *text, size_t length, pc_status expected, char *line, size_t size) {
  pc_tree *tree = NULL;
  pc_faults faults = {0};
  pc_status status = pc_tree_parse("t.yaml", text, length, &tree, &faults);
  assert_int_not_equal(status, PC_OK);
  assert_true(faults.count > 0);
  assert_int_equal(faults.items[0].status, expected);
  (void)pc_error_format(&faults.items[0], line, size);
  pc_faults_free(&faults);
  bool given = tree != NULL;
  pc_tree_free(tree);
  return given;
}

static void test_shape_and_places(void **state) {
  (void)state;
  pc_tree *tree = parse(
      "# head\n"
      "a: 1\n"
      "b:\n"
      "  - {x: \"two words\", y: [3, 4]}\n"
      "  - plain text # remark\n"
      "\xC3\xA9t\xC3\xA9: {z: '5'}\n"
      "empty:\n");
  pc_node *root = pc_tree_root(tree);
  assert_int_equal(root->kind, PC_NODE_MAP);
  assert_int_equal(root->count, 4);
  assert_int_equal(root->line, 2);
  pc_node *a = pc_node_get(root, "a");
  assert_string_equal(a->text, "1");
  assert_int_equal(a->line, 2);
  assert_int_equal(a->column, 4);
  assert_int_equal(a->key_column, 1);
  assert_false(a->quoted);
  pc_node *b = pc_node_get(root, "b");
  assert_int_equal(b->kind, PC_NODE_LIST);
  assert_int_equal(b->count, 2);
  pc_node *x = pc_node_get(pc_node_at(b, 0), "x");
  assert_string_equal(x->text, "two words");
  assert_true(x->quoted);
  assert_int_equal(x->line, 4);
  assert_int_equal(x->column, 9);
  assert_int_equal(x->key_column, 6);
  assert_string_equal(pc_node_at(b, 1)->text, "plain text");
  assert_null(pc_node_at(b, 2));
  assert_null(pc_node_get(b, "x"));
  /* Columns count characters: the key before has two of two bytes each. */
  pc_node *z = pc_node_get(pc_node_get(root, "\xC3\xA9t\xC3\xA9"), "z");
  assert_int_equal(z->line, 6);
  assert_int_equal(z->column, 10);
  assert_true(pc_node_is_empty(pc_node_get(root, "empty")));
  assert_false(pc_node_is_empty(z));
  pc_tree_free(tree);
}

static void test_paths(void **state) {
  (void)state;
  pc_tree *tree = parse("boxes: [{width: 1}, {speeds: {push: [7, 8]}}]\n");
  bool exact = false;
  const pc_node *node = pc_tree_find(tree, "boxes[1].speeds.push[1]", &exact);
  assert_true(exact);
  assert_string_equal(node->text, "8");
  char path[64];
  assert_int_equal(pc_node_path(node, path, sizeof path), strlen("boxes[1].speeds.push[1]"));
  assert_string_equal(path, "boxes[1].speeds.push[1]");
  assert_int_equal(pc_node_path(node, path, 8), strlen("boxes[1].speeds.push[1]"));
  assert_string_equal(path, "boxes[1");
  node = pc_tree_find(tree, "boxes[1].mass", &exact);
  assert_false(exact);
  (void)pc_node_path(node, path, sizeof path);
  assert_string_equal(path, "boxes[1]");
  node = pc_tree_find(tree, "boxes[9].mass", &exact);
  assert_false(exact);
  (void)pc_node_path(node, path, sizeof path);
  assert_string_equal(path, "boxes");
  const char *const broken[] = {"boxes[",    "boxes[]",   "boxes[0",   "boxes[+1]",
                                "boxes[ 1]", "boxes[-0]", "boxes[0x1]"};
  for (size_t i = 0; i < sizeof broken / sizeof broken[0]; i++) {
    node = pc_tree_find(tree, broken[i], &exact);
    assert_false(exact);
    (void)pc_node_path(node, path, sizeof path);
    assert_string_equal(path, "boxes");
  }
  node = pc_tree_find(tree, "", &exact);
  assert_true(exact);
  assert_ptr_equal(node, pc_tree_root(tree));
  pc_tree_free(tree);
}

static void test_refusals(void **state) {
  (void)state;
  char line[512];
  assert_true(parse_faulty("a: &x 1\n", 8, PC_ERR_SYNTAX, line, sizeof line));
  assert_memory_equal(line, "t.yaml:1:4: a: anchors", 22);
  assert_true(parse_faulty("a: 1\nb: 2\na: 3\n", 15, PC_ERR_KEY, line, sizeof line));
  assert_string_equal(line, "t.yaml:3:1: a: this key stands twice; the first is on line 1");
  assert_false(parse_faulty("a: [1\n", 6, PC_ERR_SYNTAX, line, sizeof line));
  assert_false(parse_faulty("", 0, PC_ERR_SYNTAX, line, sizeof line));
  assert_string_equal(line, "t.yaml:1:1: the file is empty");
  assert_false(parse_faulty("a: 1\n---\nb: 1\n", 14, PC_ERR_SYNTAX, line, sizeof line));
  assert_memory_equal(line, "t.yaml:2:1: a second document", 29);
  /* A zero byte inside: nothing behind it may be lost in silence. */
  assert_false(parse_faulty("a: 1\n\0b: 2\n", 11, PC_ERR_SYNTAX, line, sizeof line));
  assert_memory_equal(line, "t.yaml:2:1: a control character", 31);
  assert_true(parse_faulty("a: \"x\\0y\"\n", 10, PC_ERR_SYNTAX, line, sizeof line));
}

static void test_utf8(void **state) {
  (void)state;
  char line[512];
  /* Sequences that RFC 3629 forbids: overlong, surrogate, beyond U+10FFFF, cut short, stray. */
  const char *bad[] = {"\xC0\xAF", "\xE0\x80\xAF", "\xED\xA0\x80",    "\xF4\x90\x80\x80",
                       "\xC3",     "\x80",         "\xF0\x80\x80\x80"};
  for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
    char text[32];
    int length = snprintf(text, sizeof text, "a: %s", bad[i]);
    assert_false(parse_faulty(text, (size_t)length, PC_ERR_SYNTAX, line, sizeof line));
    assert_memory_equal(line, "t.yaml:1:4: the file is not UTF-8", 33);
  }
  pc_tree *tree = parse(
      "\xEF\xBB\xBF"
      "a: \xF0\x9F\x9A\x9C\n"); /* a byte order mark is no part of the text */
  assert_string_equal(pc_node_get(pc_tree_root(tree), "a")->text, "\xF0\x9F\x9A\x9C");
  pc_tree_free(tree);
}

static void test_limits(void **state) {
  (void)state;
  char line[512];
  pc_text text = {0};
  for (int i = 0; i < PC_TREE_DEPTH_MAX; i++)
    pc_text_add(&text, "[");
  for (int i = 0; i < PC_TREE_DEPTH_MAX; i++)
    pc_text_add(&text, "]");
  pc_tree_free(parse(text.data));
  pc_text deeper = {0};
  pc_text_addf(&deeper, "[%s]", text.data);
  assert_false(parse_faulty(deeper.data, deeper.length, PC_ERR_LIMIT, line, sizeof line));
  pc_text_free(&text);
  pc_text_free(&deeper);

  size_t bytes = (size_t)PC_TREE_BYTES_MAX + 1;
  char *large = malloc(bytes);
  assert_non_null(large);
  memset(large, '#', bytes);
  assert_false(parse_faulty(large, bytes, PC_ERR_LIMIT, line, sizeof line));
  /* One node over the limit: the list itself and 2,000,000 entries "0,". */
  large[0] = '[';
  for (size_t i = 0; i < 2 * (size_t)PC_TREE_NODES_MAX; i += 2)
    memcpy(large + 1 + i, "0,", 2);
  size_t length = 1 + 2 * (size_t)PC_TREE_NODES_MAX;
  large[length - 1] = ']';
  assert_false(parse_faulty(large, length, PC_ERR_LIMIT, line, sizeof line));
  assert_non_null(strstr(line, "2,000,000"));
  free(large);
}

static void test_fault_cap(void **state) {
  (void)state;
  pc_text text = {0};
  pc_text_add(&text, "a: [");
  for (int i = 0; i < PC_TREE_FAULTS_MAX + 50; i++)
    pc_text_add(&text, "&x 1, ");
  pc_text_add(&text, "]\n");
  pc_tree *tree = NULL;
  pc_faults faults = {0};
  assert_int_equal(pc_tree_parse("t.yaml", text.data, text.length, &tree, &faults), PC_ERR_SYNTAX);
  assert_int_equal(faults.count, PC_TREE_FAULTS_MAX + 1);
  assert_int_equal(faults.items[PC_TREE_FAULTS_MAX].status, PC_ERR_LIMIT);
  pc_tree_free(tree);
  pc_faults_free(&faults);
  pc_text_free(&text);
}

static void test_files(void **state) {
  (void)state;
  pc_tree *tree = NULL;
  pc_faults faults = {0};
  assert_int_equal(pc_tree_read("no/such/file.yaml", &tree, &faults), PC_ERR_FILE);
  assert_null(tree);
  assert_string_equal(faults.items[0].file, "no/such/file.yaml");
  assert_string_equal(faults.items[0].message, "there is no such file");
  assert_int_equal(pc_tree_read("/", &tree, &faults), PC_ERR_FILE);
  assert_int_equal(faults.count, 2);
  FILE *file = tmpfile();
  assert_non_null(file);
  fputs("a: 1\n", file);
  rewind(file);
  assert_int_equal(pc_tree_read_stream(file, "standard input", &tree, &faults), PC_OK);
  assert_string_equal(pc_node_get(pc_tree_root(tree), "a")->file, "standard input");
  fclose(file);
  pc_tree_free(tree);
  pc_faults_free(&faults);
}

static void test_grafting(void **state) {
  (void)state;
  pc_tree *tree = parse("a: 1\n");
  pc_faults faults = {0};
  pc_node *value = NULL;
  assert_int_equal(pc_tree_parse_value(tree, "--set", "{x: [1, 2]}", &value, &faults), PC_OK);
  pc_node *made = pc_tree_add_map(tree, pc_tree_root(tree), "b", "--set");
  assert_non_null(made);
  pc_node_replace(made, value);
  bool exact;
  const pc_node *node = pc_tree_find(tree, "b.x[1]", &exact);
  assert_true(exact);
  assert_string_equal(node->text, "2");
  assert_string_equal(node->file, "--set");
  assert_int_equal(node->line, 0);
  char path[32];
  (void)pc_node_path(node, path, sizeof path);
  assert_string_equal(path, "b.x[1]");
  assert_int_equal(pc_tree_parse_value(tree, "--set", "", &value, &faults), PC_OK);
  assert_true(pc_node_is_empty(value));
  assert_int_equal(pc_tree_parse_value(tree, "--set", "[1", &value, &faults), PC_ERR_SYNTAX);
  assert_null(value);
  pc_faults_free(&faults);
  pc_tree_free(tree);
}

static void take_text(yaml_parser_t *parser, const pc_text *yaml) {
  assert_int_equal(yaml_parser_initialize(parser), 1);
  yaml_parser_set_encoding(parser, YAML_UTF8_ENCODING);
  yaml_parser_set_input_string(parser, (const unsigned char *)yaml->data, yaml->length);
}

/* Whatever a string holds, YAML's own parser reads it as it was: each character, amid others and alone. */
static void test_quoted(void **state) {
  (void)state;
  enum { LAST = 0x10400 };
  pc_text yaml = {0};
  char(*strings)[16] = calloc(2 * LAST, sizeof *strings);
  size_t count = 0, read = 0;
  for (unsigned value = 1; value < LAST; value++) {
    char letter[5] = {0};
    if (value >= 0xD800 && value <= 0xDFFF)
      continue;
    if (value < 0x80)
      (void)snprintf(letter, sizeof letter, "%c", (int)value);
    else if (value < 0x800)
      (void)snprintf(letter, sizeof letter, "%c%c", 0xC0 | value >> 6, 0x80 | (value & 0x3F));
    else if (value < 0x10000)
      (void)snprintf(letter, sizeof letter, "%c%c%c", 0xE0 | value >> 12, 0x80 | (value >> 6 & 0x3F),
                     0x80 | (value & 0x3F));
    else
      (void)snprintf(letter, sizeof letter, "%c%c%c%c", 0xF0 | value >> 18, 0x80 | (value >> 12 & 0x3F),
                     0x80 | (value >> 6 & 0x3F), 0x80 | (value & 0x3F));
    (void)snprintf(strings[count++], sizeof *strings, "%s", letter);
    (void)snprintf(strings[count++], sizeof *strings, "'\"\\ %s%s#", letter, letter);
  }
  for (size_t i = 0; i < count; i++) {
    pc_text_add(&yaml, i ? ",\n " : "[");
    pc_text_add_quoted(&yaml, strings[i]);
  }
  pc_text_add(&yaml, "]\n");
  yaml_parser_t parser;
  take_text(&parser, &yaml);
  for (bool done = false; !done;) {
    yaml_event_t event;
    if (!yaml_parser_parse(&parser, &event))
      fail_msg("\"%s\": %s", strings[read], parser.problem);
    done = event.type == YAML_STREAM_END_EVENT;
    if (event.type == YAML_SCALAR_EVENT)
      assert_string_equal((const char *)event.data.scalar.value, strings[read++]);
    yaml_event_delete(&event);
  }
  assert_int_equal(read, count);
  yaml_parser_delete(&parser);
  pc_text_free(&yaml);
  free(strings);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_shape_and_places),
      cmocka_unit_test(test_paths),
      cmocka_unit_test(test_refusals),
      cmocka_unit_test(test_utf8),
      cmocka_unit_test(test_limits),
      cmocka_unit_test(test_fault_cap),
      cmocka_unit_test(test_files),
      cmocka_unit_test(test_grafting),
      cmocka_unit_test(test_quoted),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
