"""Solves a build file: python solve.py BUILD.json [SPEEDS] prints the match as JSON."""

import json
import sys

import match

if __name__ == "__main__":
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 40
    print(json.dumps(match.solve(sys.argv[1], count), indent=1))
