"""Station 0: the standard atmosphere."""

import ambiance

from rowfile import RowFile

EARTH_RADIUS = 6356766.0

# ISO 2533:1975, table 1, by geopotential altitude in m: temperature K, pressure Pa, density kg/m3.
# From memory, except 1000 m, which was read.
PRINTED = [
    (-1000, 294.65, 113929.0, 1.34702),
    (0, 288.15, 101325.0, 1.22500),
    (500, 284.90, 95460.8, 1.16727),
    (1000, 281.65, 89874.6, 1.11164),
    (1500, 278.40, 84556.0, 1.05807),
    (2000, 275.15, 79495.2, 1.00649),
    (3000, 268.65, 70108.5, 0.909122),
    (4000, 262.15, 61640.2, 0.819129),
    (5000, 255.65, 54019.9, 0.736116),
    (6000, 249.15, 47181.0, 0.659697),
    (8000, 236.15, 35599.8, 0.525168),
]


def geometric(geopotential):
    """Height above the sea from geopotential altitude, m (ISO 2533:1975, 2.3)."""
    return EARTH_RADIUS * geopotential / (EARTH_RADIUS - geopotential)


def below(altitude):
    """Reason and tolerance for a pressure."""
    return ("table base", 1e-6) if altitude < 0 else ("formula", 1e-7)


def rows():
    file = RowFile("01_ambient.json", "Station 0: the air outside, by altitude")
    file.source("ambiance", f"ambiance 1.3.1 (ISO 2533 / ICAO standard atmosphere): Atmosphere(h), h the height of a geopotential altitude")
    file.source("table", "ISO 2533:1975, table 1 (1000 m read, the others from memory)")
    file.reason("formula", "The same closed formula with g, R, lapse rate exact: only rounding differs.")
    file.reason("table base", "Below the sea ambiance starts from the table's pressure at -5000 m, which has six digits.")
    file.reason(
        "composition",
        "The standard fixes R = 287.05287 from a molar gas constant of 1976; the core has today's. They differ by 6e-6.",
    )
    file.reason("printed", "Half of the last printed digit.")
    file.reason(
        "printed and composition",
        "Half of the last printed digit, and 6e-6 between the gas constant of 1976 and today's.",
    )
    altitudes = list(range(-1000, 4501, 250)) + [5000, 6000, 7000, 8000, 9500, 11000]
    for altitude in altitudes:
        sky = ambiance.Atmosphere(geometric(altitude))
        inputs = {"altitude": (altitude, "m")}
        file.add("standard_atmosphere_temperature", inputs, (sky.temperature[0], "K"), "ambiance", "formula", relative=1e-8)
        reason, relative = below(altitude)
        file.add("standard_atmosphere_pressure", inputs, (sky.pressure[0], "Pa"), "ambiance", reason, relative=relative)
        file.add("standard_atmosphere_density", inputs, (sky.density[0], "kg/m3"), "ambiance", "composition", relative=1e-5)
    for altitude, t, p, rho in PRINTED:
        inputs = {"altitude": (altitude, "m")}
        file.add("standard_atmosphere_temperature", inputs, (t, "K"), "table", "printed", absolute=0.005)
        file.add("standard_atmosphere_pressure", inputs, (p, "Pa"), "table", "printed", absolute=0.5 if p > 1e5 else 0.05)
        digit = 0.5e-5 if rho >= 1 else 0.5e-6
        file.add("standard_atmosphere_density", inputs, (rho, "kg/m3"), "table", "printed and composition", absolute=digit + 1e-5 * rho)
    return file
