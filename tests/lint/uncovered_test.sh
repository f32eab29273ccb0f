#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The list of what no test goes through is held against a run: what is missing in it, what is in it
# for nothing and what is not there are told.
#
# PITLEAF_ROOT is the repository. Prints `ok NAME` or `not ok NAME`.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs python3

# agrees: whether the list in the file reasons and a run agree in which `a` and `b` of x.c are not
# gone through, and `c` is; what it says is in the file out.
agrees() {
  python3 - "$root/tests" >out <<'END'
import pathlib, sys
sys.path.insert(0, sys.argv[1])
sys.dont_write_bytecode = True
import coverage
coverage.REASONS = pathlib.Path("reasons")
known = {("x.c", name) for name in "abc"}
sys.exit(not coverage.compare_with_reasons(known, {("x.c", "a"): 3, ("x.c", "b"): 7}))
END
}

printf '# Because.\nx.c: a\n\n# Because of that.\nx.c: b\n' >reasons
agrees && [ ! -s out ]
result "a list that agrees" $?
printf 'x.c: a b c?\n' >reasons
agrees && [ ! -s out ]
result "what is gone through at times" $?
printf 'x.c: a? b?\n' >reasons
agrees && [ ! -s out ]
result "what is not gone through at times" $?
printf 'x.c: a\n' >reasons
! agrees && out "x.c: b: not gone through (line 7), and no reason says why"
result "what is missing in the list" $?
printf 'x.c: a b c\n' >reasons
! agrees && out "x.c: c: gone through, so that it needs no reason"
result "what is in the list for nothing" $?
printf 'x.c: a b d\n' >reasons
! agrees && out "x.c: d: there is no such function"
result "what is not there" $?
printf 'x.c: a b\ny.c: a?\n' >reasons
! agrees && out "y.c: a: there is no such function"
result "a file that is not there" $?

[ "$failures" -eq 0 ]
