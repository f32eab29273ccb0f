#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Tells how much of src/ the tests went through, from a build with --coverage whose tests ran.

Usage: coverage.py OUT   where OUT is that build's folder

Prints a line for each room. What no test went through is listed in OUT/uncovered. Ends with 1 if
less than 95 of a hundred lines or 85 of a hundred branches were run.
"""
import json
import pathlib
import subprocess
import sys

LEAST_LINES = 95
LEAST_BRANCHES = 85


def files_of(out):
    """What gcovr says of each file under src/."""
    report = pathlib.Path(out) / "coverage.json"
    subprocess.run(["gcovr", "--root", ".", "--filter", "src/", "--exclude-unreachable-branches",
                    "--exclude-throw-branches", "--json", report, out], check=True)
    return json.loads(report.read_text())["files"]


def row(name, counts):
    run, lines, taken, branches = counts
    print(f"{name:9} {run:6} of {lines:6} lines {100 * run / lines:6.1f} %   "
          f"{taken:6} of {branches:6} branches {100 * taken / branches:6.1f} %")


def main(out):
    rooms = {}
    uncovered = []
    for file in files_of(out):
        counts = rooms.setdefault(file["file"].split("/")[1], [0, 0, 0, 0])
        text = pathlib.Path(file["file"]).read_text().splitlines()
        for line in file["lines"]:
            if line.get("gcovr/noncode"):
                continue
            counts[0] += line["count"] > 0
            counts[1] += 1
            counts[2] += sum(branch["count"] > 0 for branch in line["branches"])
            counts[3] += len(line["branches"])
            if line["count"] == 0:
                number = line["line_number"]
                uncovered.append(f"{file['file']}:{number}: {text[number - 1].strip()}\n")
    pathlib.Path(out, "uncovered").write_text("".join(uncovered))
    for name in sorted(rooms):
        row(name, rooms[name])
    whole = [sum(column) for column in zip(*rooms.values())]
    row("all", whole)
    run, lines, taken, branches = whole
    return not (100 * run >= LEAST_LINES * lines and 100 * taken >= LEAST_BRANCHES * branches)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
