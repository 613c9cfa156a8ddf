// SPDX-License-Identifier: GPL-3.0-or-later
/* Things that GEOS made for us and that we have to give back: with --wrap the linker sends our calls through
 * here. */
#include <stdatomic.h>
#include <stddef.h>

#include "fail_alloc.h"

static atomic_long handles;

long fail_handles(void) {
  return atomic_load(&handles);
}

static void *got(void *made) {
  if (made)
    atomic_fetch_add(&handles, 1);
  return made;
}

static void gone(const void *handle, long count) {
  if (handle)
    atomic_fetch_sub(&handles, count);
}

#define MAKES(name, parameters, arguments)                                                                   \
  void *__real_##name parameters;                                                                            \
  void *__wrap_##name parameters;                                                                            \
  void *__wrap_##name parameters {                                                                           \
    return got(__real_##name arguments);                                                                     \
  }

/* Takes something of ours over, whether it fails or not. */
#define TAKES(name, parameters, arguments, taken, count)                                                     \
  void *__real_##name parameters;                                                                            \
  void *__wrap_##name parameters;                                                                            \
  void *__wrap_##name parameters {                                                                           \
    gone(taken, count);                                                                                      \
    return got(__real_##name arguments);                                                                     \
  }

#define FREES(name)                                                                                          \
  void __real_##name(void *h, void *a);                                                                      \
  void __wrap_##name(void *h, void *a);                                                                      \
  void __wrap_##name(void *h, void *a) {                                                                     \
    gone(a, 1);                                                                                              \
    __real_##name(h, a);                                                                                     \
  }

MAKES(GEOSBufferWithParams_r, (void *h, void *a, void *p, double w), (h, a, p, w))
MAKES(GEOSBufferWithStyle_r, (void *h, void *a, double w, int q, int e, int j, double m),
      (h, a, w, q, e, j, m))
MAKES(GEOSBuffer_r, (void *h, void *a, double w, int q), (h, a, w, q))
MAKES(GEOSConvexHull_r, (void *h, void *a), (h, a))
MAKES(GEOSDifferencePrec_r, (void *h, void *a, void *b, double g), (h, a, b, g))
MAKES(GEOSDifference_r, (void *h, void *a, void *b), (h, a, b))
MAKES(GEOSIntersection_r, (void *h, void *a, void *b), (h, a, b))
MAKES(GEOSNearestPoints_r, (void *h, void *a, void *b), (h, a, b))
MAKES(GEOSPointOnSurface_r, (void *h, void *a), (h, a))
MAKES(GEOSTopologyPreserveSimplify_r, (void *h, void *a, double t), (h, a, t))
MAKES(GEOSUnaryUnion_r, (void *h, void *a), (h, a))
MAKES(GEOSUnionPrec_r, (void *h, void *a, void *b, double g), (h, a, b, g))
MAKES(GEOSGeom_clone_r, (void *h, void *a), (h, a))
MAKES(GEOSGeom_createEmptyPolygon_r, (void *h), (h))
MAKES(GEOSGeom_createPointFromXY_r, (void *h, double x, double y), (h, x, y))
MAKES(GEOSGeom_createRectangle_r, (void *h, double x0, double y0, double x1, double y1), (h, x0, y0, x1, y1))
MAKES(GEOSCoordSeq_copyFromBuffer_r, (void *h, const double *b, unsigned n, int z, int m), (h, b, n, z, m))
MAKES(GEOSBufferParams_create_r, (void *h), (h))
MAKES(GEOSSTRtree_create_r, (void *h, size_t n), (h, n))
MAKES(GEOSPrepare_r, (void *h, void *a), (h, a))
TAKES(GEOSGeom_createLineString_r, (void *h, void *a), (h, a), a, 1)
TAKES(GEOSGeom_createLinearRing_r, (void *h, void *a), (h, a), a, 1)
TAKES(GEOSGeom_createPolygon_r, (void *h, void *a, void **holes, unsigned n), (h, a, holes, n), a,
      1 + (long)n)
TAKES(GEOSGeom_createCollection_r, (void *h, int type, void **a, unsigned n), (h, type, a, n), a, (long)n)
FREES(GEOSGeom_destroy_r)
FREES(GEOSCoordSeq_destroy_r)
FREES(GEOSBufferParams_destroy_r)
FREES(GEOSSTRtree_destroy_r)
FREES(GEOSPreparedGeom_destroy_r)

char __real_GEOSisValidDetail_r(void *h, const void *a, int flags, char **reason, void **place);
char __wrap_GEOSisValidDetail_r(void *h, const void *a, int flags, char **reason, void **place);

char __wrap_GEOSisValidDetail_r(void *h, const void *a, int flags, char **reason, void **place) {
  char valid = __real_GEOSisValidDetail_r(h, a, flags, reason, place);
  if (place)
    (void)got(*place);
  return valid;
}
