"""Both solutions on every build file: python compare.py [--times FILE] [BUILD.json ...].

Runs the Rust door (`cargo run --release -p airpath --example solve`), at ten times as many speeds
so that its boost curve is known between, and reads the kept results of this solution
(builds/expected/). Prints the largest relative deviation of each quantity where the gate regulates,
below that the shift in engine speed that would bring the boost curves together, and both
thresholds. Deviations beyond 1 % are listed and make the exit code 1. With the seconds that
freeze.py took (`--times` there and here) it also prints how many times faster the Rust solution is:
processor time there against the fastest of three runs by the clock here, process start counted in.
"""

import argparse
import json
import os
import subprocess
import sys
import time
from pathlib import Path

import freeze
from inputs import ROOT

SPEEDS, FINER, RUNS = 40, 10, 3


def rust(path, count, runs=1):
    """The answer of the Rust door, and the seconds of the fastest run."""
    target = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    program = ROOT / target / "release/examples/solve"
    elapsed = []
    for _ in range(runs):
        started = time.perf_counter()
        run = subprocess.run([program, path, str(count)], stdout=subprocess.PIPE, text=True, check=True)
        elapsed.append(time.perf_counter() - started)
    return json.loads(run.stdout)["match"], min(elapsed)


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
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--times", type=Path, metavar="FILE", help="the seconds that freeze.py wrote")
    parser.add_argument("builds", nargs="*", type=Path, metavar="BUILD.json", help="instead of all builds")
    arguments = parser.parse_args()
    paths = arguments.builds or sorted(freeze.BUILDS.glob("*.json"))
    times = json.loads(arguments.times.read_text(encoding="utf-8")) if arguments.times else {}
    cargo = os.environ.get("CARGO", "cargo")
    build = [cargo, "build", "--locked", "--release", "-q", "-p", "airpath", "--example", "solve"]
    subprocess.run(build, cwd=ROOT, check=True)
    worst, ratios, trouble = {}, [], []
    for path in paths:
        solved, rows = freeze.kept(path)
        fine, _ = rust(path, FINER * (SPEEDS - 1) + 1)
        if path.name in times:
            _, elapsed = rust(path, SPEEDS, RUNS)
            ratios.append(times[path.name] / elapsed)
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
                    deviation = abs(mine - other) / freeze.scale(row, column)
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
        for key in freeze.SINGLE:
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
              + (f", {ratios[-1]:.0f} times faster" if path.name in times else ""))
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
