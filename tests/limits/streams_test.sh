#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Standard output and error that are full, closed, or a pipe that nobody reads; files that may
# not grow. The exit status says so, a message says why, and files are whole.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"

cat >own.leaf <<END
setup "Wader" { mass = 1.5 kg; wheelbase = 270 mm
  front { spring = 0.5 N/mm; ride-height = 24 mm }
}
END
cat >box.leaf <<END
oil "thin" { viscosity = 200 cSt }
setup "Wader" { front { oil = 300 cSt } }
box "case" { oils = ["thin"] }
aim { front.oil-viscosity = 250 cSt +- 1 cSt }
END
printf 'rules "Club" {\n  rule "Weight" { require = mass >= 1.4 kg }\n}\n' >rules.leaf
printf 'setup "Two" {\n\n\n   mass = 1.4 kg }\n' >untidy.leaf
cp untidy.leaf untidy.kept

# each COMMAND...: has `$command` be every command that prints.
commands='check own.leaf
check own.leaf --as json
check own.leaf --as sarif
figures own.leaf
figures own.leaf --as json
figures own.leaf --as csv
sheet own.leaf -o -
sheet own.leaf --as boxes
scrutineer rules.leaf own.leaf
scrutineer rules.leaf own.leaf --as json
scrutineer rules.leaf own.leaf -o -
tidy untidy.leaf --check
tidy untidy.leaf --stdout
explain own.leaf car.mass
choose box.leaf
choose box.leaf --as json
describe
describe --as man
--help
--version'

# all STATUS MESSAGE: fails unless every command ends so, its standard output being descriptor 3.
# Without a message, it is not to say anything.
all() {
  verdict=0
  while read -r command; do
    status=0
    # shellcheck disable=SC2086 -- a list of words
    "$pitleaf" $command >&3 2>err </dev/null || status=$?
    if [ "$status" -eq "$1" ] && { [ -z "$2" ] || grep -qF -- "$2" err; }; then continue; fi
    echo "# $command: exit status $status" && sed 's/^/# /' err
    verdict=1
  done <<END
$commands
END
  return $verdict
}

exec 3>/dev/full
all 2 "standard output: No space left on device"
result "every command says that standard output is full" $?
exec 3>&-

# A pipe whose last reader is gone.
mkfifo pipe
exec 4<>pipe 3>pipe 4<&-
(trap '' PIPE && all 2 "standard output: Broken pipe")
result "every command says that nobody reads, where it is let" $?
# Whoever runs the tests may ignore SIGPIPE, and then the program does.
if sh -c 'kill -s PIPE $$' 2>/dev/null; then all 2 "standard output: Broken pipe"; else all 141 ""; fi
result "every command ends by SIGPIPE where nobody reads" $?
exec 3>&-

# With descriptor 1 closed, the files that a command opens get its number.
closed=0
while read -r command; do
  status=0
  # shellcheck disable=SC2086 -- a list of words
  "$pitleaf" $command >&- 2>err </dev/null || status=$?
  [ $status -eq 2 ] && grep -qF "standard output: Bad file descriptor" err || { echo "# $command: $status" && closed=1; }
done <<END
$commands
END
cmp untidy.leaf untidy.kept && [ $closed -eq 0 ]
result "every command says that standard output is closed" $?

run 0 sheet own.leaf -o wanted.pdf && mkdir -p left && cd left &&
  "$pitleaf" sheet ../own.leaf -o one.pdf 2>../err >&- </dev/null &&
  "$pitleaf" sheet ../own.leaf -o two.pdf 2>&- >../out </dev/null &&
  "$pitleaf" sheet ../own.leaf -o three.pdf 2>&- >&- <&- && cmp one.pdf ../wanted.pdf &&
  cmp two.pdf ../wanted.pdf && cmp three.pdf ../wanted.pdf && [ "$(ls | wc -l)" -eq 3 ]
result "a sheet is whole whatever streams are closed" $?
cd "$work" || exit 1

# Where files may not grow, the old ones stay.
echo old >left/one.pdf && rm left/two.pdf left/three.pdf && cp own.leaf untidy.leaf left && cd left
for command in "sheet own.leaf -o one.pdf" "sheet own.leaf -o two.pdf"; do
  status=0
  # shellcheck disable=SC2086 -- a list of words
  (ulimit -f 1 && exec "$pitleaf" $command >/dev/null 2>../err </dev/null) || status=$?
  [ $status -eq 2 ] && grep -qF "was not written: File too large" ../err || status=77
  [ $status -eq 2 ] || break
done
[ $status -eq 2 ] && [ "$(cat one.pdf)" = old ] && [ "$(ls)" = "one.pdf
own.leaf
untidy.leaf" ]
result "where files may not grow the old one stays" $?
cd "$work" || exit 1

status=0
(ulimit -f 1 && exec "$pitleaf" figures own.leaf --as json >grown 2>/dev/null </dev/null) || status=$?
[ $status -eq 2 ]
result "where standard output may not grow the exit status says so" $?

# The longest message of an editor is waited for; a longer one ends the server, which says why.
for length in 67108863 67108864 67108865; do
  printf 'Content-Length: %s\r\n\r\n' $length | "$pitleaf" lsp >out 2>err
  case $length in
  *5) err "a message of the client has more than 67108864 bytes; close the file that is so large" ;;
  *) [ ! -s err ] ;;
  esac
  result "a message of $length bytes" $?
done

[ "$failures" -eq 0 ]
