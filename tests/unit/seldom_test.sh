#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What the commands seldom meet: options that do not go together, outputs that would take the
# place of a setup, a terminal to report to, repositories that are spoilt.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs git script
unset COLUMNS NO_COLOR GIT_DIR GIT_WORK_TREE GIT_INDEX_FILE GIT_PREFIX

demo=$root/sheets/sluice-lane/plover-dry.leaf

# ---- options

run 2 compare --external --as json "$demo" && err "--external is text alone"
result "what git asks for is text" $?
run 2 compare --convert --as json "$demo" && err "--convert is text alone"
result "what git converts is text" $?
run 2 figures "$demo" --only preload && err '`preload` is a setting; --only takes figures'
result "a setting among the figures" $?
run 2 tidy --check=yes "$demo" && err "nothing stands behind --check"
result "something behind a flag" $?
run 0 describe commands && out "pitleaf check" && out "pitleaf tidy"
result "the commands, described" $?
run 2 describe commands --as markdown && err "with --as man a manual page"
result "the commands in another form" $?
COLUMNS=60 run 0 compare "$root/sheets/cars/plover/baseline.leaf" "$demo" && cp out narrow && COLUMNS=39 run 0 compare "$root/sheets/cars/plover/baseline.leaf" "$demo" && cp out ignored &&
  COLUMNS=501 run 0 compare "$root/sheets/cars/plover/baseline.leaf" "$demo" && cmp out ignored && ! cmp -s out narrow
result "the width of the terminal that is told" $?
echo 'setup "s" { all { preload = 1 mm; ride-height = 20 mm }; rear-left { preload = 2 mm } }' >uneven.leaf
run 0 explain uneven.leaf rear.shock-temperature && out "25"
result "a figure that both rear corners have alike" $?
run 2 explain "$demo" rear.ride-frequency && err "differs left and right"
result "a figure that they have not" $?
run 0 describe unexpected && out "unexpected   error" && out "mend: expected {2}"
result "a problem by its code" $?

# ---- outputs

run 2 sheet "$demo" -o new.leaf && err "it is named like a setup" && [ ! -e new.leaf ]
result "a sheet that is named like a setup" $?
run 2 compare --convert missing.leaf && err "missing.leaf"
result "a missing file is not converted" $?

cat >meeting.leaf <<'END'
meeting "m" {
  entry "7 B" { driver = "A" }
  entry "7-B" { driver = "B" }
}
END
run 0 meeting meeting.leaf --split apart && [ -s apart/entry-7_B.pdf ] && [ -s apart/entry-7_B-2.pdf ]
result "two numbers that read the same in a file's name" $?
rm -r apart && mkdir -p apart/entry-7_B.pdf && run 2 meeting meeting.leaf --split apart &&
  err 'entry-7_B.pdf` was not written' && [ -s apart/entry-7_B-2.pdf ]
result "an entry's file that cannot be written" $?
script -qec "'$pitleaf' meeting meeting.leaf -o shown.pdf" /dev/null </dev/null >shown 2>&1 &&
  grep -q "of 2, entry" shown && [ -s shown.pdf ]
result "progress on a terminal" $?

# ---- inputs

"$pitleaf" check - </ >out 2>err
[ $? -eq 2 ] && err "directory"
result "standard input that is a folder" $?
head -c 8400000 /dev/zero | tr '\0' '\n' | "$pitleaf" check - >out 2>err
[ $? -eq 2 ] && err "larger than"
result "standard input that is too large" $?
# What begins as the mark of UTF-8 does, and is none.
for start in '\357x' '\357\273x' '\357\273'; do
  # shellcheck disable=SC2059 -- the start is a format
  printf "$start\n" >start.leaf
  run 1 check start.leaf && err "start.leaf:1:1" || echo "$start"
done >unseen
[ ! -s unseen ]
result "half a mark of UTF-8" $?
mkdir -p folder/inside && run 0 meeting meeting.leaf --split folder/inside/ && [ -s folder/inside/entry-7_B.pdf ]
result "a folder whose name ends with a stroke" $?

# ---- scrutineering

cat >rules.leaf <<'END'
rules "r" { rule "Width" { require = width <= 250 mm } }
END
ln -s loop.leaf loop.leaf
run 2 scrutineer rules.leaf loop.leaf && err "Too many levels" && out "1 cannot be judged"
result "a link to itself that is to be judged" $?

# ---- laying out scopes that stand in another order

cat >moved.leaf <<'END'
setup "s" {
  front-left { preload = 1 mm }
  all { preload = 2 mm; extra { "grease" = "thick" } }
  ballast "lead" { mass = 20 g; at = (10 mm, 0 mm, 20 mm) }
  extra { "towel" = "blue" }
}
END
cp moved.leaf as-it-was.leaf
run 0 figures moved.leaf --as csv && cp out before && run 0 tidy moved.leaf && ! cmp -s moved.leaf as-it-was.leaf
run 0 figures moved.leaf --as csv && cmp out before
result "moved scopes beside extras and ballast" $?

cat >angles.leaf <<'END'
setup "s" {
  front { preload = 10 mm * sin(30 deg) }
  rear-left { preload = 10 mm * cos(60 deg) }
  rear-right { preload = 10 mm * tan(45 deg) }
  extra { "towel" = "blue" }
}
END
run 0 figures angles.leaf --as csv && out 'setting,front-left,"preload",5.00,mm' &&
  out 'setting,rear-left,"preload",5.00,mm' && out 'setting,rear-right,"preload",10.00,mm' && out '"towel"'
result "sine, cosine and tangent" $?

# ---- git

export GIT_CONFIG_GLOBAL=/dev/null GIT_CONFIG_NOSYSTEM=1 HOME="$work" LC_ALL=C.UTF-8
export GIT_AUTHOR_NAME=Pip GIT_AUTHOR_EMAIL=pip@example.org
export GIT_COMMITTER_NAME=Pip GIT_COMMITTER_EMAIL=pip@example.org
git init -q -b main shop && cd shop || exit 1
echo 'setup "a" { all { preload = 1 mm } }' >s.leaf && git add -A && git commit -q -m one
echo 'setup "b" { all { preload = 2 mm } }' >>s.leaf && git commit -qam two
run 0 log s.leaf --setup b && out "two" && ! grep -q " one" out
result "a setup that a later commit brought" $?
echo 'setup "x" { }' >"$work/outside.leaf"
GIT_DIR=$work/shop/.git run 2 log "$work/outside.leaf" && err "is outside the work tree"
result "a file outside the work tree" $?
run 0 log s.leaf --as json && out '"what": "first"' && out '"problem": "s.leaf:1:1: '
result "a log as JSON" $?
echo 'oil "thin" { viscosity = 300 cSt }' >oils.leaf && git add -A && git commit -q -m five &&
  echo 'oil "thin" { viscosity = 350 cSt }' >oils.leaf && git commit -qam six &&
  run 0 log oils.leaf --as json && out '"lines"' && out 'viscosity: 300 cSt → 350 cSt' && python3 -m json.tool out >/dev/null
result "a log of what is no setup, as JSON" $?
git mv oils.leaf oil.leaf && echo '# of the club' >>oil.leaf && git commit -qam seven && run 0 log oil.leaf --as json &&
  out '"renamed-from": "oils.leaf"' && out "only comments, blanks or the order of lines differ"
result "a log of a renamed file" $?
rm s.leaf && run 0 log s.leaf && out "two" && cp out gone && git checkout -q s.leaf && run 0 log s.leaf && ! cmp -s out gone
result "a file that is gone and not committed" $?
mkdir deep && mv s.leaf deep/real.leaf && ln -s ./deep/../deep//real.leaf s.leaf &&
  printf 'include "../s.leaf"\nsetup "c" from "b" { }\n' >deep/c.leaf && git add -A && git commit -q -m three &&
  run 0 log deep/c.leaf && out "three" && ! grep -q mistake out
result "a link that goes up and down again" $?
ln -s ../../up.leaf deep/up.leaf && ln -s /etc/hostname deep/root.leaf && ln -s .. deep/top.leaf &&
  printf 'include "up.leaf"\nsetup "d" { }\n' >d.leaf && printf 'include "deep/up.leaf"\nsetup "e" { }\n' >e.leaf &&
  printf 'include "deep/root.leaf"\nsetup "f" { }\n' >f.leaf && git add -A && git commit -q -m four
for name in e f; do
  "$pitleaf" log $name.leaf >out 2>err
  grep -q mistake out || echo "$name"
done >wrong
[ ! -s wrong ]
result "links that lead out of the repository" $?
cp deep/c.leaf plain.leaf && sed -i 's|"../s.leaf"|"s.leaf"|' plain.leaf && git add -A && git commit -q -m "another" &&
  echo '# by hand' >>deep/real.leaf && echo '# of it' >>plain.leaf && git commit -qam "notes" && run 0 log plain.leaf HEAD~1..HEAD &&
  out "no value differs; what changed is the text of"
result "a log of what changed in comments alone" $?
# Names of one letter and of two, with points and without.
mkdir a .x ab && touch a/f .x/f ab/f && ln -s a/../.x/../ab/../deep/./real.leaf around.leaf &&
  printf 'include "around.leaf"\nsetup "g" from "b" { }\n' >g.leaf && chmod +x g.leaf && git add -A && git commit -q -m "around" &&
  run 0 log g.leaf && out "around" && ! grep -q mistake out
result "a link that goes round" $?
git checkout -q -b side && echo 'setup "x" { all { preload = 5 mm } }' >x.leaf && git add -A &&
  GIT_AUTHOR_DATE=2026-03-01T12:00:00-0530 git commit -q -m "aside" && git checkout -q main &&
  run 0 log x.leaf side && out "aside" && run 0 log x.leaf side --as json && out "T12:00:00-05:30"
result "a branch beside, from west of Greenwich" $?
run 2 log s.leaf HEAD:g.leaf && err "git knows no" && run 2 log s.leaf HEAD:g.leaf..HEAD && err "git knows no" &&
  run 2 log s.leaf HEAD..HEAD:g.leaf && err "git knows no"
result "a range of what is no commit" $?
# What a commit has in place of a file: too much, a folder, another repository, a link of links.
head -c 8400000 /dev/zero | tr '\0' '\n' >large.leaf && ln -s . deep/here && ln -s deep/here/real.leaf through.leaf &&
  git add -A && git update-index --add --cacheinfo "160000,$(git rev-parse HEAD),other.leaf" && git commit -q -m eight
i=0
for file in large.leaf deep other.leaf through.leaf deep/here/real.leaf absent/real.leaf; do
  i=$((i + 1))
  printf 'include "%s"\nsetup "x" { }\n' "$file" >"take-$i.leaf" && git add "take-$i.leaf" && git commit -q -m "takes $file"
  "$pitleaf" log "take-$i.leaf" HEAD >out 2>err || true
  grep -q mistake out && echo "$file"
done >mistaken
printf 'large.leaf\ndeep\nother.leaf\nabsent/real.leaf\n' | cmp - mistaken
result "what stands in place of a file in a commit" $?
commit=$(git rev-parse HEAD) && rm -f ".git/objects/$(echo "$commit" | cut -c1-2)/$(echo "$commit" | cut -c3-)" &&
  export ASAN_OPTIONS=detect_leaks=0 && # libgit2 keeps the reference whose commit is missing
  run 2 log s.leaf && err "git knows no"
result "a repository that lacks its newest commit" $?
unset ASAN_OPTIONS

[ "$failures" -eq 0 ]
