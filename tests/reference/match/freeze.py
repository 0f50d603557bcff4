"""Keeps the match of every build file: python freeze.py [BUILD.json ...] writes builds/expected/.

Run it again when a build file, the shelf of turbochargers or a default of the table of inputs
changes. Numbers are kept to seven digits; columns as named in the file.
"""

import json
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import match

BUILDS = Path(__file__).resolve().parents[2] / "builds"
COLUMNS = (
    "engine_speed_rev_min", "held", "boost_pa", "boost_drivable_pa",
    "compressor_inlet.pressure_pa", "compressor_inlet.temperature_k",
    "compressor_outlet.pressure_pa", "compressor_outlet.temperature_k",
    "manifold.pressure_pa", "manifold.temperature_k", "manifold.flow_kg_s",
    "turbine_inlet.pressure_pa", "turbine_inlet.temperature_k", "turbine_inlet.flow_kg_s",
    "turbine_outlet.pressure_pa", "turbine_outlet.temperature_k",
    "corrected_flow_kg_s", "shaft_speed_rev_min", "compressor_power_w", "dry_air_kg_s", "fuel_kg_s",
    "volumetric_efficiency", "cooler_effectiveness", "pmep_pa", "fmep_pa", "gross_imep_pa", "power_w", "gate_share",
)


def pick(report, column):
    value = report
    for key in column.split("."):
        value = value[key]
    return float(f"{value:.7g}") if isinstance(value, float) else value


def freeze(path):
    solved = match.solve(path)
    rounded = {k: None if solved[k] is None else round(solved[k], 2)
               for k in ("drive_threshold_rev_min", "usable_threshold_rev_min", "boost_for_power_pa")}
    rows = [json.dumps([pick(s, c) for c in COLUMNS]) for s in solved["speeds"]]
    head = json.dumps({"name": solved["name"], **rounded, "columns": COLUMNS}, ensure_ascii=False)
    text = head[:-1] + ', "speeds": [\n ' + ",\n ".join(rows) + "\n]}\n"
    out = BUILDS / "expected" / path.name
    out.parent.mkdir(exist_ok=True)
    out.write_text(text, encoding="utf-8")
    return path.name, solved["elapsed_s"]


if __name__ == "__main__":
    paths = [Path(p) for p in sys.argv[1:]] or sorted(BUILDS.glob("*.json"))
    with ProcessPoolExecutor() as pool:
        for name, elapsed in pool.map(freeze, paths):
            print(f"{name}: {elapsed:.0f} s", flush=True)
