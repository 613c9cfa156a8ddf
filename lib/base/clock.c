// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/clock.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"

enum { HOUR_MIN = 60, HALF_DAY_MIN = 12 * HOUR_MIN, DAY_MIN = 24 * HOUR_MIN };

/* What a text says, before it is known to be a time. */
typedef struct reading {
  int hours, minutes, days; /* days 0: none are named */
  bool has_minutes, am, pm;
} reading;

static const char *skip_space(const char *at) {
  return at + strspn(at, " \t");
}

static bool is_digit(char letter) {
  return letter >= '0' && letter <= '9';
}

/* At most two digits; NULL if there are none, or more. */
static const char *take_number(const char *at, int *value) {
  size_t digits = strspn(at, "0123456789");
  if (digits < 1 || digits > 2)
    return NULL;
  *value = 0;
  for (size_t i = 0; i < digits; i++)
    *value = 10 * *value + (at[i] - '0');
  return at + digits;
}

/* "am", "PM", "a.m."; the text itself if there is none. */
static const char *take_half(const char *at, bool *am, bool *pm) {
  const char *next = at + 1;
  bool first = *at == 'a' || *at == 'A', second = *at == 'p' || *at == 'P';
  if (!first && !second)
    return at;
  next += *next == '.';
  if (*next != 'm' && *next != 'M')
    return at;
  next++;
  next += *next == '.';
  *am = first;
  *pm = second;
  return next;
}

/* "+2 days"; the text itself if there is none, NULL if it is none after all. */
static const char *take_days(const char *at, int *days) {
  if (*at != '+')
    return at;
  at = take_number(skip_space(at + 1), days);
  if (!at || *days < 1)
    return NULL;
  at = skip_space(at);
  if (strncmp(at, "day", 3) != 0)
    return NULL;
  at += 3;
  return at + (*at == 's');
}

static bool read_text(const char *text, reading *out) {
  *out = (reading){0};
  const char *at = take_number(skip_space(text), &out->hours);
  if (at && *at == ':') {
    out->has_minutes = is_digit(at[1]) && is_digit(at[2]);
    at = out->has_minutes ? take_number(at + 1, &out->minutes) : NULL;
  }
  if (!at)
    return false;
  at = take_half(skip_space(at), &out->am, &out->pm);
  at = take_days(skip_space(at), &out->days);
  return at && *skip_space(at) == '\0';
}

/* Minutes since midnight, or -1 for no time of day. */
static int minutes_of(const reading *r) {
  bool half = r->am || r->pm;
  if (r->minutes >= HOUR_MIN || (half ? r->hours < 1 || r->hours > 12 : r->hours > 23 || !r->has_minutes))
    return -1;
  if (!half)
    return r->hours * HOUR_MIN + r->minutes;
  return r->hours % 12 * HOUR_MIN + r->minutes + (r->pm ? HALF_DAY_MIN : 0);
}

bool pc_clock_meant(const char *text) {
  const char *at = skip_space(text);
  size_t digits = strspn(at, "0123456789");
  bool am = false, pm = false;
  if (digits == 0)
    return false;
  at += digits;
  (void)take_half(skip_space(at), &am, &pm);
  return *at == ':' || am || pm;
}

static pc_status fail(const char *text, pc_error *error) {
  return pc_error_set(error, PC_ERR_RANGE, NULL, text,
                      "\"%s\" is no time of day: write 22:30 (from 00:00 to 23:59) or 10:30 pm",
                      pc_name_of(text).text);
}

pc_status pc_clock_parse(const char *text, pc_clock *clock, pc_error *error) {
  reading r;
  int minutes = read_text(text, &r) && r.days == 0 ? minutes_of(&r) : -1;
  if (minutes < 0)
    return fail(text, error);
  *clock = (pc_clock){.given = true, .twelve = r.am || r.pm, .minutes = minutes};
  return PC_OK;
}

pc_status pc_clock_read(const pc_clock *start, const char *text, bool later, double *after_s,
                        pc_error *error) {
  reading r;
  int minutes = read_text(text, &r) ? minutes_of(&r) : -1;
  pc_name shown = pc_name_of(text);
  if (minutes < 0)
    return fail(text, error);
  if (!start->given)
    return pc_error_set(error, PC_ERR_MISSING, NULL, text,
                        "\"%s\" is a clock time, but nothing says when the work starts: add starts_at: "
                        "\"22:30\" to the scenario, or write how long after the start, e.g. \"1.5 h\"",
                        shown.text);
  if (start->twelve && !r.am && !r.pm && r.hours >= 1 && r.hours <= 12)
    return pc_error_set(error, PC_ERR_SYNTAX, NULL, text,
                        "\"%s\" may be before or after noon: starts_at has am or pm, so write \"%d:%02d am\" "
                        "or \"%d:%02d pm\"",
                        shown.text, r.hours, r.minutes, r.hours, r.minutes);
  int after = minutes - start->minutes + r.days * DAY_MIN;
  if (r.days == 0 && (after < 0 || (after == 0 && later)))
    after += DAY_MIN;
  *after_s = 60.0 * after;
  return PC_OK;
}

/* `step_s`: what is shown to, a minute or a second. */
static pc_shown show(const pc_clock *start, double after_s, int step_s) {
  pc_shown shown = {"-"};
  if (!(fabs(after_s) < 1e9))
    return shown;
  const long long day_s = DAY_MIN * 60LL;
  long long after = llround(after_s / step_s) * step_s;
  long long time = start->minutes * 60LL + after, of_day = ((time % day_s) + day_s) % day_s;
  long long hour = of_day / 3600, days = (time - of_day) / day_s;
  char seconds[8] = "", more[40] = "";
  if (step_s == 1)
    snprintf(seconds, sizeof seconds, ":%02lld", of_day % 60);
  if (after >= day_s)
    snprintf(more, sizeof more, " +%lld day%s", days, days == 1 ? "" : "s");
  if (start->twelve)
    snprintf(shown.text, sizeof shown.text, "%lld:%02lld%s %s%s", hour % 12 == 0 ? 12 : hour % 12,
             of_day / 60 % 60, seconds, hour < 12 ? "am" : "pm", more);
  else
    snprintf(shown.text, sizeof shown.text, "%02lld:%02lld%s%s", hour, of_day / 60 % 60, seconds, more);
  return shown;
}

pc_shown pc_clock_show(const pc_clock *start, double after_s) {
  return show(start, after_s, 60);
}

pc_shown pc_clock_show_seconds(const pc_clock *start, double after_s) {
  return show(start, after_s, 1);
}
