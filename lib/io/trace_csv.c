// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/trace_csv.h"

#include <errno.h>
#include <inttypes.h>

#include "io/csv.h"

static void put(pc_trace_csv *csv, const pc_text *line) {
  if (csv->failed)
    return;
  errno = 0;
  if (line->failed || fwrite(line->data, 1, line->length, csv->file) != line->length) {
    csv->failed = true;
    csv->system_error = line->failed ? ENOMEM : errno;
  }
}

void pc_trace_csv_start(pc_trace_csv *csv, FILE *file, const pc_lot *lot) {
  *csv = (pc_trace_csv){.file = file, .lot = lot};
  pc_text line = {0};
  pc_text_add(&line,
              "replication,machine,cycle,phase,start_s,end_s,x0_m,y0_m,x1_m,y1_m,distance_m,load_kg,"
              "swath_m,box,zone,direction\n");
  put(csv, &line);
  pc_text_free(&line);
}

void pc_trace_csv_row(void *context, const pc_trace_row *row) {
  pc_trace_csv *csv = context;
  if (csv->failed)
    return;
  const pc_lot *lot = csv->lot;
  bool known = row->machine < lot->machine_count;
  bool has_zone = row->zone >= 0 && (size_t)row->zone < lot->zone_count;
  const double numbers[] = {row->start_s, row->end_s,      row->from.x_m, row->from.y_m, row->to.x_m,
                            row->to.y_m,  row->distance_m, row->load_kg,  row->swath_m};
  pc_text line = {0};
  pc_text_addf(&line, "%" PRIu64 ",", row->replication);
  pc_csv_add_text(&line, known ? lot->machines[row->machine].name.text : "");
  pc_text_addf(&line, ",%d,%s,", row->cycle, pc_phase_name(row->phase));
  for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
    char text[PC_CSV_NUMBER_MAX];
    pc_csv_print_number(text, numbers[i]);
    pc_text_addf(&line, "%s,", text);
  }
  pc_csv_add_text(&line, known ? lot->machines[row->machine].unit.box.name.text : "");
  pc_text_add(&line, ",");
  pc_csv_add_text(&line, has_zone ? lot->zones[row->zone].name.text : "");
  pc_text_addf(&line, ",%s\n", !(row->distance_m > 0) ? "" : row->reverse ? "reverse" : "forward");
  put(csv, &line);
  pc_text_free(&line);
}

pc_status pc_trace_csv_finish(pc_trace_csv *csv) {
  errno = 0;
  if (!csv->failed && fflush(csv->file) != 0) {
    csv->failed = true;
    csv->system_error = errno;
  }
  return csv->failed ? PC_ERR_FILE : PC_OK;
}
