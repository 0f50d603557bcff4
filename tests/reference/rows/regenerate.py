#!/usr/bin/env python3
"""Makes the reference rows in tests/rows again, from published libraries and printed values.

    python regenerate.py            # write them
    python regenerate.py --check    # compare, write nothing

`cargo xtask reference` makes the Python environment that this takes (Python 3.11 or later), and
checks. With --check, numbers may differ by a part in ten million (another build of a library),
everything else must be the same; any difference is printed and the exit code is 1.
"""

import sys

import air_demand
import ambient
import bands
import charge_cooler
import combustion_products
import compression
import expansion_and_nozzle
import friction
import fuel
import gas_properties
import humid_air
import ideal_cycle
import losses
import measured
import power_correction
import shaft_balance
import slip
import turbine
import units
import worked_examples
from rowfile import ROWS

STAGES = [
    ambient,
    humid_air,
    gas_properties,
    losses,
    compression,
    slip,
    charge_cooler,
    air_demand,
    fuel,
    combustion_products,
    ideal_cycle,
    friction,
    expansion_and_nozzle,
    turbine,
    shaft_balance,
    power_correction,
    units,
    worked_examples,
    measured,
    bands,
]


def main(arguments):
    if arguments not in ([], ["--check"]):
        print(__doc__)
        return 2
    problems = []
    names = set()
    total = 0
    for stage in STAGES:
        file = stage.rows()
        total += len(file.rows)
        if arguments:
            problems += file.differences()
        else:
            file.write()
        names.add(file.name)
        print(f"{file.name}: {len(file.rows)} rows")
    if arguments:
        problems += [f"{path.name}: no stage makes it" for path in sorted(ROWS.glob("*.json")) if path.name not in names]
    print(f"{total} rows in all")
    for problem in problems[:50]:
        print(f"differs: {problem}")
    if problems:
        print(f"{len(problems)} differences; run without --check and look at what changed")
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
