#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Asks of the tests whether they would notice a slip: swaps one operator or number at a time in
the formulas, and counts the slips that fail a test.

Usage: mutate.py BUILD SHARE FILES COMPILE... -- LIBS...

  BUILD    a build folder whose tests were made with -fPIC; the work goes into BUILD/mutants
  SHARE    every how manyth slip to try: 1 for all
  FILES    which files to make slips in, in one word with blanks between; all if empty
  COMPILE  the compiler with its flags
  LIBS     what a test is linked with

Prints one line for each folder, and writes the slips that no test noticed to
BUILD/mutants/survivors. Ends with 1 if in a folder fewer than LEAST of a hundred were noticed.

The files under test become a library of their own, loaded by the tests, so that a slip costs
one compilation and one link. A slip that does not compile is not counted, nor is one that
compiles to the same machine code, plainly or optimised: no test could tell it from the original.
"""
import concurrent.futures
import hashlib
import operator
import os
import pathlib
import re
import subprocess
import sys
import time

FOLDERS = ["src/physics", "src/units"]
LEAST = 90
SECONDS = 20  # what a test has at least, and ten times what it takes: an endless loop is noticed

# Tests that hold the program against itself alone, by long searches: no formula is in question.
WITHIN = {"figures_choice_test"}

SWAPS = {
    "+": ["-"], "-": ["+"], "*": ["/"], "/": ["*"], "%": ["*"],
    "<": ["<=", ">"], "<=": ["<", ">"], ">": [">=", "<"], ">=": [">", "<"],
    "==": ["!="], "!=": ["=="], "&&": ["||"], "||": ["&&"],
    "+=": ["-="], "-=": ["+="], "*=": ["/="], "/=": ["*="],
}
# The house's format puts blanks around operators of two sides and nothing behind those of one.
OPERATOR = re.compile(r"(?<= )([-+*/]=?|%|[<>]=?|[=!]=|&&|\|\|)(?=[ \n])")
NUMBER = re.compile(r"(?<![\w.])(\d+\.\d*(?:[eE][-+]?\d+)?|\d+[eE][-+]?\d+|\d+)(?![\w.])")
CALL = re.compile(r"\b(fmin|fmax|sin|cos|sinh|cosh)(?=\()")
CALLS = {"fmin": "fmax", "fmax": "fmin", "sin": "cos", "cos": "sin", "sinh": "cosh",
         "cosh": "sinh"}
NOT = re.compile(r"!(?=[\w(])")
SKIPPED = re.compile(r'//[^\n]*|/\*.*?\*/|"(?:\\.|[^"\\])*"|\'(?:\\.|[^\'\\])*\'|^#[^\n]*',
                     re.DOTALL | re.MULTILINE)


def changed_number(text):
    if re.fullmatch(r"\d+", text):
        return [str(int(text) + 1)]
    value = float(text)
    return [repr(value * 1.1) if value else "1.0"]


def slips_of(source):
    """All slips of a text: (start, end, in its place)."""
    code = SKIPPED.sub(lambda match: re.sub(r"[^\n]", "~", match.group()), source)
    slips = []
    for match in OPERATOR.finditer(code):
        slips += [(match.start(), match.end(), swap) for swap in SWAPS[match.group(1)]]
    for match in NUMBER.finditer(code):
        slips += [(match.start(), match.end(), swap) for swap in changed_number(match.group(1))]
    slips += [(match.start(), match.end(), CALLS[match.group(1)]) for match in CALL.finditer(code)]
    slips += [(match.start(), match.end(), "") for match in NOT.finditer(code)]
    return sorted(slips)


def run(command, **settings):
    return subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                          stdin=subprocess.DEVNULL, **settings)


class Bench:
    """What all slips share: compiled files, and tests linked against the files under test."""

    def __init__(self, build, compiler, libs):
        self.build = build
        self.compiler = compiler
        self.root = build / "mutants"
        self.root.mkdir(exist_ok=True)
        self.sources = [path for folder in FOLDERS
                        for path in sorted(pathlib.Path(folder).glob("*.c"))]
        self.objects = {path: build / "objects" / path.with_suffix(".o") for path in self.sources}
        self.code = {path: self.codes_of(path, path, self.root / "same.o")
                     for path in self.sources}
        self.took = {}  # by test, in seconds
        tests = self.link_tests(libs)
        self.order = {path: list(tests) for path in self.sources}

    def code_of(self, path, text_path, out, *further):
        """The machine code of a file, as a digest; None when it does not compile."""
        done = run([*self.compiler, f"-I{path.parent}", "-g0", "-w", *further, "-c", text_path,
                    "-o", out])
        return hashlib.sha256(out.read_bytes()).digest() if done.returncode == 0 else None

    def codes_of(self, path, text_path, out):
        """The same, optimised and plain; the plain one is left in `out`."""
        optimised = self.code_of(path, text_path, out, "-O2")
        return optimised, self.code_of(path, text_path, out)

    def link_library(self, folder, changed=None, instead=None):
        objects = [instead if path == changed else made for path, made in self.objects.items()]
        made = run([self.compiler[0], "-shared", *objects, "-o", folder / "libunder.so"])
        return made.returncode == 0

    def link_tests(self, libs):
        """The test programs, the quickest first: those of the folders, and what leans on them."""
        under = set(self.objects.values())
        rest = self.root / "rest.a"
        rest.unlink(missing_ok=True)
        others = [path for path in (self.build / "objects").rglob("*.o")
                  if path not in under and path.parts[len(self.build.parts) + 1] in ("src", "generated")
                  and "app" not in path.parts]
        subprocess.run(["ar", "rcs", rest, *others], check=True)
        if not self.link_library(self.root):
            sys.exit("mutate.py: cannot link the files under test")
        support = sorted((self.build / "objects/tests").glob("*.o"))
        names = ["unit/physics_*", "unit/units_test*", "unit/numbers_test*", "outside/*",
                 "unit/figures_*", "unit/model_values*", "unit/syntax_values*", "golden/reports*",
                 "unit/report_*", "limits/growth*", "unit/compare_test*", "golden/sheet*"]
        tests = []
        for name in names:
            for made in sorted((self.build / "objects/tests").glob(name + ".o")):
                if made.stem in WITHIN:
                    continue
                program = self.root / f"{made.parent.name}-{made.stem}"  # two may share a name
                done = run([self.compiler[0], made, *support, rest, f"-L{self.root}", "-lunder",
                            *libs, "-o", program])
                if done.returncode != 0:
                    sys.exit(f"mutate.py: cannot link {made}")
                tests.append(program)
        for test in tests:
            start = time.monotonic()
            if not self.passes(test, self.root):
                sys.exit(f"mutate.py: {test.name} fails on the files as they are")
            self.took[test] = time.monotonic() - start
        return sorted(tests, key=self.took.get)

    def passes(self, test, folder):
        most = max(SECONDS, 10 * self.took.get(test, SECONDS))
        try:
            environment = dict(os.environ, LD_LIBRARY_PATH=str(folder), PITLEAF_ROOT=os.getcwd())
            return run([test], env=environment, timeout=most).returncode == 0
        except subprocess.TimeoutExpired:
            return False

    def is_noticed(self, path, folder):
        """Whether a test fails. What noticed one slip of a file is asked first about the next."""
        order = self.order[path]
        for test in order:
            if not self.passes(test, folder):
                self.order[path] = [test, *(other for other in order if other != test)]
                return True
        return False

    def try_slip(self, number, path, source, slip):
        """Whether a test noticed; None where there is nothing to notice."""
        start, end, instead = slip
        folder = self.root / f"slip{number}"
        folder.mkdir(exist_ok=True)
        try:
            text = folder / path.name
            text.write_text(source[:start] + instead + source[end:])
            made = folder / "slip.o"
            codes = self.codes_of(path, text, made)
            if None in codes or any(map(operator.eq, codes, self.code[path])):
                return None
            self.link_library(folder, path, made)
            return self.is_noticed(path, folder)
        finally:
            for left in folder.iterdir():
                left.unlink()
            folder.rmdir()


def main(build, share, files, rest):
    middle = rest.index("--")
    bench = Bench(pathlib.Path(build).resolve(), rest[:middle], rest[middle + 1:])
    chosen = [pathlib.Path(file) for file in files.split()] or bench.sources
    if not set(chosen) <= set(bench.sources):
        sys.exit(f"mutate.py: only files of {' and '.join(FOLDERS)} can be chosen")
    tasks = [(path, source, slip) for path in chosen
             for source in [path.read_text()] for slip in slips_of(source)][::int(share)]
    counts = {folder: [0, 0] for folder in FOLDERS}
    survivors = bench.root / "survivors"
    with (concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool,
          survivors.open("w", buffering=1) as list_of_them):
        results = pool.map(lambda job: bench.try_slip(job[0], *job[1]), enumerate(tasks))
        for (path, source, (start, end, instead)), noticed in zip(tasks, results):
            if noticed is None:
                continue
            counts[str(path.parent)][0] += noticed
            counts[str(path.parent)][1] += 1
            if not noticed:
                line = source.count("\n", 0, start)
                column = start - source.rfind("\n", 0, start)
                list_of_them.write(f"{path}:{line + 1}:{column}: {source[start:end]} -> "
                                   f"{instead or 'nothing'}    {source.splitlines()[line].strip()}\n")
    for folder, (noticed, tried) in counts.items():
        if tried:
            print(f"{folder}: {noticed} of {tried} slips noticed, {100 * noticed / tried:.1f} %")
    print(f"not noticed: {survivors}")
    enough = all(100 * noticed >= LEAST * tried for noticed, tried in counts.values())
    return 0 if enough and any(tried for _, tried in counts.values()) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2], sys.argv[3], sys.argv[4:]))
