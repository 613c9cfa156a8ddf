// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/geodesy.h"

#include <math.h>
#include <proj.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"

struct pc_geodesy {
  PJ_CONTEXT *context;
  PJ *projection;
};

static bool is_place(double lon_deg, double lat_deg) {
  return fabs(lon_deg) <= 180 && fabs(lat_deg) <= 90;
}

/* printf's own decimals depend on the locale, so the digits are put together one by one. */
void pc_print_decimals(char text[PC_DECIMALS_MAX], double value, int decimals) {
  double scale = 1;
  for (int i = 0; i < decimals; i++)
    scale *= 10;
  if (!(fabs(value) * scale < 9e18)) { /* nothing on Earth */
    (void)snprintf(text, PC_DECIMALS_MAX, "0");
    return;
  }
  long long parts = llround(fabs(value) * scale);
  bool negative = value < 0 && parts > 0;
  char digits[PC_DECIMALS_MAX], *at = digits + sizeof digits;
  *--at = '\0';
  for (int i = 0; i <= decimals || parts > 0; i++, parts /= 10) {
    if (i == decimals && decimals > 0)
      *--at = '.';
    *--at = (char)('0' + parts % 10);
  }
  if (negative)
    *--at = '-';
  memcpy(text, at, strlen(at) + 1);
}

/* PROJ does not look at what it got where it makes a projection. That takes less than this, so there is
 * always enough for it where this can be had. */
enum { START_BYTES = 1024 * 1024 };

pc_status pc_geodesy_create(double lon_deg, double lat_deg, pc_geodesy **geodesy) {
  *geodesy = NULL;
  if (!is_place(lon_deg, lat_deg))
    return PC_ERR_RANGE;
  char definition[160], lon[PC_DECIMALS_MAX], lat[PC_DECIMALS_MAX];
  pc_geodesy *made = pc_alloc(1, sizeof *made);
  void *enough = pc_alloc(START_BYTES, 1);
  free(enough);
  if (!made || !enough) {
    free(made);
    return PC_ERR_MEMORY;
  }
  pc_print_decimals(lon, lon_deg, 11);
  pc_print_decimals(lat, lat_deg, 11);
  (void)snprintf(definition, sizeof definition, "+proj=tmerc +lat_0=%s +lon_0=%s +k=1 +ellps=WGS84", lat,
                 lon);
  made->context = proj_context_create();
  if (made->context) {
    (void)proj_log_level(made->context, PJ_LOG_NONE);
    made->projection = proj_create(made->context, definition);
  }
  if (!made->projection) {
    pc_geodesy_free(made);
    return PC_ERR_MEMORY;
  }
  *geodesy = made;
  return PC_OK;
}

void pc_geodesy_free(pc_geodesy *geodesy) {
  if (!geodesy)
    return;
  if (geodesy->projection)
    (void)proj_destroy(geodesy->projection);
  if (geodesy->context)
    (void)proj_context_destroy(geodesy->context);
  free(geodesy);
}

bool pc_geodesy_project(const pc_geodesy *geodesy, double lon_deg, double lat_deg, pc_point *to) {
  *to = (pc_point){NAN, NAN};
  if (!is_place(lon_deg, lat_deg))
    return false;
  PJ_COORD from = proj_coord(proj_torad(lon_deg), proj_torad(lat_deg), 0, 0);
  PJ_COORD found = proj_trans(geodesy->projection, PJ_FWD, from);
  (void)proj_errno_reset(geodesy->projection);
  if (!isfinite(found.xy.x) || !isfinite(found.xy.y)) /* PROJ says HUGE_VAL where it fails */
    return false;
  *to = (pc_point){found.xy.x, found.xy.y};
  return true;
}

bool pc_geodesy_locate(const pc_geodesy *geodesy, pc_point point, double *lon_deg, double *lat_deg) {
  *lon_deg = *lat_deg = NAN;
  if (!isfinite(point.x_m) || !isfinite(point.y_m))
    return false;
  PJ_COORD found = proj_trans(geodesy->projection, PJ_INV, proj_coord(point.x_m, point.y_m, 0, 0));
  (void)proj_errno_reset(geodesy->projection);
  if (!isfinite(found.lp.lam) || !isfinite(found.lp.phi))
    return false;
  *lon_deg = proj_todeg(found.lp.lam);
  *lat_deg = proj_todeg(found.lp.phi);
  return is_place(*lon_deg, *lat_deg);
}
