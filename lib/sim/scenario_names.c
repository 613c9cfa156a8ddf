// SPDX-License-Identifier: GPL-3.0-or-later
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "sim/scenario_private.h"

static const char *roll_name(const pc_roll *names, size_t index) {
  const pc_name *name =
      (const pc_name *)(const void *)((const char *)names->first_name + index * names->stride);
  return name->text;
}

static size_t find_name(const pc_roll *names, const char *name) {
  return pc_name_find(names->first_name, names->count, names->stride, name);
}

void pc_roll_check(const pc_roll *names, pc_faults *faults) {
  for (size_t i = 0; i < names->count; i++) {
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "%s[%zu].name", names->key, i);
    const char *name = roll_name(names, i);
    size_t twin = find_name(names, name);
    if (strcmp(name, "all") == 0)
      pc_faults_add(faults, PC_ERR_NAME, key, name,
                    "\"all\" cannot be a name: it stands for every one of them");
    else if (name[0] && twin < i)
      pc_faults_add(faults, PC_ERR_NAME, key, name,
                    "\"%s\" is already the name of %s[%zu]; names must differ", name, names->key, twin);
  }
}

/* Adds a fault that says what names there are, the nearest first if one is near. */
static void add_unknown(const pc_roll *names, const char *key, const char *name, pc_faults *faults) {
  const char **words = pc_alloc(names->count, sizeof *words);
  const char *near = NULL;
  for (size_t i = 0; words && i < names->count; i++)
    words[i] = roll_name(names, i);
  if (words)
    near = pc_nearest_word(name, words, names->count);
  if (near) {
    pc_faults_add(faults, PC_ERR_NAME, key, name, "no %s is called \"%s\"; did you mean \"%s\"?", names->noun,
                  name, near);
  } else {
    pc_text list = {0};
    for (size_t i = 0; i < names->count && list.length < PC_MESSAGE_MAX / 2; i++)
      if (find_name(names, roll_name(names, i)) == i) /* one that stands twice is told already */
        pc_text_addf(&list, "%s\"%s\"", i ? ", " : "", roll_name(names, i));
    pc_faults_add(faults, PC_ERR_NAME, key, name, "no %s is called \"%s\"; there %s %s%s", names->noun, name,
                  names->count == 1 ? "is only" : "are", list.data ? list.data : "",
                  list.length >= PC_MESSAGE_MAX / 2 ? ", …" : "");
    pc_text_free(&list);
  }
  free(words);
}

size_t pc_roll_refer(const pc_roll *names, const char *key, const char *name, pc_faults *faults) {
  size_t index = find_name(names, name);
  if (index == names->count && names->count > 0 && name[0])
    add_unknown(names, key, name, faults);
  return index;
}

void pc_roll_refer_list(const pc_roll *names, const char *prefix, const pc_names *wanted, pc_list_words words,
                        pc_faults *faults) {
  if (words != PC_LIST_NAMES && pc_names_are_all(wanted))
    return;
  pc_roll list = {.first_name = wanted->items, .count = wanted->count, .stride = sizeof *wanted->items};
  for (size_t i = 0; i < wanted->count; i++) {
    char key[PC_KEY_MAX];
    const char *name = wanted->items[i].text;
    snprintf(key, sizeof key, "%s[%zu]", prefix, i);
    if (find_name(&list, name) < i)
      pc_faults_add(faults, PC_ERR_NAME, key, name, "\"%s\" stands twice in this list", name);
    else if (name[0] == '\0')
      pc_faults_add(faults, PC_ERR_MISSING, key, NULL, "is an empty name");
    else if (names && !(words == PC_LIST_ALL_OWN && strcmp(name, PC_OWN) == 0))
      (void)pc_roll_refer(names, key, name, faults);
  }
}
