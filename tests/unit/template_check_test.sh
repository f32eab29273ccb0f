#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# `pitleaf check` looks at the page templates of a file as it looks at its setups.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"


# check STATUS FILE...: checks files and fails unless the program exits so. Output in out.
check() {
  wanted=$1
  shift
  "$pitleaf" check "$@" >out 2>&1 </dev/null
  [ $? -eq "$wanted" ] || { sed 's/^/# /' out && return 1; }
}

said() { grep -qF -- "$1" out || { echo "# the output lacks: $1" && sed 's/^/# /' out && return 1; }; }

cat >club.leaf <<'END'
template "club" from "race sheet" {
  plan { group "Stance" { show = [ride-heigth] } }
}
END
check 1 club.leaf && said "club.leaf:2:35" && said 'did you mean `ride-height`?'
result "a mistyped key in a template" $?

cat >base.leaf <<'END'
template "base" { papers = a4 }
END
cat >from.leaf <<'END'
include "base.leaf"
template "club" from "base" { runs { lines = 0.5 } }
END
check 1 from.leaf && said "base.leaf:1:19" && said "from.leaf:2:46" && said "2 errors"
result "a mistake in what a template starts from" $?

cat >other.leaf <<'END'
template "a" from "c" { }
template "b" from "a" { }
template "c" from "b" { }
END
check 1 other.leaf && said "start from each other"
result "templates that start from each other" $?

cat >good.leaf <<'END'
let rows = 3
template "club" from "race sheet" { paper = letter; runs { lines = rows } }
END
check 0 good.leaf && said "no problems"
result "a template without a mistake" $?

check 0 "$root"/templates/*.leaf && said "no problems"
result "the templates that are built in" $?

exit "$((failures > 0))"
