"""Both solutions on every build file: python compare.py [BUILD.json ...].

Runs the Rust door (`cargo run --release -p airpath --example solve`), at ten times as many speeds
so that its boost curve is known between, and the kept results of this solution (builds/expected/;
`--fresh` solves again). Prints the largest relative deviation of each quantity where the gate
regulates, below that the shift in engine speed that would bring the boost curves together, both
thresholds, and how many times faster the Rust solution is (`--fresh` only; its process start
counted in).
"""

import json
import os
import subprocess
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import freeze
import match
from inputs import ROOT

SPEEDS, FINER = 40, 10
# Quantities that are differences of large ones, or vanish, count against this scale.
SCALES = {
    "pmep_pa": lambda row: row["turbine_inlet.pressure_pa"],
    "gate_share": lambda row: 1.0,
    "boost_pa": lambda row: row["manifold.pressure_pa"],
    "boost_drivable_pa": lambda row: row["manifold.pressure_pa"],
}


def rust(path, count):
    target = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    program = target / "release/examples/solve"
    started = time.perf_counter()
    run = subprocess.run([program, path, str(count)], capture_output=True, text=True, check=True)
    elapsed = time.perf_counter() - started
    return json.loads(run.stdout)["match"], elapsed


def own(path, fresh):
    if fresh:
        solved = match.solve(path)
        rows = [{c: freeze.pick(s, c) for c in freeze.COLUMNS} for s in solved["speeds"]]
    else:
        solved = json.loads((freeze.BUILDS / "expected" / path.name).read_text(encoding="utf-8"))
        rows = [dict(zip(solved["columns"], row)) for row in solved["speeds"]]
    return solved, rows


def shift(curve, speed, value, key):
    """Least relative shift of engine speed at which the Rust curve takes a value; None beyond 10 %."""
    best = None
    for a, b in zip(curve, curve[1:]):
        low, high = a[key], b[key]
        if min(low, high) <= value <= max(low, high) and abs(a["engine_speed_rev_min"] / speed - 1) < 0.1:
            t = (value - low) / (high - low) if high != low else 0.0
            n = a["engine_speed_rev_min"] + t * (b["engine_speed_rev_min"] - a["engine_speed_rev_min"])
            best = min(best if best is not None else 1.0, abs(n / speed - 1))
    return best


def main():
    arguments = sys.argv[1:]
    fresh = "--fresh" in arguments
    paths = [Path(a) for a in arguments if a != "--fresh"] or sorted(freeze.BUILDS.glob("*.json"))
    subprocess.run(["cargo", "build", "--release", "-q", "-p", "airpath", "--example", "solve"], cwd=ROOT, check=True)
    with ProcessPoolExecutor() as pool:
        owns = list(pool.map(own, paths, [fresh] * len(paths)))
    worst, ratios, trouble = {}, [], []
    for path, (solved, rows) in zip(paths, owns):
        fine, _ = rust(path, FINER * (SPEEDS - 1) + 1)
        coarse, elapsed = rust(path, SPEEDS)
        if fresh:
            ratios.append(solved["elapsed_s"] / elapsed)
        curve = fine["speeds"]
        build_worst, shifts = (0.0, "", 0.0), (0.0, 0.0)
        if fine["unsolved"]:
            trouble.append(f"{path.name}: unsolved {fine['unsolved']}")
        for row, theirs in zip(rows, curve[::FINER]):
            speed, held = row["engine_speed_rev_min"], row["held"]
            assert abs(speed - theirs["engine_speed_rev_min"]) < 1e-3 * speed
            if held == theirs["held"] and held not in ("drive", "surge"):
                for column in freeze.COLUMNS[2:]:
                    mine, other = row[column], freeze.pick(theirs, column)
                    scale = SCALES.get(column, lambda _: abs(mine) or 1.0)(row)
                    deviation = abs(mine - other) / scale
                    if deviation > worst.get(column, (0.0,))[0]:
                        worst[column] = (deviation, path.name, speed, held)
                    if deviation > build_worst[0]:
                        build_worst = (deviation, column, speed)
                    if deviation > 0.01:
                        trouble.append(f"{path.name} {speed:.0f} {held}: {column} {mine:.6g} against {other:.6g}")
            else:
                found = shift(curve, speed, row["boost_pa"], "boost_pa")
                near = abs(row["boost_pa"] - theirs["boost_pa"]) < 1e-4 * row["manifold.pressure_pa"]
                if found is None and near:
                    found = 0.0
                if found is None or found > 0.01:
                    trouble.append(f"{path.name} {speed:.0f} {held}/{theirs['held']}: boost {row['boost_pa']:.0f} against "
                                   f"{theirs['boost_pa']:.0f}, shift {found}")
                shifts = max(shifts, (found if found is not None else 1.0, speed))
        text = []
        for key in ("drive_threshold_rev_min", "usable_threshold_rev_min", "boost_for_power_pa"):
            mine, other = solved[key], fine[key]
            if (mine is None) != (other is None) or (mine and abs(mine / other - 1) > 0.01):
                trouble.append(f"{path.name}: {key} {mine} against {other}")
            if mine or other:
                text.append(f"{key.split('_')[0]} {mine and round(mine)}/{other and round(other)}")
        held = {}
        for row in rows:
            held[row["held"]] = held.get(row["held"], 0) + 1
        print(f"{path.stem:36} held {100 * build_worst[0]:.2f} % ({build_worst[1]} at {build_worst[2]:.0f}), "
              f"shift {100 * shifts[0]:.2f} % at {shifts[1]:.0f}, {', '.join(text)} {held}"
              + (f", {ratios[-1]:.0f} times faster" if fresh else ""))
    print("\nLargest deviation where boost is held or creeps")
    for column, (deviation, name, speed, held) in sorted(worst.items(), key=lambda x: -x[1][0]):
        print(f"  {column:36} {100 * deviation:.3f} %  {name} {speed:.0f} {held}")
    print(f"\n{len(trouble)} beyond 1 %")
    print("\n".join("  " + t for t in trouble))
    if ratios:
        print(f"\nRust over Python: {min(ratios):.0f} to {max(ratios):.0f} times faster")
    return 1 if trouble else 0


if __name__ == "__main__":
    sys.exit(main())
