"""A file of reference rows: collects rows, writes them, compares them with those in the project."""

import json
import pathlib

ROWS = pathlib.Path(__file__).resolve().parents[2] / "rows"

# Digits written of a value that a library gives: far more than any tolerance needs, and few enough
# that another build of the library writes the same.
DIGITS = 10


def rounded(value):
    return float(f"{value:.{DIGITS - 1}e}")


class RowFile:
    """One stage of the air's way."""

    def __init__(self, name, stage):
        self.name = name
        self.stage = stage
        self.sources = {}
        self.reasons = {}
        self.rows = []

    def source(self, key, citation):
        assert key not in self.sources, key
        self.sources[key] = citation

    def reason(self, key, text):
        assert key not in self.reasons, key
        self.reasons[key] = text

    def add(self, kind, inputs, expected, source, reason, relative=None, absolute=None, note=None, disagrees=None):
        """Adds a row. Inputs are names or (number, unit); expected is (number, unit)."""
        assert source in self.sources, source
        assert reason in self.reasons, reason
        assert (relative is None) != (absolute is None)
        place = sum(1 for row in self.rows if row["kind"] == kind) + 1
        stage = self.name.split("_")[0]
        row = {
            "id": f"{stage}-{kind}-{place:03}",
            "kind": kind,
            "inputs": {key: value if isinstance(value, str) else [rounded(value[0]), value[1]] for key, value in inputs.items()},
            "expected": [rounded(expected[0]), expected[1]],
            "tolerance": {"relative": rounded(relative), "reason": reason}
            if relative is not None
            else {"absolute": rounded(absolute), "reason": reason},
            "source": source,
        }
        if note:
            row["note"] = note
        if disagrees:
            row["disagrees"] = disagrees
        self.rows.append(row)

    def text(self):
        """The file: one line a row, so that a change shows as the rows it touches."""
        dump = lambda value: json.dumps(value, ensure_ascii=False)
        head = json.dumps(
            {"stage": self.stage, "sources": self.sources, "reasons": self.reasons}, ensure_ascii=False, indent=2
        )
        lines = ",\n".join("    " + dump(row) for row in self.rows)
        return head[: -len("\n}")] + ',\n  "rows": [\n' + lines + "\n  ]\n}\n"

    def write(self):
        (ROWS / self.name).write_text(self.text(), encoding="utf-8")

    def differences(self):
        """What differs from the file in the project; numbers may differ by a part in 1e7."""
        path = ROWS / self.name
        if not path.is_file():
            return [f"{self.name}: is missing"]
        problems = []
        compare(self.name, json.loads(path.read_text(encoding="utf-8")), json.loads(self.text()), problems)
        return problems


def compare(place, stored, made, problems):
    if isinstance(stored, dict) and isinstance(made, dict):
        for key in sorted(stored.keys() | made.keys()):
            if key not in stored or key not in made:
                problems.append(f"{place}.{key}: only in {'the project' if key in stored else 'the new rows'}")
            else:
                compare(f"{place}.{key}", stored[key], made[key], problems)
    elif isinstance(stored, list) and isinstance(made, list):
        if len(stored) != len(made):
            problems.append(f"{place}: {len(stored)} stored, {len(made)} made")
        for number, pair in enumerate(zip(stored, made), 1):
            compare(f"{place}[{number}]", *pair, problems)
    elif isinstance(stored, (int, float)) and isinstance(made, (int, float)):
        # Written so that a value that is no number counts as different.
        if not abs(stored - made) <= 1e-7 * max(abs(stored), abs(made), 1e-6):
            problems.append(f"{place}: {stored} stored, {made} made")
    elif stored != made:
        problems.append(f"{place}: {stored!r} stored, {made!r} made")
