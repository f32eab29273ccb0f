#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Every command prints and writes the same bytes in each locale and each time zone: where the
# decimal sign is a comma, where i has no capital I, where text is not UTF-8, where the locale
# is none. The locales are compiled here, so that a machine needs none; its own are tried, too.
set -u

. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs localedef locale git qpdf
unset COLUMNS NO_COLOR LANG LANGUAGE LOCPATH TZ GIT_DIR GIT_WORK_TREE GIT_INDEX_FILE GIT_PREFIX
for name in $(env | sed -n 's/^\(LC_[A-Z]*\)=.*/\1/p'); do unset "$name"; done
export GIT_CONFIG_GLOBAL=/dev/null GIT_CONFIG_NOSYSTEM=1 HOME="$work"

# ---- the locales

# build LANGUAGE CHARSET SIGN: a locale with that decimal sign, which the library really takes.
mkdir locales
build() {
  localedef -i "$1" -f "$2" "$work/locales/$1.$2" >built 2>&1 &&
    [ "$(LOCPATH=$work/locales LC_ALL=$1.$2 locale decimal_point 2>&1)" = "$3" ] &&
    [ "$(LOCPATH=$work/locales LC_ALL=$1.$2 locale charmap 2>&1)" = "$2" ] || {
    sed 's/^/# /' built
    false
  }
  result "the locale $1.$2 can be had" $?
}
build de_DE UTF-8 ,
build de_DE ISO-8859-1 ,
build tr_TR UTF-8 ,
build tr_TR ISO-8859-9 ,
build ar_EG UTF-8 .
build ja_JP EUC-JP .
build hi_IN UTF-8 .

# ---- what is printed and written

sheets=$work/sheets
cp -R "$root/sheets" "$sheets"
(
  cd "$sheets" && git init -q -b main . && git add -A &&
    export GIT_AUTHOR_NAME=Pip GIT_AUTHOR_EMAIL=pip@example.org &&
    export GIT_COMMITTER_NAME=Pip GIT_COMMITTER_EMAIL=pip@example.org &&
    export GIT_AUTHOR_DATE=2026-03-01T23:30:00-0330 GIT_COMMITTER_DATE=2026-03-01T23:30:00-0330 &&
    git commit -q -m first && sed -i 's/camber  *= -1.5 deg/camber = -2 deg/' sluice-lane/plover-dry.leaf &&
    git commit -q -a -m second && sed -i '1s/$/ # İıIi ß/' sluice-lane/plover-dry.leaf
) >history 2>&1
result "a history to walk" $?
cp "$root/tests/unit/fixtures/mistaken.leaf" "$sheets/mistaken.leaf"
printf 'setup "Weiß İıIi" {\n  PRELOAD = 3,5 mm\n  Title = "TITLE"\n}\n' >"$sheets/capitals.leaf"

# command NAME ARGUMENT...: runs the program in the sheets; its status, output and messages are
# in NAME.status, NAME.out and NAME.err of the folder $to.
command() {
  name=$1
  shift
  (cd "$sheets" && "$pitleaf" "$@" >"$to/$name.out" 2>"$to/$name.err" </dev/null
    echo $? >"$to/$name.status")
}

# everything FOLDER: what all commands print and write, in every format.
everything() {
  to=$work/$1
  mkdir "$to"
  plover=sluice-lane/plover-dry.leaf base=cars/plover/baseline.leaf
  round=sluice-lane/round-3/round-3.leaf rules=rules/saltmarsh-tenth.leaf
  libraries="--library cars --library library"
  for format in text json sarif; do
    # shellcheck disable=SC2086 -- a list of words
    command "check-$format" check --as $format $plover mistaken.leaf capitals.leaf missing.leaf
  done
  for format in text json csv; do
    command "figures-$format" figures $plover --as $format
    command "imperial-$format" figures $plover --units imperial --as $format
    command "curve-$format" curve $plover damper-force --as $format
  done
  for format in text json; do
    command "compare-$format" compare $base $plover --as $format
    command "log-$format" log $plover --as $format
  done
  for format in text json csv junit; do
    # shellcheck disable=SC2086
    command "scrutineer-$format" scrutineer $rules $round --as $format $libraries
  done
  # shellcheck disable=SC2086
  {
    command measuring scrutineer $rules $round $libraries -o "$to/measuring.pdf"
    command packet meeting $round $libraries -o "$to/packet.pdf"
    command split meeting $round $libraries --split "$to/split"
  }
  command sheet sheet $plover --against $base -o "$to/sheet.pdf"
  command stream sheet $plover --template "build sheet" -o -
  command boxes sheet $plover --template curves --as boxes
  command german sheet $plover --template languages/german/race-sheet.leaf -o "$to/german.pdf"
  command convert compare --convert $plover
  command explain explain $plover rear-left.damping-ratio-slow
  command describe describe
  command table describe --as markdown
  command manual describe --as man
  command commands describe commands --as man
  for shell in bash zsh fish; do command "completion-$shell" describe completion --as $shell; done
  command tidy tidy --stdout $plover capitals.leaf
  command capital-word describe TITLE
  command capital-option figures --ONLY x
  command number figures $plover --only wheel-rate,ı
  # Where it was written to is told, and is another folder each time.
  sed -i "s|$to|FOLDER|g" "$to"/*.err
}

everything reference
echo $(cat reference/sheet.status reference/packet.status reference/scrutineer-csv.status) | grep -qx "0 1 1" && grep -q 'Ride frequency' reference/figures-text.out && grep -q second reference/log-text.out &&
  qpdf --check reference/packet.pdf >checked 2>&1
result "the commands do their work" $?
export LC_ALL=C
everything c
diff -r reference c >differs && [ "$(find reference -type f | wc -l)" -gt 120 ]
result "the same bytes with LC_ALL=C as without" $?

# same NAME VARIABLE=VALUE...: they are the bytes of the reference in that environment.
same() {
  name=$1
  shift
  (for setting in "$@"; do export "${setting?}"; done && everything tried)
  diff -rq reference tried >differs
  told=$?
  head -n 5 differs | sed 's/^/# /'
  result "the same bytes $name" $told
  rm -rf tried
}

made=LOCPATH=$work/locales
for locale in $(cd locales && ls); do
  same "in $locale" "$made" "LC_ALL=$locale" LANGUAGE=de:tr
done
for locale in $(locale -a | grep -vx -e C -e POSIX | head -n 12); do
  same "in this machine's $locale" "LC_ALL=$locale"
done
same "in a locale that is not there" LC_ALL=xx_XX.NOTHING
same "in a locale that is none" 'LC_ALL=../../etc/passwd%s%n'
unset LC_ALL
same "in a mixture of locales" "$made" LANG=tr_TR.UTF-8 LC_NUMERIC=de_DE.UTF-8
for zone in UTC America/St_Johns Asia/Kathmandu NPT-5:45 nonsense ''; do
  same "in the time zone '$zone'" "TZ=$zone"
done

# ---- a library inside a program that has set its locale

numbers=$(dirname "$pitleaf")/tests/unit/numbers_test
for locale in de_DE.UTF-8 de_DE.ISO-8859-1 tr_TR.UTF-8; do
  LOCPATH=$work/locales PITLEAF_TEST_LOCALE=$locale "$numbers" >numbers 2>&1 &&
    grep -q 'OK.*locale_with_a_comma' numbers || { sed 's/^/# /' numbers && false; }
  result "numbers are read and printed where the program's locale is $locale" $?
done

[ "$failures" -eq 0 ]
