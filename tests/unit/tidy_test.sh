#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The command tidy: what it writes, what it leaves alone, what it tells, and how it exits.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"

untidy='setup "A" {
air=20degC
front{preload=2mm} # of front
}'
tidy='setup "A" {
  air = 20 degC
  front { preload = 2 mm }       # of front
}'

# fresh: the folder has nothing but a.leaf, which is not tidy.
fresh() {
  rm -rf ./*
  printf '%s' "$untidy" >a.leaf
}

# holds FILE TEXT: the file is that text, with a line end behind it.
holds() {
  printf '%s\n' "$2" | cmp -s - "$1" || { echo "# $1 is" && sed 's/^/# /' "$1" && return 1; }
}

# names: all that is in the folder, except what run leaves.
names() { find . -mindepth 1 ! -name out ! -name err | sort | tr '\n' ' '; }

# ---- writing

fresh
run 0 tidy a.leaf && out "1 file: 1 laid out, 0 tidy already" && holds a.leaf "$tidy" &&
  [ "$(names)" = "./a.leaf " ]
result "a file is laid out" $?

touch -d "2001-02-03 04:05:06" a.leaf
before=$(stat -c %Y.%i a.leaf)
run 0 tidy a.leaf && out "0 laid out, 1 tidy already" && [ "$(stat -c %Y.%i a.leaf)" = "$before" ]
result "a tidy file is not written" $?

fresh && chmod 640 a.leaf
run 0 tidy a.leaf && holds a.leaf "$tidy" && [ "$(stat -c %a a.leaf)" = 640 ]
result "permissions stay" $?

fresh && mkdir deep && mv a.leaf deep/b.leaf && ln -s deep/b.leaf a.leaf
run 0 tidy a.leaf && [ -L a.leaf ] && [ "$(readlink a.leaf)" = deep/b.leaf ] && holds deep/b.leaf "$tidy"
result "through a link the file is written, and the link stays" $?

fresh && printf 'let a=1\r\n\r\n\r\nlet b = 2 \t\r\n' >a.leaf
run 0 tidy a.leaf && holds a.leaf 'let a = 1

let b = 2'
result "line ends of others" $?

fresh && : >a.leaf
run 0 tidy a.leaf && [ ! -s a.leaf ] && out "1 tidy already"
result "an empty file is tidy" $?

fresh && mv a.leaf ./-a.leaf
run 0 tidy -- -a.leaf && holds ./-a.leaf "$tidy"
result "a name that begins with a dash" $?

# ---- what cannot be written

fresh
(
  trap '' XFSZ
  ulimit -f 0
  "$pitleaf" tidy a.leaf 2>&1
) | cat >messages
grep -q "cannot be written" messages && [ "$(cat a.leaf)" = "$untidy" ] &&
  [ "$(names)" = "./a.leaf ./messages " ]
result "a full disk leaves the file as it is" $?

fresh && mkdir locked && mv a.leaf locked && chmod 555 locked
if [ "$(id -u)" -eq 0 ]; then # root may write everywhere
  run 0 tidy locked/a.leaf && holds locked/a.leaf "$tidy"
else
  run 2 tidy locked/a.leaf && err "cannot be written" && [ "$(cat locked/a.leaf)" = "$untidy" ]
fi
result "a folder that is locked" $?
chmod 755 locked

fresh && chmod 444 a.leaf
if [ "$(id -u)" -eq 0 ]; then
  run 0 tidy a.leaf && holds a.leaf "$tidy"
else
  run 2 tidy a.leaf && err "cannot be written" && [ "$(cat a.leaf)" = "$untidy" ]
fi
result "a file that may not be written" $?

# ---- what is left alone

fresh && printf 'setup "A" {\n air = 1,5 degC\n' >broken.leaf && touch -d "2001-02-03" broken.leaf
before=$(stat -c %Y.%i.%s broken.leaf) && cp broken.leaf copy
run 1 tidy broken.leaf && err "broken.leaf:2:8: error[decimal-comma]" && err "error[unclosed-brace]" &&
  err "\`broken.leaf\` stays as it is" && cmp -s broken.leaf copy &&
  [ "$(stat -c %Y.%i.%s broken.leaf)" = "$before" ]
result "a file with mistakes stays as it is" $?

run 1 tidy broken.leaf a.leaf && holds a.leaf "$tidy" &&
  out "2 files: 1 laid out, 0 tidy already, 1 left as they are"
result "one bad file does not spoil the rest" $?

fresh && run 2 tidy missing.leaf . a.leaf && err "There is no file \`missing.leaf\`" && err "is a folder" &&
  holds a.leaf "$tidy"
result "a missing file does not spoil the rest" $?

fresh && mkfifo pipe && run 2 tidy pipe && err "pipe"
result "a pipe is not waited for" $?

# What is wrong with the model is no matter: the layout is.
fresh && printf 'include "nowhere.leaf"\nsetup "A" from "B" { ride-heigth=2mm }\n' >a.leaf
run 0 tidy a.leaf && holds a.leaf 'include "nowhere.leaf"
setup "A" from "B" { ride-heigth = 2 mm }'
result "an unknown include or key does not matter" $?

# ---- only telling

fresh && cp a.leaf copy && touch -d "2001-02-03" a.leaf && before=$(stat -c %Y.%i a.leaf)
run 1 tidy --check a.leaf && out "a.leaf:2: not tidy" && out "is:      air=20degC" &&
  out "becomes:   air = 20 degC" && out "1 file: 1 not tidy, 0 tidy already" && cmp -s a.leaf copy &&
  [ "$(stat -c %Y.%i a.leaf)" = "$before" ]
result "--check tells the first line that differs, and writes nothing" $?

run 0 tidy a.leaf && run 0 tidy --check a.leaf && out "0 not tidy, 1 tidy already"
result "--check of a tidy file" $?

fresh && printf 'let a = 1\r\nlet b = 2\n' >a.leaf
run 1 tidy --check a.leaf && out "a.leaf:1: not tidy" && out "the kind of line end"
result "--check of a difference that is not seen" $?

fresh && printf 'let a = 1' >a.leaf && run 1 tidy --check a.leaf && out "a.leaf:1: not tidy" &&
  out "the last line has no end"
result "--check of a missing line end" $?

fresh && printf 'let a = 1\n\n\n' >a.leaf && run 1 tidy --check a.leaf && out "a.leaf:2: not tidy" &&
  out "an empty line too many"
result "--check of empty lines at the end" $?

# ---- printing

fresh && cp a.leaf copy
run 0 tidy --stdout a.leaf && holds out "$tidy" && cmp -s a.leaf copy
result "--stdout prints and writes nothing" $?

printf '%s' "$untidy" | "$pitleaf" tidy - >out 2>err && holds out "$tidy" && [ ! -s err ]
result "a dash reads standard input and prints" $?

printf '%s' "$untidy" | "$pitleaf" tidy --check - >out 2>err
[ $? -eq 1 ] && out "<standard input>:2: not tidy"
result "--check of standard input" $?

printf 'let a = = 1\n' | "$pitleaf" tidy - >out 2>err
[ $? -eq 1 ] && [ ! -s out ] && err "<standard input>:1:9: error"
result "standard input with a mistake prints nothing" $?

run 2 tidy --check --stdout a.leaf && err "do not go together" && cmp -s a.leaf copy
result "--check and --stdout" $?

"$pitleaf" tidy --stdout a.leaf >/dev/full 2>err
[ $? -eq 2 ]
result "standard output that is full" $?

# ---- scopes, and what they come to

fresh && cat >a.leaf <<'END'
car "A" {
  rear  { tyre-radius = 42 mm }
  front { tyre-radius = 41 mm }
}

setup "A, wet" {
  car = "A"
  rear-left { preload = 4 mm }
  all { preload = 2 mm }
}
END
run 0 tidy a.leaf && holds a.leaf 'car "A" {
  front { tyre-radius = 41 mm }
  rear  { tyre-radius = 42 mm }
}

setup "A, wet" {
  car = "A"
  all       { preload = 2 mm }
  rear-left { preload = 4 mm }
}' && run 0 explain a.leaf rear-left.preload && out "4.00 mm"
result "scopes are put in order" $?

# Where the file cannot be worked out, nobody can say that nothing changes.
printf 'setup "B" from "C" {\n  rear { preload = 2 mm }\n  front { preload = 3 mm }\n}\n' >c.leaf
run 0 tidy c.leaf && holds c.leaf 'setup "B" from "C" {
  rear  { preload = 2 mm }
  front { preload = 3 mm }
}'
result "scopes of a file with a mistake stay where they are" $?

# ---- the project's own files

cd "$root" || exit 1
# shellcheck disable=SC2046 -- a list of words; no name in the tree has blanks
"$pitleaf" tidy --check $(find sheets templates -name '*.leaf' ! -path '*/entries/26/*') >"$work/out" 2>"$work/err"
status=$?
[ $status -eq 0 ] || { cd "$work" && sed 's/^/# /' out err; }
result "the sheets and templates are tidy" $status

[ "$failures" -eq 0 ]
