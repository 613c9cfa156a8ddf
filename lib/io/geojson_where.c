// SPDX-License-Identifier: GPL-3.0-or-later
/* Where on the earth a map lies, roughly; and whether that looks like longitude and latitude swapped. */
#include <math.h>

#include "io/geodesy.h"
#include "io/geojson_private.h"
#include "io/tree_private.h"

static const double tropic_deg = 23.44;    /* Tropic of Cancer: the obliquity of the ecliptic (IAU) */
static const double antarctic_deg = -60.0; /* the area of the Antarctic Treaty, 1959, Article VI */
/* Latitudes at which yards are cleared of snow, where it is not mountains that bring it. Chosen here, no
 * source. */
static const double mild_deg = 30.0, north_deg = 75.0, south_deg = -56.0;

double pc_longitude_beside(double lon_deg, double other_deg) {
  double apart = lon_deg - other_deg;
  return apart > 180 ? lon_deg - 360 : apart < -180 ? lon_deg + 360 : lon_deg;
}

double pc_geojson_away_m(const pc_geojson_origin *place, const pc_geojson_origin *from) {
  double shrink = cos(place->lat_deg * (3.14159265358979323846 / 180));
  double east = (pc_longitude_beside(place->lon_deg, from->lon_deg) - from->lon_deg) * PC_DEGREE_M * shrink;
  return hypot(east, (place->lat_deg - from->lat_deg) * PC_DEGREE_M);
}

static bool is_snowy(double lat_deg) {
  return fabs(lat_deg) >= mild_deg && lat_deg <= north_deg && lat_deg >= south_deg;
}

void pc_geojson_tell_swapped(const char *name, const pc_geojson_origin *place, pc_faults *faults) {
  bool tropics = fabs(place->lat_deg) < tropic_deg, antarctic = place->lat_deg < antarctic_deg;
  if ((!tropics && !antarctic) || !is_snowy(place->lon_deg))
    return;
  pc_faults found = {0};
  char lon[PC_DECIMALS_MAX], lat[PC_DECIMALS_MAX];
  pc_print_decimals(lon, place->lon_deg, 3);
  pc_print_decimals(lat, place->lat_deg, 3);
  pc_faults_caution(&found, "features",
                    "lie in the %s, at longitude %s and latitude %s: longitude comes first, are the two "
                    "swapped?",
                    tropics ? "tropics" : "Antarctic", lon, lat);
  faults->dropped += pc_tree_push_found(faults, &found, name, 0);
}
