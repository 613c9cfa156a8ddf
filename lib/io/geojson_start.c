// SPDX-License-Identifier: GPL-3.0-or-later
/* When work may start on a map that gives clock times, where nothing says when it does. */
#include <string.h>

#include "io/geojson_private.h"

/* How long before a deadline, or an opening, work may be taken to start: common practice, no source. */
enum { DAY_MIN = 24 * 60, HOUR_MIN = 60, BEFORE_DEADLINE_MIN = 6 * 60, BEFORE_OPENING_MIN = 60 };

/* The clock times of a map. */
typedef struct times {
  int lead_min[DAY_MIN]; /* by minute of the day: so long before it work is to start; 0: no such time */
  bool any, twelve;      /* all with am or pm */
} times;

/* "05:00" or "5 am", with what follows it left out: "05:00 +1 day". */
static bool read_time(const json_t *value, pc_clock *time) {
  const char *text = json_string_value(value);
  if (!text || !pc_clock_meant(text))
    return false;
  pc_name day = pc_name_of(text);
  day.text[strcspn(day.text, "+")] = '\0';
  return pc_clock_parse(day.text, time, NULL) == PC_OK;
}

static void add_times(const json_t *feature, times *all) {
  const json_t *properties = json_object_get(feature, "properties");
  const char *kind = json_string_value(json_object_get(properties, "kind"));
  for (size_t i = 0; kind && strcmp(kind, "area") == 0 && i < pc_area_fields.count; i++) {
    const pc_field *field = &pc_area_fields.items[i];
    pc_clock time;
    if (!field->moment || !read_time(json_object_get(properties, field->key), &time))
      continue;
    int lead = field->above_min ? BEFORE_DEADLINE_MIN : BEFORE_OPENING_MIN;
    all->twelve = time.twelve && (all->twelve || !all->any);
    all->any = true;
    if (lead > all->lead_min[time.minutes])
      all->lead_min[time.minutes] = lead;
  }
}

/* The longest stretch of the day without any time, and the time that ends it. */
static int widest_gap(const times *all, int *first) {
  int widest = 0, last = 0;
  while (all->lead_min[last] == 0)
    last++;
  for (int m = last + 1, end = last + DAY_MIN; m <= end; m++) {
    if (all->lead_min[m % DAY_MIN] == 0)
      continue;
    if (m - last > widest) {
      widest = m - last;
      *first = m % DAY_MIN;
    }
    last = m;
  }
  return widest;
}

pc_clock pc_geojson_start(const json_t *root) {
  times all = {.any = false};
  const json_t *features = json_object_get(root, "features");
  add_times(root, &all);
  for (size_t i = 0; i < json_array_size(features); i++)
    add_times(json_array_get(features, i), &all);
  if (!all.any)
    return (pc_clock){0};
  int first = 0, widest = widest_gap(&all, &first), ahead = 0;
  for (int m = 0; m < DAY_MIN; m++) {
    int after = (m - first + DAY_MIN) % DAY_MIN;
    if (all.lead_min[m] > 0 && all.lead_min[m] - after > ahead)
      ahead = all.lead_min[m] - after;
  }
  if (ahead > widest / 2) /* times all round the day: their order is to stay */
    ahead = widest / 2;
  int start = (first - ahead + DAY_MIN) % DAY_MIN;
  if (ahead + start % HOUR_MIN < widest)
    start -= start % HOUR_MIN;
  return (pc_clock){.given = true, .twelve = all.twelve, .minutes = start};
}

void pc_geojson_note_clock(const json_t *properties, pc_geojson_source *source) {
  pc_clock time;
  source->opens_by_clock = read_time(json_object_get(properties, "opens"), &time);
  source->clear_by_clock = read_time(json_object_get(properties, "clear_by"), &time);
}

pc_status pc_geojson_read_first(const char *path, const pc_geojson_origin *origin, pc_clock *start,
                                pc_geojson *out, pc_faults *faults) {
  pc_reader reader = {.seeks_start = true};
  pc_status status = pc_geojson_read_for(path, origin, &reader, out, faults);
  *start = reader.clock;
  return status;
}
