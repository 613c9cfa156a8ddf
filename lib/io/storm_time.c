// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/storm_time_private.h"

#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include "base/units.h"

/* Takes exactly `digits` digits off *at. */
static bool take_digits(const char **at, int digits, int *value) {
  *value = 0;
  for (int i = 0; i < digits; i++, (*at)++) {
    if (**at < '0' || **at > '9')
      return false;
    *value = *value * 10 + (**at - '0');
  }
  return true;
}

static bool take(const char **at, char letter) {
  if (**at != letter)
    return false;
  (*at)++;
  return true;
}

static int month_days(int year, int month) {
  static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
  return days[month - 1] + (month == 2 && leap);
}

/* Days from 1970-01-01 in the Gregorian calendar; years from 1 on. */
static long day_number(int year, int month, int day) {
  long past = year - 1, days = 365 * past + past / 4 - past / 100 + past / 400;
  for (int m = 1; m < month; m++)
    days += month_days(year, m);
  return days + day - 1 - 719162; /* days before 1970 */
}

/* ":mm" and perhaps ":ss", perhaps with a fraction. */
static bool take_minutes(const char **at, double *time_s) {
  int minute, second;
  if (!take(at, ':') || !take_digits(at, 2, &minute) || minute > 59)
    return false;
  *time_s += 60.0 * minute;
  if (!take(at, ':'))
    return true;
  if (!take_digits(at, 2, &second) || second > 59)
    return false;
  *time_s += second;
  if (take(at, '.') || take(at, ',')) {
    double unit = 0.1;
    bool some = false;
    for (; **at >= '0' && **at <= '9'; (*at)++, unit /= 10, some = true)
      *time_s += unit * (**at - '0');
    return some;
  }
  return true;
}

/* Z, +hh:mm, +hhmm, +hh, or nothing. */
static bool take_offset(const char **at, double *time_s) {
  int hour, minute = 0;
  if (!**at || take(at, 'Z'))
    return true;
  double sign = **at == '+' ? -1 : 1;
  if (!take(at, '+') && !take(at, '-'))
    return false;
  if (!take_digits(at, 2, &hour) || hour > 23)
    return false;
  if (**at && ((void)take(at, ':'), !take_digits(at, 2, &minute) || minute > 59))
    return false;
  *time_s += sign * (3600.0 * hour + 60.0 * minute);
  return true;
}

static pc_storm_time read_calendar(const char *at, double *time_s) {
  int year, month, day, hour;
  if (!take_digits(&at, 4, &year) || year < 1)
    return PC_STORM_TIME_NONE;
  char between = *at;
  if ((between != '-' && between != '/') || !take(&at, between) || !take_digits(&at, 2, &month) ||
      !take(&at, between) || !take_digits(&at, 2, &day))
    return PC_STORM_TIME_NONE;
  if (month < 1 || month > 12 || day < 1 || day > month_days(year, month))
    return PC_STORM_TIME_NONE;
  *time_s = 86400.0 * (double)day_number(year, month, day);
  if (!*at)
    return PC_STORM_TIME_DATE;
  if ((!take(&at, 'T') && !take(&at, ' ')) || !take_digits(&at, 2, &hour) || hour > 23)
    return PC_STORM_TIME_NONE;
  *time_s += 3600.0 * hour;
  return take_minutes(&at, time_s) && take_offset(&at, time_s) && !*at ? PC_STORM_TIME_MOMENT
                                                                       : PC_STORM_TIME_NONE;
}

pc_storm_time pc_storm_time_read(const char *text, double *time_s) {
  size_t digits = strspn(text, "0123456789");
  if (digits == 4 && (text[4] == '-' || text[4] == '/'))
    return read_calendar(text, time_s);
  if (digits > 0 && digits < 5 && text[digits] == ':') {
    const char *at = text;
    int hour;
    (void)take_digits(&at, (int)digits, &hour);
    *time_s = 3600.0 * hour;
    return take_minutes(&at, time_s) && !*at ? PC_STORM_TIME_HOURS : PC_STORM_TIME_NONE;
  }
  double hours;
  if (pc_units_parse(text, PC_DIM_NUMBER, &hours, NULL) != PC_OK)
    return PC_STORM_TIME_NONE;
  *time_s = 3600 * hours;
  return PC_STORM_TIME_HOURS;
}
