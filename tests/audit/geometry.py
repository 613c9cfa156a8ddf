# SPDX-License-Identifier: GPL-3.0-or-later
"""Plane geometry of polygons given as lists of corners; slow and plain."""
import math

EPS = 1e-9
BOXES = {}  # of rings that are asked for again and again; none of them changes


def cross(ax, ay, bx, by):
    return ax * by - ay * bx


def ring_area(ring):
    return sum(cross(*a, *b) for a, b in zip(ring, ring[1:] + ring[:1])) / 2


def edges(ring):
    return list(zip(ring, ring[1:] + ring[:1]))


def box_of(ring):
    known = BOXES.get(id(ring))
    if known is None or known[0] is not ring:
        known = BOXES[id(ring)] = (ring, bounds(ring))
    return known[1]


def bounds(ring):
    xs, ys = [p[0] for p in ring], [p[1] for p in ring]
    return min(xs), min(ys), max(xs), max(ys)


def inside(ring, p):
    """Strictly or on the border: the border is for distance() to tell."""
    x, y = p
    odd = False
    for (ax, ay), (bx, by) in edges(ring):
        if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
            odd = not odd
    return odd


def point_segment(p, a, b):
    dx, dy = b[0] - a[0], b[1] - a[1]
    long2 = dx * dx + dy * dy
    t = 0.0 if long2 == 0 else max(0.0, min(1.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / long2))
    return math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy)


def border_distance(ring, p):
    x, y = p
    least = math.inf
    ax, ay = ring[-1]
    for bx, by in ring:
        dx, dy = bx - ax, by - ay
        long2 = dx * dx + dy * dy
        t = ((x - ax) * dx + (y - ay) * dy) / long2 if long2 else 0.0
        t = 0.0 if t < 0.0 else 1.0 if t > 1.0 else t
        ex, ey = x - ax - t * dx, y - ay - t * dy
        least = min(least, ex * ex + ey * ey)
        ax, ay = bx, by
    return math.sqrt(least)


def nearer(ring, p, far):
    """Whether a point lies in an outline or nearer to it than that."""
    x0, y0, x1, y1 = box_of(ring)
    if not (x0 - far < p[0] < x1 + far and y0 - far < p[1] < y1 + far):
        return False
    return depth_in(ring, p) > -far


def depth_in(ring, p):
    """How far inside (positive) or outside (negative) of the outline a point lies."""
    d = border_distance(ring, p)
    return d if inside(ring, p) else -d


def segments_cross(a, b, c, d):
    one = cross(b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1])
    two = cross(b[0] - a[0], b[1] - a[1], d[0] - a[0], d[1] - a[1])
    three = cross(d[0] - c[0], d[1] - c[1], a[0] - c[0], a[1] - c[1])
    four = cross(d[0] - c[0], d[1] - c[1], b[0] - c[0], b[1] - c[1])
    return one * two < 0 and three * four < 0


def segment_distance(a, b, c, d):
    if segments_cross(a, b, c, d):
        return 0.0
    return min(point_segment(a, c, d), point_segment(b, c, d), point_segment(c, a, b), point_segment(d, a, b))


def segment_ring_distance(ring, a, b, enough=math.inf):
    """0 if the segment touches or lies in the polygon; `enough` if it is farther than that."""
    x0, y0, x1, y1 = box_of(ring)
    if (max(a[0], b[0]) < x0 - enough or min(a[0], b[0]) > x1 + enough or max(a[1], b[1]) < y0 - enough
            or min(a[1], b[1]) > y1 + enough):
        return enough
    if inside(ring, a) or inside(ring, b):
        return 0.0
    return min(segment_distance(a, b, c, d) for c, d in edges(ring))


def cuts_of(ring, a, b):
    """Where a segment crosses an outline, 0 … 1, with its ends."""
    cuts = [0.0, 1.0]
    dx, dy = b[0] - a[0], b[1] - a[1]
    for c, d in edges(ring):
        ex, ey = d[0] - c[0], d[1] - c[1]
        det = cross(dx, dy, ex, ey)
        if abs(det) > EPS:
            t = cross(c[0] - a[0], c[1] - a[1], ex, ey) / det
            if 0 < t < 1:
                cuts.append(t)
    return sorted(cuts)


def stretches_in(ring, a, b):
    cuts = cuts_of(ring, a, b)
    found = []
    for s, t in zip(cuts, cuts[1:]):
        half = (s + t) / 2
        if t - s > EPS and inside(ring, (a[0] + half * (b[0] - a[0]), a[1] + half * (b[1] - a[1]))):
            found.append((s, t))
    return found


def deepest(ring, a, b):
    """How deep a segment goes into the outline: at its crossings' middles and its samples."""
    x0, y0, x1, y1 = box_of(ring)
    if max(a[0], b[0]) < x0 or min(a[0], b[0]) > x1 or max(a[1], b[1]) < y0 or min(a[1], b[1]) > y1:
        return 0.0
    dx, dy = b[0] - a[0], b[1] - a[1]
    cuts, deep = cuts_of(ring, a, b), 0.0
    for s, t in zip(cuts, cuts[1:]):
        for part in (0.25, 0.5, 0.75):
            u = s + part * (t - s)
            deep = max(deep, depth_in(ring, (a[0] + u * dx, a[1] + u * dy)))
    return deep


def region_area(wanted, holes=()):
    """Area that lies in any ring of `wanted` and in none of `holes`: exact, slab by slab between all heights at which
    an edge begins, ends or meets another."""
    all_edges = [e for ring in list(wanted) + list(holes) for e in edges(ring)]
    heights = {p[1] for e in all_edges for p in e}
    for i, (a, b) in enumerate(all_edges):
        for c, d in all_edges[:i]:
            det = cross(b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1])
            if abs(det) < 1e-12:
                continue
            t = cross(c[0] - a[0], c[1] - a[1], d[0] - c[0], d[1] - c[1]) / det
            s = cross(c[0] - a[0], c[1] - a[1], b[0] - a[0], b[1] - a[1]) / det
            if -EPS <= t <= 1 + EPS and -EPS <= s <= 1 + EPS:
                heights.add(a[1] + t * (b[1] - a[1]))
    levels = sorted(heights)
    total = 0.0
    for low, high in zip(levels, levels[1:]):
        if high - low > 1e-12:
            total += (high - low) * length_at(wanted, holes, (low + high) / 2)
    return total


def length_at(wanted, holes, y):
    marks = []
    for kind, rings in ((1, wanted), (-1, holes)):
        for n, ring in enumerate(rings):
            for (ax, ay), (bx, by) in edges(ring):
                if (ay > y) != (by > y):
                    marks.append((ax + (y - ay) * (bx - ax) / (by - ay), kind, n))
    marks.sort()
    open_now, total, last = set(), 0.0, None
    for x, kind, n in marks:
        if last is not None and any(k > 0 for k, _ in open_now) and not any(k < 0 for k, _ in open_now):
            total += x - last
        open_now ^= {(kind, n)}
        last = x
    return total


def is_convex(ring):
    turns = [cross(b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1])
             for a, b, c in zip(ring, ring[1:] + ring[:1], ring[2:] + ring[:2])]
    return min(turns) >= -EPS or max(turns) <= EPS


def inset(ring, by):
    """A convex polygon less a border of this width."""
    ring = ring if ring_area(ring) > 0 else ring[::-1]
    out = ring
    for (ax, ay), (bx, by_) in edges(ring):
        long = math.hypot(bx - ax, by_ - ay)
        if long < EPS:
            continue
        nx, ny = -(by_ - ay) / long, (bx - ax) / long
        out = half_plane(out, nx, ny, nx * ax + ny * ay + by)
        if len(out) < 3:
            return []
    return out


def half_plane(ring, nx, ny, least):
    """The part with nx·x + ny·y ≥ least."""
    out = []
    for p, q in edges(ring) if ring else []:
        dp, dq = nx * p[0] + ny * p[1] - least, nx * q[0] + ny * q[1] - least
        if dp >= 0:
            out.append(p)
        if dp * dq < 0:
            t = dp / (dp - dq)
            out.append((p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])))
    return out


def heap_volume(ring, height, slope):
    """∫ min(height, distance to the outline · slope) dA and how exact that is, as a share."""
    if is_convex(ring):
        steps, total = 2000, 0.0
        for i in range(steps):
            within = inset(ring, (i + 0.5) / steps * height / slope)
            total += abs(ring_area(within)) if within else 0.0
        return total / steps * height, 1e-5
    x0, y0, x1, y1 = box_of(ring)
    n, total = 160, 0.0
    for i in range(n):
        for j in range(n):
            p = (x0 + (i + 0.5) / n * (x1 - x0), y0 + (j + 0.5) / n * (y1 - y0))
            if inside(ring, p):
                total += min(height, border_distance(ring, p) * slope)
    return total * (x1 - x0) * (y1 - y0) / n ** 2, 0.02


def octagon(at, radius):
    """Round things are the octagon around their circle, two sides of it level."""
    half = radius * (math.sqrt(2) - 1)
    return [(at[0] + x, at[1] + y) for x, y in (
        (radius, -half), (radius, half), (half, radius), (-half, radius), (-radius, half), (-radius, -half),
        (-half, -radius), (half, -radius))]


def stretched(a, b, by):
    """A segment with both ends farther out."""
    way = math.dist(a, b)
    d = [(q - p) / way * by for p, q in zip(a, b)]
    return (a[0] - d[0], a[1] - d[1]), (b[0] + d[0], b[1] + d[1])


def rectangle_along(a, b, width):
    """The swath of a box from a to b."""
    long = math.dist(a, b)
    nx, ny = -(b[1] - a[1]) / long * width / 2, (b[0] - a[0]) / long * width / 2
    return [(a[0] + nx, a[1] + ny), (b[0] + nx, b[1] + ny), (b[0] - nx, b[1] - ny), (a[0] - nx, a[1] - ny)]


def convex_gap(one, two):
    """Distance of two convex polygons; negative, the least way to part them, where they overlap."""
    least = -math.inf
    for ring in (one, two):
        for (ax, ay), (bx, by) in edges(ring):
            long = math.hypot(bx - ax, by - ay)
            if long < EPS:
                continue
            nx, ny = (by - ay) / long, -(bx - ax) / long
            span = [sorted(nx * x + ny * y for x, y in r) for r in (one, two)]
            least = max(least, span[1][0] - span[0][-1], span[0][0] - span[1][-1])
    if least <= 0:
        return least
    return min(segment_distance(a, b, c, d) for a, b in edges(one) for c, d in edges(two))
