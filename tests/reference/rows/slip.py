"""Work of a wheel: slip."""

import math

from rowfile import RowFile


def wiesner(blades, from_tangential, radius_ratio):
    """Wiesner's slip factor with the blade angle from the tangential direction, degrees."""
    sine = math.sin(math.radians(from_tangential))
    slip = 1 - math.sqrt(sine) / blades**0.7
    limit = 1 / math.exp(8.16 * sine / blades)
    if radius_ratio > limit:
        slip *= 1 - ((radius_ratio - limit) / (1 - limit)) ** 3
    return slip


def rows():
    file = RowFile("06_slip.json", "Compressor without a map: slip")
    file.source("wiesner", "Wiesner, J. Eng. Power 89, 558 (1967): 1 - sqrt(sin b)/Z^0.7, b from the tangential direction; the correction for short blades above r1/r2 = exp(-8.16 sin b/Z) from memory")
    file.reason("formula", "The published formula with the angle measured from the other axis: only rounding differs.")
    for blades, from_tangential in [(6, 60), (10, 50), (12, 60), (12, 90), (14, 50), (16, 45), (20, 90), (12, 40)]:
        inputs = {"blades": (blades, "1"), "backsweep": (90 - from_tangential, "deg"), "radius_ratio": (0.3, "1")}
        file.add("wiesner_slip", inputs, (wiesner(blades, from_tangential, 0.3), "1"), "wiesner", "formula", relative=1e-9)
    for blades, backsweep, ratio in [(12, 40, 0.6), (12, 40, 0.7), (14, 30, 0.65), (10, 45, 0.6), (20, 0, 0.75), (8, 35, 0.55), (30, 30, 0.38)]:
        inputs = {"blades": (blades, "1"), "backsweep": (backsweep, "deg"), "radius_ratio": (ratio, "1")}
        file.add("wiesner_slip", inputs, (wiesner(blades, 90 - backsweep, ratio), "1"), "wiesner", "formula", relative=1e-9)
    return file
