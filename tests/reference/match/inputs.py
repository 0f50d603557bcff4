"""Reads a build file, with defaults from the project's one table of inputs.

Shared with the Rust solution are only data: the table of inputs (core/src/fields.rs), the shelf of
turbochargers (core/data/turbochargers.json) and the build file itself.
"""

import json
import math
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]

_RPM = 2 * math.pi / 60
# (factor, offset) to SI by unit, for each unit that the table or a test build uses. Engine and shaft
# speeds stay in rev/min here.
_UNITS = {
    "": 1.0, "%": 0.01, "bar": 1e5, "kPa": 1e3, "mbar": 100.0, "psi": 6894.757293168361, "Pa": 1.0,
    "inHg": 3386.389, "m": 1.0, "ft": 0.3048, "mm": 1e-3, "in": 0.0254, "cm": 1e-2, "K": 1.0,
    "litre": 1e-3, "cm³": 1e-6, "in³": 0.0254**3, "rev/min": 1.0, "m/s": 1.0, "kg/m³": 1.0, "kg/s per litre": 1e3,
    "kW": 1e3, "hp": 745.6998715822702, "MJ/kg": 1e6, "cm³/min": 1e-6 / 60, "g/kWh": 1 / 3.6e9,
    "×10⁻⁵ kg√K/(s Pa)": 1e-5, "kg": 1.0, "g cm²": 1e-7, "m²": 1.0,
}
_OFFSET = {"°C": (1.0, 273.15), "°F": (5 / 9, 273.15 - 32 * 5 / 9)}


def to_si(text, unit):
    """SI value of a number with an optional unit; `unit` where none is written."""
    number, written = re.fullmatch(r"\s*([-+−]?[\d.]+(?:e-?\d+)?)\s*(.*?)\s*", str(text)).groups()
    number, written = float(number.replace("−", "-")), written or unit
    if written in _OFFSET:
        factor, offset = _OFFSET[written]
        return number * factor + offset
    return number * _UNITS[written]


_ROW = re.compile(
    r'^\s*(?:#\[closure\]\s*)?\w+ = "(?P<id>\w+)", \w+, (?P<kind>\w+), "(?P<unit>[^"]*)",\s*'
    r"[-\d.]+ \.\. [-\d.]+, usual [-\d.]+ \.\. [-\d.]+, (?P<default>Value\([^)]*\)|ByIgnition \{[^}]*\}|Blank)",
    re.MULTILINE,
)


def table():
    """Key to (unit, default with spark ignition, default with a diesel); None may stay blank."""
    rows = {}
    for row in _ROW.finditer((ROOT / "core/src/fields.rs").read_text(encoding="utf-8")):
        numbers = re.findall(r"[-\d.]+\d|\d+", row["default"])
        if row["default"].startswith("Blank"):
            spark = diesel = None
        else:
            spark, diesel = float(numbers[0]), float(numbers[-1])
        rows[row["id"]] = (row["unit"], spark, diesel)
    return rows


BREATHING = [(1000, 82), (2000, 90), (3000, 95), (5000, 100), (6500, 102), (7500, 100), (9000, 93)]
IDEAL_CYCLE = [(0.70, 49.0), (0.75, 48.1), (0.80, 47.3), (0.85, 46.6), (0.90, 45.8), (1.00, 43.9),
               (1.10, 45.0), (1.20, 45.9), (1.40, 47.5), (1.80, 50.0)]


class Inputs:
    """A build: `inputs["displacement"]` in SI (speeds in rev/min); None where left blank."""

    def __init__(self, path):
        data = json.loads(Path(path).read_text(encoding="utf-8"))
        self.name = data["name"]
        self.diesel = data.get("fuel", "petrol") == "diesel"
        self.count = 2 if data.get("arrangement", "single") == "pair" else 1
        rows = table()
        self._values = {}
        for key, (unit, spark, diesel) in rows.items():
            default = diesel if self.diesel else spark
            self._values[key] = None if default is None else to_si(default, unit)
        for key, text in data.get("fields", {}).items():
            self._values[key] = to_si(text, rows[key][0])
        curves = data.get("curves", {})

        def curve(key, x_unit, y_unit, default):
            points = curves.get(key, default)
            return points and [(to_si(x, x_unit), to_si(y, y_unit)) for x, y in points]

        self.breathing = curve("breathing", "rev/min", "%", BREATHING)
        self.ideal_cycle = curve("ideal_cycle", "", "%", IDEAL_CYCLE)
        self.boost_curve = curve("boost_curve", "rev/min", "bar", None)
        turbocharger = data["turbocharger"]
        if isinstance(turbocharger, str):
            shelf = json.loads((ROOT / "core/data/turbochargers.json").read_text(encoding="utf-8"))
            turbocharger = next(t for t in shelf if t["id"] == turbocharger)
        self.turbocharger = turbocharger
        self.housing = next(
            h for h in turbocharger["turbine"]["housings"]
            if abs(h["a_over_r"] - data["housing_a_over_r"]) < 1e-6
        )

    def __getitem__(self, key):
        return self._values[key]
