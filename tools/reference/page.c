// SPDX-License-Identifier: GPL-3.0-or-later
/* Pieces of a manual page in the language of man(7). */
#include <stdarg.h>
#include <string.h>

#include "reference.h"

/* The character at `text`, and how many bytes it has; bytes that are no UTF-8 count as themselves. */
static unsigned read_character(const char *text, size_t *length) {
  const unsigned char *b = (const unsigned char *)text;
  unsigned head = b[0];
  size_t more = head >= 0xF0 ? 3 : head >= 0xE0 ? 2 : head >= 0xC0 ? 1 : 0;
  unsigned value = more == 3 ? head & 0x07 : more == 2 ? head & 0x0F : more == 1 ? head & 0x1F : head;
  for (size_t i = 1; i <= more; i++)
    value = value << 6 | (b[i] & 0x3F);
  *length = more + 1;
  return value;
}

void page_add(pc_text *out, const char *text) {
  for (size_t length; *text; text += length) {
    unsigned character = read_character(text, &length);
    bool begins = out->length == 0 || out->data[out->length - 1] == '\n';
    if (begins && (character == '.' || character == '\''))
      pc_text_add(out, "\\&");
    if (character == '\\')
      pc_text_add(out, "\\e");
    else if (character == '-')
      pc_text_add(out, "\\-");
    else if (character == '`')
      pc_text_add(out, "\\(ga");
    else if (character == '\'')
      pc_text_add(out, "\\(aq");
    else if (character == '~')
      pc_text_add(out, "\\(ti");
    else if (character == '^')
      pc_text_add(out, "\\(ha");
    else if (character > 126)
      pc_text_addf(out, "\\[u%04X]", character);
    else
      pc_text_addf(out, "%c", (int)character);
  }
}

void page_paragraphf(pc_text *out, const char *format, ...) {
  char text[2048];
  va_list values;
  va_start(values, format);
  int length = vsnprintf(text, sizeof text, format, values);
  va_end(values);
  if (length < 0 || (size_t)length >= sizeof text)
    out->failed = true;
  else
    page_paragraph(out, text);
}

void page_begin(pc_text *out, const char *name, const char *section, const page_edition *edition) {
  pc_text_add(out, ".\\\" Made from the tables of the program: tools/reference.\n.TH ");
  for (const char *c = name; *c; c++)
    pc_text_addf(out, *c == '-' ? "\\-" : "%c", *c >= 'a' && *c <= 'z' ? *c - 'a' + 'A' : *c);
  pc_text_addf(out, " %s %s \"pushcycle %s\"\n.nh\n", section, edition->date, edition->version);
}

/* Ends the line where the next word would make it long to read. */
static void add_filled(pc_text *out, const char *text, size_t length) {
  enum { LINE_MAX = 76 };
  for (size_t at = 0, column = 0; at < length;) {
    char word[256];
    size_t one = strcspn(text + at, " \n"), kept = one < sizeof word ? one : sizeof word - 1;
    memcpy(word, text + at, kept);
    word[kept] = '\0';
    if (column > 0)
      pc_text_add(out, column + one > LINE_MAX ? "\n" : " ");
    column = column > 0 && column + one <= LINE_MAX ? column + 1 + one : one;
    page_add(out, word);
    at += one < sizeof word ? one : kept;
    while (at < length && text[at] == ' ')
      at++;
  }
}

void page_paragraph(pc_text *out, const char *text) {
  while (*text) {
    size_t length = strcspn(text, "\n");
    add_filled(out, text, length);
    pc_text_add(out, length > 0 ? "\n" : ".PP\n");
    text += length + (text[length] == '\n');
  }
}

void page_example(pc_text *out, const char *text) {
  pc_text_add(out, ".PP\n.RS 4\n.nf\n");
  page_add(out, text);
  pc_text_add(out, text[0] && text[strlen(text) - 1] == '\n' ? ".fi\n.RE\n" : "\n.fi\n.RE\n");
}

void page_refer(pc_text *out, const char *name, const char *section, const char *end) {
  pc_text_add(out, ".BR ");
  page_add(out, name);
  pc_text_addf(out, " (%s)%s\n", section, end);
}
