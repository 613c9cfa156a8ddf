# SPDX-License-Identifier: GPL-3.0-or-later
"""The formulas of docs/model.md, for one machine with its box; written from that page alone."""
import math

G = 9.80665


def leg_time(way, speed, acceleration):
    if way <= 0:
        return 0.0
    if math.isinf(acceleration):
        return way / speed
    if way >= speed ** 2 / acceleration:
        return way / speed + speed / acceleration
    return 2 * math.sqrt(way / acceleration)


def largest_load(machine, full_at):
    """c: full_at × the smaller of what the box holds and what the tyres push."""
    one, box = machine.loader, machine.box
    limit = box.holds
    if one.has_power:
        grip = (one.traction * one.mass - one.mu_b * box.mass - one.c_r * one.mass
                - (one.mass + box.mass) * one.grade) / (one.mu_s + one.grade)
        limit = min(limit, grip)
    return full_at * limit


def resistance(machine, load):
    one, box = machine.loader, machine.box
    return G * (one.mu_s * load + one.mu_b * box.mass + one.c_r * one.mass
                + (one.mass + box.mass + load) * one.grade)


def push_speed(machine, load, met):
    """Pushing `load` kg while meeting `met` kg a metre."""
    one = machine.loader
    if not one.has_power:
        return one.push
    power, force = one.efficiency * one.power, resistance(machine, load)

    def over(v):
        return met * v ** 3 + force * v - power > 0

    if not over(one.push):
        return one.push
    low, high = 0.0, one.push
    for _ in range(80):
        half = (low + high) / 2
        low, high = (low, half) if over(half) else (half, high)
    return low


def carry_speed(machine, load):
    one = machine.loader
    if not one.has_power:
        return one.carry
    force = resistance(machine, load)
    return one.carry if force <= 0 else min(one.carry, one.efficiency * one.power / force)


def gain(box, load, met):
    """Kilograms that stay in the box of `met` kilograms that lie before it, the film not taken off yet."""
    met *= 1 - box.leave
    phi, start = load / box.holds, box.spill_from
    if phi < start:
        needed = (start - phi) * box.holds / (1 - box.leak)
        if met <= needed:
            return met * (1 - box.leak)
        phi, met = start, met - needed
    if start >= 1:
        return box.holds - load
    rest = (1 - phi) * math.exp(-(1 - box.leak) * met / ((1 - start) * box.holds))
    return (1 - rest) * box.holds - load


def fill_time(machine, load, met, way, step):
    """Over even snow, `met` kg a metre; Simpson's rule over pieces of `step` metres, without acceleration."""
    pieces = max(1, math.ceil(way / step))
    total = 0.0
    for i in range(pieces):
        marks = [gain(machine.box, load, met * way * (i + part) / pieces) + load for part in (0, 0.5, 1)]
        paces = [1 / push_speed(machine, m, met) for m in marks]
        total += way / pieces * (paces[0] + 4 * paces[1] + paces[2]) / 6
    return total


def dump_time(machine, stack, filled):
    return machine.loader.dump_s * (1 + stack * filled ** 2)


def fuel_l(machine, working_s, idle_s):
    """m³ inside, as every quantity: the caller makes litres of it."""
    one = machine.loader
    if not one.has_power or not one.has_fuel:
        return None
    return 0.59 * one.power * working_s * one.per_kwh + idle_s * one.idle_rate


def storm_between(storm, since, until, by_mass=True):
    """What falls in a stretch of time, kg/m² or m."""
    total = 0.0
    for piece, after in zip(storm, storm[1:]):
        span = min(until, after.after) - max(since, piece.after)
        if span > 0:
            total += span * piece.rate * (piece.rho if by_mass else 1.0)
    return total
