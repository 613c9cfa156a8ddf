# SPDX-License-Identifier: GPL-3.0-or-later
"""Quantities with units, and clock times (docs/clock.md), as numbers in SI."""
import math
import re

INCH, FOOT, POUND, GALLON = 0.0254, 0.3048, 0.45359237, 3.785411784e-3
SCALES = {
    "": 1.0, "%": 0.01,
    "mm": 1e-3, "cm": 1e-2, "m": 1.0, "km": 1e3, "in": INCH, "ft": FOOT, "yd": 3 * FOOT, "mi": 5280 * FOOT,
    "m3": 1.0, "l": 1e-3, "gal": GALLON, "ft3": FOOT ** 3, "yd3": 27 * FOOT ** 3,
    "kg": 1.0, "t": 1e3, "lb": POUND, "ton": 2000 * POUND,
    "kg/m3": 1.0, "lb/ft3": POUND / FOOT ** 3,
    "m/s": 1.0, "km/h": 1 / 3.6, "mph": 5280 * FOOT / 3600, "ft/min": FOOT / 60,
    "m/s2": 1.0, "ft/s2": FOOT,
    "s": 1.0, "min": 60.0, "h": 3600.0,
    "W": 1.0, "kW": 1e3, "hp": 745.69987158227022,
    "deg": math.pi / 180, "rad": 1.0,
    "mm/h": 1e-3 / 3600, "cm/h": 1e-2 / 3600, "in/h": INCH / 3600,
    "/s": 1.0, "/min": 1 / 60, "/h": 1 / 3600, "/l": 1e3, "/m3": 1.0, "/gal": 1 / GALLON, "/yd3": 1 / (27 * FOOT ** 3),
    "l/h": 1e-3 / 3600, "gal/h": GALLON / 3600, "l/s": 1e-3, "l/min": 1e-3 / 60, "gal/min": GALLON / 60,
    "l/kWh": 1e-3 / 3.6e6, "gal/hph": GALLON / (745.69987158227022 * 3600),
}
# Units that a plain number may leave out, for keys that docs and the starter give without one.
FUEL_FLOW, FUEL_RATE, FUEL_WORK, FUEL = "l/s", "l/h", "l/kWh", "l"
NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"


def quantity(value, default_unit=""):
    """16 ft, 6 ft 3 in, 5 %, 0.25 → SI."""
    text = str(value).strip()
    parts = re.findall(r"(%s)\s*([^\d\s.+-][^\s]*)?" % NUMBER, text)
    if not parts:
        raise ValueError(f"no quantity: {text!r}")
    return sum(float(number) * SCALES[unit or default_unit] for number, unit in parts)


def temperature(value):
    number, unit = re.fullmatch(r"\s*(%s)\s*([CF])\s*" % NUMBER, str(value)).groups()
    return float(number) if unit == "C" else (float(number) - 32) * 5 / 9


def clock(value):
    """(seconds since midnight, days that "+1 day" adds or None) of a clock time, or None where it is none."""
    told = re.fullmatch(r"\s*(\d{1,2}):?(\d\d)?\s*([ap]m)?\s*(?:\+\s*(\d+) days?)?\s*", str(value))
    if not told or (":" not in str(value) and not told.group(3)):
        return None
    hour, minute, half, days = told.groups()
    hour = int(hour)
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    return hour * 3600 + int(minute or 0) * 60, int(days) if days else None


def moment(value, starts_at, ends=False):
    """Seconds after the start, of a time or a clock time; `ends`: one that is equal to the start is a day later."""
    told = clock(value)
    if told is None:
        return quantity(value)
    start = clock(starts_at)[0]
    seconds, days = told
    if days is not None:
        return seconds + days * 86400 - start
    after = (seconds - start) % 86400
    return 86400.0 if ends and after == 0 else float(after)
