"""Keeps the match of every build file in builds/expected/, and checks what is kept.

    python freeze.py [BUILD.json ...]             writes
    python freeze.py --check [BUILD.json ...]     solves again, compares, writes nothing

Write again when a build file, the shelf of turbochargers or a default of the table of inputs
changes. Numbers are kept to seven digits; columns as named in the file. `--times FILE` also writes
how many seconds of the processor each build took, for compare.py.

With --check, what is solved may differ from what is kept by a part in a million; anything more is
printed and the exit code is 1. Rounding to seven digits takes up to half of that. The other half is
for another build of the mathematical library, whose last digit the roots enlarge: they are found to
5e-9 (1e-3 Pa of 2e5 Pa).
"""

import argparse
import json
import sys
import traceback
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


def pick(report, column, digits=7):
    value = report
    for key in column.split("."):
        value = value[key]
    return float(f"{value:.{digits}g}") if isinstance(value, float) else value


# Found once for a build; None where boost is never reached or no power is asked. Kept to 0.01.
SINGLE = ("drive_threshold_rev_min", "usable_threshold_rev_min", "boost_for_power_pa")
# Quantities that are differences of large ones, or vanish, count against this scale.
SCALES = {
    "pmep_pa": lambda row: row["turbine_inlet.pressure_pa"],
    "gate_share": lambda row: 1.0,
    "boost_pa": lambda row: row["manifold.pressure_pa"],
    "boost_drivable_pa": lambda row: row["manifold.pressure_pa"],
}
TOLERANCE = 1e-6
ROUNDING = 0.005


def scale(row, column):
    """What a deviation of a kept value counts against."""
    return SCALES[column](row) if column in SCALES else abs(row[column]) or 1.0


def kept(path):
    """The kept match of a build: the file, and its speeds as rows by column."""
    solved = json.loads((BUILDS / "expected" / path.name).read_text(encoding="utf-8"))
    return solved, [dict(zip(solved["columns"], row, strict=True)) for row in solved["speeds"]]


def write(path, solved):
    rounded = {k: None if solved[k] is None else round(solved[k], 2) for k in SINGLE}
    rows = [json.dumps([pick(s, c) for c in COLUMNS]) for s in solved["speeds"]]
    head = json.dumps({"name": solved["name"], **rounded, "columns": COLUMNS}, ensure_ascii=False)
    text = head[:-1] + ', "speeds": [\n ' + ",\n ".join(rows) + "\n]}\n"
    out = BUILDS / "expected" / path.name
    out.parent.mkdir(exist_ok=True)
    out.write_text(text, encoding="utf-8")


def differences(path, solved):
    """What differs between what is kept and what was solved, and the largest deviation within."""
    if not (BUILDS / "expected" / path.name).is_file():
        return ["nothing is kept"], 0.0
    file, rows = kept(path)
    problems, largest = [], 0.0
    if file["name"] != solved["name"]:
        problems.append(f"name: {file['name']!r} kept, {solved['name']!r} solved")
    if tuple(file["columns"]) != COLUMNS:
        return problems + ["other columns are kept"], largest
    if len(rows) != len(solved["speeds"]):
        return problems + [f"{len(rows)} speeds kept, {len(solved['speeds'])} solved"], largest
    for key in SINGLE:
        old, new = file[key], solved[key]
        if old is None or new is None:
            if old is not new:
                problems.append(f"{key}: {old} kept, {new} solved")
        # Written so that a value that is no number counts as different.
        elif not abs(old - new) <= ROUNDING + TOLERANCE * abs(new):
            problems.append(f"{key}: {old} kept, {new:.10g} solved")
    for row, report in zip(rows, solved["speeds"]):
        for column in COLUMNS:
            old, new = row[column], pick(report, column, digits=17)
            where = f"{column} at {row['engine_speed_rev_min']:.7g} rev/min"
            if isinstance(old, str) or isinstance(new, str):
                if old != new:
                    problems.append(f"{where}: {old} kept, {new} solved")
                continue
            deviation = abs(old - new) / scale(row, column)
            if not deviation <= TOLERANCE:
                problems.append(f"{where}: {old} kept, {new:.10g} solved")
            else:
                largest = max(largest, deviation)
    return problems, largest


def solve(path):
    """The match of a build, or the traceback of what stopped it: one build does not stop the others."""
    try:
        return match.solve(path), None
    except Exception:
        return None, traceback.format_exc()


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--check", action="store_true", help="compare with what is kept, and write nothing")
    parser.add_argument("--times", type=Path, metavar="FILE", help="write the seconds of each build here")
    parser.add_argument("builds", nargs="*", type=Path, metavar="BUILD.json", help="instead of all builds")
    arguments = parser.parse_args()
    everything = sorted(BUILDS.glob("*.json"))
    paths = arguments.builds or everything
    broken, unsolved, times = 0, 0, {}
    if arguments.check and not arguments.builds:
        without = {p.name for p in (BUILDS / "expected").glob("*.json")} - {p.name for p in everything}
        for name in sorted(without):
            print(f"{name}: kept, and there is no such build")
        broken += len(without)
    with ProcessPoolExecutor() as pool:
        for path, (solved, trouble) in zip(paths, pool.map(solve, paths)):
            if trouble:
                unsolved += 1
                print(f"{path.name}: is not solved\n{trouble}", flush=True)
                continue
            times[path.name] = solved["elapsed_s"]
            if not arguments.check:
                write(path, solved)
                print(f"{path.name}: {solved['elapsed_s']:.0f} s", flush=True)
                continue
            problems, largest = differences(path, solved)
            print(f"{path.name}: {solved['elapsed_s']:.0f} s, " +
                  (f"{len(problems)} differences" if problems else f"the same within {largest:.1e}"), flush=True)
            for problem in problems[:20]:
                print(f"  differs: {problem}", flush=True)
            broken += bool(problems)
    if arguments.times:
        arguments.times.write_text(json.dumps(times, indent=1) + "\n", encoding="utf-8")
    if arguments.check:
        print(f"{len(paths) - unsolved} builds solved again, {broken} differ, {unsolved} not solved")
    return 1 if broken or unsolved else 0


if __name__ == "__main__":
    sys.exit(main())
