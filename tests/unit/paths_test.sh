#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Names of files as they come (paths.py): with blanks, quotes, lines, escapes, bytes that are no
# UTF-8, as long as a name may be. And folders where nothing may be written, or that are gone.
set -u

. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs git qpdf pdffonts pdftotext setpriv /usr/bin/python3
unset COLUMNS NO_COLOR GIT_DIR GIT_WORK_TREE GIT_INDEX_FILE GIT_PREFIX
export GIT_CONFIG_GLOBAL=/dev/null GIT_CONFIG_NOSYSTEM=1 HOME="$work" LC_ALL=C.UTF-8
export GIT_AUTHOR_NAME=Pip GIT_AUTHOR_EMAIL=pip@example.org
export GIT_COMMITTER_NAME=Pip GIT_COMMITTER_EMAIL=pip@example.org

# ---- names

/usr/bin/python3 "$root/tests/unit/paths.py" "$pitleaf" "$work" >names.log 2>&1
told=$?
cat names.log
[ "$told" -eq 0 ] && [ "$(grep -c '^ok ' names.log)" -ge 20 ] || failures=$((failures + 1))
failures=$((failures + $(grep -c '^not ok ' names.log)))
cd "$work" && rm -rf names

# ---- the longest name, and one that is too long

cp "$root/sheets/library/oils.leaf" .
printf 'setup "a" { track-name = "x"; all { preload = 1 mm } }\n' >a.leaf
for length in 90 249 255; do
  name=$(printf 'n%.0s' $(seq $((length - 4)))).pdf
  run 0 sheet a.leaf -o "$name" && sound "$name" && [ "$(find . -name '*pdf*' | wc -l)" -eq 1 ]
  result "a sheet's name of $length bytes" $?
  rm -f "$name"
done
name=$(printf 'n%.0s' $(seq 252)).pdf
run 2 sheet a.leaf -o "$name" && err "File name too long; name another file behind -o"
result "a sheet's name of 256 bytes" $?
name=$(printf 'n%.0s' $(seq 250)).leaf
printf 'setup "a" {track-name="x"}\n' >"$name" && run 0 tidy "$name" && run 0 tidy --check "$name" &&
  [ "$(find . -name 'nnn*' | wc -l)" -eq 1 ]
result "a setup's name of 255 bytes is laid out in its place" $?

# ---- folders where nothing may be written, for root as well

# as_user ARGUMENT...: run, by somebody who has no rights to the folder; out and err as ever.
chmod 755 "$work" && cp "$pitleaf" "$work/program" && chmod 755 "$work/program"
mkdir shut && cp a.leaf shut/ && echo old >shut/a.pdf && echo old >shut/old.pdf && chmod -R a+rX,go-w shut
as_user() {
  wanted=$1
  shift
  if [ "$(id -u)" -eq 0 ]; then
    setpriv --reuid 65534 --regid 65534 --clear-groups "$work/program" "$@" >out 2>err </dev/null
  else
    chmod a-w shut && "$work/program" "$@" >out 2>err </dev/null
  fi
  [ $? -eq "$wanted" ] || { sed 's/^/# /' out err && return 1; }
}
old() { [ "$(cat shut/old.pdf shut/a.pdf)" = "old
old" ] && [ "$(ls -A shut)" = "a.leaf
a.pdf
old.pdf" ]; }

as_user 2 sheet shut/a.leaf -o shut/new.pdf && old &&
  err "\`shut/new.pdf\` was not written: Permission denied; name another file behind -o"
result "a new sheet in a folder that may not be written" $?
as_user 2 sheet shut/a.leaf -o shut/old.pdf && old && err "Permission denied; name another file behind -o"
result "an old sheet in a folder that may not be written" $?
printf 'setup "a" {track-name="x"}\n' >shut/a.leaf
as_user 2 tidy shut/a.leaf && old && grep -q '{track-name="x"}' shut/a.leaf &&
  err "cannot be written: Permission denied; --stdout prints its layout"
result "a setup that may not be laid out in its place" $?
printf 'meeting "m" { entry "1" { driver = "Pip" } }\n' >shut.leaf
as_user 2 meeting shut.leaf --split shut/new && old && err "cannot be made: Permission denied; name another"
result "a folder of single files that may not be made" $?
as_user 2 meeting shut.leaf --split shut && old && err "Permission denied; name another folder behind --split"
result "single files in a folder that may not be written" $?
for folder in a.leaf no/such /proc; do
  run 2 sheet a.leaf -o "$folder/x.pdf" && err "was not written" && err "name another file behind -o"
  result "a sheet in $folder" $?
done
run 2 sheet a.leaf -o no/such/x.pdf && err "there is no folder \`no/such\`: make it, or name another"
result "a sheet in a folder that is not there" $?
(cd /proc && "$pitleaf" sheet "$work/a.leaf") >out 2>err </dev/null
[ $? -eq 2 ] && err "\`a.pdf\` was not written" && err "name another file behind -o"
result "a sheet in a working folder that takes none" $?

# ---- a working folder that is gone, and an environment that says nothing

mkdir gone
(cd gone && rmdir ../gone && "$pitleaf" check "$work/a.leaf" && "$pitleaf" figures "$work/a.leaf" &&
  "$pitleaf" check --as sarif "$work/a.leaf") >out 2>err </dev/null
[ $? -eq 0 ] && [ ! -s err ]
result "files are read where the working folder is gone" $?
mkdir gone
(cd gone && rmdir ../gone && "$pitleaf" sheet "$work/a.leaf") >out 2>err </dev/null
[ $? -eq 2 ] && err "\`a.pdf\` was not written: No such file or directory; name another file behind -o"
result "no sheet is written where the working folder is gone" $?
mkdir gone
(cd gone && rmdir ../gone && "$pitleaf" check a.leaf) >out 2>err </dev/null
[ $? -eq 2 ] && err "There is no file \`a.leaf\`"
result "no file is found where the working folder is gone" $?
env -i "$pitleaf" sheet a.leaf -o bare.pdf >out 2>err </dev/null && sound bare.pdf &&
  env -i TMPDIR="$work/no/such" HOME="$work/no/such" "$pitleaf" sheet a.leaf -o other.pdf >out 2>err &&
  cmp bare.pdf other.pdf
result "neither HOME nor a folder for temporary files is wanted" $?
git init -q season && cp a.leaf season && git -C season add -A && git -C season commit -q -m one &&
  (cd season && env -i "$pitleaf" log a.leaf >../out 2>../err) && out "the first version" &&
  (cd season && env -i HOME=/no/such XDG_CONFIG_HOME=/no/such "$pitleaf" log a.leaf >../out 2>../err) &&
  out "the first version" && [ ! -s err ]
result "a history is read without a HOME" $?

[ "$failures" -eq 0 ]
