#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Tells how much of src/ the tests went through, from a build with --coverage whose tests ran.

Usage: coverage.py OUT   where OUT is that build's folder

Prints a line for each room. What no test went through is listed in OUT/uncovered. Ends with 1 if
in a room less than 95 of a hundred lines or 85 of a hundred branches were run, or if
tests/uncovered.txt, which has a reason for each function that is not gone through, names others
than the run does.
"""
import json
import pathlib
import subprocess
import sys

LEAST_LINES = 95
LEAST_BRANCHES = 85
REASONS = pathlib.Path("tests/uncovered.txt")


def files_of(out):
    """What gcovr says of each file under src/."""
    report = pathlib.Path(out) / "coverage.json"
    # gcov works out some counts from others, and comes to less than none where a function was left
    # by a jump, for lack of memory; gcovr then names the line and leaves it out.
    subprocess.run(["gcovr", "--root", ".", "--filter", "src/", "--exclude-unreachable-branches",
                    "--exclude-throw-branches", "--gcov-ignore-parse-errors", "--json", report,
                    out], check=True)
    return json.loads(report.read_text())["files"]


def row(name, counts):
    run, lines, taken, branches = counts
    print(f"{name:9} {run:6} of {lines:6} lines {100 * run / lines:6.1f} %   "
          f"{taken:6} of {branches:6} branches {100 * taken / branches:6.1f} %")


def functions_by_line(file):
    """Where each function of a file begins, in order: (line, name)."""
    return sorted((function["lineno"], function["name"]) for function in file["functions"])


def function_at(functions, number):
    return next((name for line, name in reversed(functions) if line <= number), "?")


def reasons():
    """The functions that the list names: which must have a line that is not gone through, and
    which may, because a run goes through them or not as time or the system will have it."""
    must, may = set(), set()
    for text in REASONS.read_text().splitlines():
        if not text or text.startswith("#"):
            continue
        file, names = text.split(": ", 1)
        for name in names.split():
            (may if name.endswith("?") else must).add((file, name.rstrip("?")))
    return must, may


def compare_with_reasons(known, found):
    """Prints how the list and the run differ; whether they agree."""
    must, may = reasons()
    wrong = [f"{file}: {name}: there is no such function\n"
             for file, name in sorted((must | may) - known)]
    wrong += [f"{file}: {name}: not gone through (line {found[file, name]}), and no reason says why\n"
              for file, name in sorted(set(found) - must - may)]
    wrong += [f"{file}: {name}: gone through, so that it needs no reason\n"
              for file, name in sorted((must & known) - set(found))]
    sys.stdout.writelines(f"{REASONS}: {line}" for line in wrong)
    return not wrong


def enough(counts):
    run, lines, taken, branches = counts
    return 100 * run >= LEAST_LINES * lines and 100 * taken >= LEAST_BRANCHES * branches


def main(out):
    rooms = {}
    known = set()
    found = {}
    uncovered = []
    for file in files_of(out):
        counts = rooms.setdefault(file["file"].split("/")[1], [0, 0, 0, 0])
        text = pathlib.Path(file["file"]).read_text().splitlines()
        functions = functions_by_line(file)
        known |= {(file["file"], name) for _, name in functions}
        for line in file["lines"]:
            if line.get("gcovr/noncode"):
                continue
            counts[0] += line["count"] > 0
            counts[1] += 1
            counts[2] += sum(branch["count"] > 0 for branch in line["branches"])
            counts[3] += len(line["branches"])
            if line["count"] == 0:
                number = line["line_number"]
                name = function_at(functions, number)
                found.setdefault((file["file"], name), number)
                uncovered.append(f"{file['file']}:{number}: {name}: {text[number - 1].strip()}\n")
    pathlib.Path(out, "uncovered").write_text("".join(uncovered))
    for name in sorted(rooms):
        row(name, rooms[name])
    row("all", [sum(column) for column in zip(*rooms.values())])
    agreed = compare_with_reasons(known, found)
    return not (agreed and all(enough(counts) for counts in rooms.values()))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
