# SPDX-License-Identifier: GPL-3.0-or-later
# What the tests in shell share. Source it with PITLEAF_ROOT, the repository, and
# PITLEAF_PROGRAM, the program: each test then works in an empty folder of its own, prints
# `ok NAME` or `not ok NAME`, and ends with `[ "$failures" -eq 0 ]`.

root=${PITLEAF_ROOT:-$(pwd)}
pitleaf=${PITLEAF_PROGRAM:?the program to test}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 1
failures=0

# result NAME STATUS: counts a test.
result() {
  if [ "$2" -eq 0 ]; then echo "ok $1"; else echo "not ok $1" && failures=$((failures + 1)); fi
}

# run STATUS ARGUMENT...: runs the program and fails unless it exits so; its output is in the
# file out, its messages in err.
run() {
  wanted=$1
  shift
  "$pitleaf" "$@" >out 2>err </dev/null
  [ $? -eq "$wanted" ] || { sed 's/^/# /' out err && return 1; }
}

# out TEXT, err TEXT: fails unless the text stands in the output, or in the messages.
out() { grep -qF -- "$1" out || { echo "# the output lacks: $1" && sed 's/^/# /' out err && return 1; }; }
err() { grep -qF -- "$1" err || { echo "# the messages lack: $1" && sed 's/^/# /' err && return 1; }; }

# needs TOOL...: a test that cannot look is no test.
needs() {
  for tool in "$@"; do
    command -v "$tool" >/dev/null 2>&1 || { echo "not ok $tool is installed" && exit 1; }
  done
}

# sound FILE: a PDF without fault, and every font is in it.
sound() {
  qpdf --check "$1" >checked 2>&1 && grep -q "No syntax or stream" checked &&
    pdffonts "$1" | tail -n +3 >fonts && [ -s fonts ] && ! awk '{ print $(NF-4) }' fonts | grep -qv yes
}
