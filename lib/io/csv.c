// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void pc_csv_add_text(pc_text *out, const char *field) {
  if (!strpbrk(field, ",\"\r\n")) {
    pc_text_add(out, field);
    return;
  }
  pc_text_add(out, "\"");
  for (const char *at = field; *at; at++) {
    const char letter[3] = {*at, *at == '"' ? '"' : '\0', '\0'};
    pc_text_add(out, letter);
  }
  pc_text_add(out, "\"");
}

void pc_csv_print_number(char text[PC_CSV_NUMBER_MAX], double value) {
  if (!isfinite(value)) {
    text[0] = '\0';
    return;
  }
  snprintf(text, PC_CSV_NUMBER_MAX, "%.10g", value);
  /* Whatever is neither digit, sign nor exponent is the locale's decimal point, in one byte or several. */
  char *to = text;
  for (const char *from = text; *from; from++) {
    if (strchr("0123456789+-e", *from))
      *to++ = *from;
    else if (to == text || to[-1] != '.')
      *to++ = '.';
  }
  *to = '\0';
}

pc_shown pc_show_plain(double value) {
  pc_shown shown;
  pc_csv_print_number(shown.text, value);
  return shown;
}

char *pc_csv_next_line(char **rest, int *line) {
  while (*rest) {
    char *text = *rest, *end = strchr(text, '\n');
    ++*line;
    *rest = end ? end + 1 : NULL;
    if (end)
      *end = '\0';
    size_t length = strlen(text);
    if (length > 0 && text[length - 1] == '\r')
      text[length - 1] = '\0';
    if (text[strspn(text, " \t")] != '\0')
      return text;
  }
  return NULL;
}

void pc_csv_next_text(pc_text *out, const char *field) {
  pc_text_add(out, ",");
  pc_csv_add_text(out, field);
}

void pc_csv_next_number(pc_text *out, double value) {
  char text[PC_CSV_NUMBER_MAX];
  pc_csv_print_number(text, value);
  pc_text_addf(out, ",%s", text);
}
