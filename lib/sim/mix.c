// SPDX-License-Identifier: GPL-3.0-or-later
#include "sim/mix.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

_Static_assert((int)PC_BOX_COUNT_MAX >= (int)PC_CREW_MAX, "no limit is no limit");

static bool find_box(const pc_scenario *scenario, const char *name, size_t length, size_t *index) {
  for (size_t i = 0; i < scenario->box_count; i++)
    if (strlen(scenario->boxes[i].name.text) == length &&
        strncmp(scenario->boxes[i].name.text, name, length) == 0) {
      *index = i;
      return true;
    }
  return false;
}

static const char *skip_blanks(const char *from) {
  while (isspace((unsigned char)*from))
    from++;
  return from;
}

/* The sign between two boxes: a plus with blanks on both sides, so that a name may have one within. */
static const char *next_plus(const char *from) {
  const char *plus = strstr(from, " + ");
  return plus ? plus : from + strlen(from);
}

/* "2 x " or "2 × " before a name: how often; 1 and nothing read without one. */
static size_t read_times(const char **from, const char *end) {
  char *after;
  if (!isdigit((unsigned char)**from))
    return 1;
  unsigned long times = strtoul(*from, &after, 10);
  const char *sign = skip_blanks(after);
  size_t length = strncmp(sign, "x ", 2) == 0 ? 1 : strncmp(sign, "\xC3\x97 ", 3) == 0 ? 2 : 0;
  if (length == 0 || times == 0 || sign + length >= end)
    return 1;
  *from = skip_blanks(sign + length);
  return times;
}

static pc_status read_part(const pc_scenario *scenario, const char *from, const char *end, pc_mix *mix,
                           pc_name *unknown) {
  size_t times = 1, box = 0;
  while (end > from && isspace((unsigned char)end[-1]))
    end--;
  if (!find_box(scenario, from, (size_t)(end - from), &box)) {
    times = read_times(&from, end);
    if (!find_box(scenario, from, (size_t)(end - from), &box)) {
      char part[4 * PC_NAME_MAX];
      snprintf(part, sizeof part, "%.*s", (int)(end - from), from);
      if (unknown)
        *unknown = pc_name_of(part);
      return PC_ERR_NAME;
    }
  }
  if (times > PC_CREW_MAX - mix->count)
    return PC_ERR_LIMIT;
  while (times-- > 0)
    mix->boxes[mix->count++] = box;
  return PC_OK;
}

pc_status pc_mix_read(const pc_scenario *scenario, const char *text, pc_mix *mix, pc_name *unknown) {
  mix->count = 0;
  if (find_box(scenario, text, strlen(text), &mix->boxes[0])) {
    mix->count = 1;
    return PC_OK;
  }
  for (const char *from = skip_blanks(text);; from = skip_blanks(from + 3)) {
    const char *end = next_plus(from);
    pc_status status = read_part(scenario, from, end, mix, unknown);
    if (status != PC_OK || *end == '\0')
      return status;
    from = end;
  }
}

pc_status pc_mix_join(const char *const *names, size_t count, bool times, char *text, size_t size) {
  size_t length = 0, run;
  text[0] = '\0';
  for (size_t i = 0; i < count; i += run) {
    char often[24] = "";
    run = 1;
    while (times && i + run < count && strcmp(names[i + run], names[i]) == 0)
      run++;
    if (run > 1 && run < count) /* else it is on all of them */
      snprintf(often, sizeof often, "%zu x ", run);
    length += (size_t)snprintf(text + length, size - length, "%s%s%s", i > 0 ? " + " : "", often, names[i]);
    if (length >= size)
      return PC_ERR_LIMIT;
  }
  return PC_OK;
}

pc_status pc_mix_write(const pc_scenario *scenario, const pc_mix *mix, pc_name *text) {
  const char *names[PC_CREW_MAX];
  pc_mix again;
  for (size_t i = 0; i < mix->count; i++)
    names[i] = scenario->boxes[mix->boxes[i]].name.text;
  for (int times = 1; times >= 0; times--) {
    pc_status status = pc_mix_join(names, mix->count, times == 1, text->text, sizeof text->text);
    if (status != PC_OK)
      return status;
    if (pc_mix_read(scenario, text->text, &again, NULL) == PC_OK && pc_mix_is_same(mix, &again, mix->count))
      return PC_OK;
  }
  return PC_ERR_NAME;
}

bool pc_mix_misfits(const pc_scenario *scenario, const pc_mix *mix, const char *loader, int machines,
                    pc_misfit *misfit) {
  size_t entries[PC_CREW_MAX], count = pc_crew_write_out(scenario, machines, entries);
  for (size_t m = 0; m < count; m++) {
    const pc_crew_entry *entry = &scenario->crew[entries[m]];
    const pc_loader *its = pc_scenario_loader(scenario, loader ? loader : entry->loader.text);
    const pc_box *box =
        mix ? &scenario->boxes[mix->boxes[m % mix->count]] : pc_scenario_box(scenario, entry->box.text);
    if (!its || !box || pc_loader_takes(its, box->name.text))
      continue;
    if (misfit)
      *misfit = (pc_misfit){its, box};
    return true;
  }
  return false;
}

bool pc_mix_is_same(const pc_mix *a, const pc_mix *b, size_t machines) {
  for (size_t i = 0; i < machines; i++)
    if (a->boxes[i % a->count] != b->boxes[i % b->count])
      return false;
  return true;
}
