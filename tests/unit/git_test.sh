#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Setups in git: the diff command, the text converter, the log of a setup and the check before a
# commit, on repositories that are made here, without any configuration of the user's.
set -u

. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs git
unset COLUMNS NO_COLOR GIT_DIR GIT_WORK_TREE GIT_INDEX_FILE GIT_PREFIX
export GIT_CONFIG_GLOBAL=/dev/null GIT_CONFIG_NOSYSTEM=1 HOME="$work" LC_ALL=C.UTF-8
export GIT_AUTHOR_NAME=Pip GIT_AUTHOR_EMAIL=pip@example.org
export GIT_COMMITTER_NAME=Pip GIT_COMMITTER_EMAIL=pip@example.org
PATH=$(dirname "$pitleaf"):$PATH # `pitleaf` in hooks and in git's configuration

# The files of `is`: what a command printed, which must be the text behind it, to the letter.
same() { diff -u "$1" "$2" >"$work/differs" || { sed 's/^/# /' "$work/differs" && return 1; }; }

day=0
# commit SUBJECT: commits everything, a day after the last.
commit() {
  day=$((day + 1))
  GIT_AUTHOR_DATE=$(printf '2026-03-%02dT12:00:00+0100' "$day") GIT_COMMITTER_DATE=$GIT_AUTHOR_DATE
  export GIT_AUTHOR_DATE GIT_COMMITTER_DATE
  git add -A && git commit -q --allow-empty -m "$1"
}

# repository NAME: an empty repository with the lines of the README in it; goes there.
repository() {
  cd "$work" && git init -q -b main "$1" && cd "$1" &&
    echo '*.leaf diff=pitleaf' >.gitattributes &&
    git config diff.pitleaf.command 'pitleaf compare --external' &&
    git config diff.pitleaf.textconv 'pitleaf compare --convert'
}

# swap FILE OLD NEW: replaces words in a file, which must be there.
swap() {
  grep -qF -- "$2" "$1" || { echo "# $1 lacks: $2" && return 1; }
  sed "s|$2|$3|" "$1" >"$work/swapped" && cat "$work/swapped" >"$1"
}

# Hashes are those of this machine's git: they are read as HASH, or as HASH in short.
hashless() { sed -E 's/^[0-9a-f]{7,40} (20[24])/HASH \1/'; }

# ---- a history of seven commits

repository season
mkdir setups library
cat >library/oils.leaf <<'END'
oil "thin"  { viscosity = 300 cSt }
oil "thick" { viscosity = 400 cSt }
END
sed 's|include "../../library/oils.leaf"|include "../library/oils.leaf"|' >setups/dry.leaf <<'END'
include "../../library/oils.leaf"
damper "d" { bore = 12 mm; shaft = 3 mm; extended-length = 86 mm; stroke = 24 mm }
car "c" {
  mass = 1600 g; front-share = 42 %; wheelbase = 280 mm; cg-height = 50 mm
  all {
    track = 212 mm; tyre-radius = 42 mm; unsprung-mass = 60 g; damper = "d"
    arm-inner = (20 mm, 12 mm); arm-outer = (100 mm, 13 mm); wheel-centre = (112 mm, 21 mm)
    shock-top { 1 = (50 mm, 90 mm) }
    shock-bottom = (64 mm, 14 mm)
  }
}
setup "dry" {
  car = "c"; air = 20 degC
  all {
    ride-height = 21 mm; spring = 0.5 N/mm; preload = 2 mm; oil = "thin"
    piston = 2 x 1.6 mm; shock-top = 1
  }
}
END
commit "The season's start"
swap setups/dry.leaf 'preload = 2 mm' 'preload = 3 mm' && git diff >"$work/is" 2>&1
same "$work/is" - <<'END'
setups/dry.leaf
  all preload 2.00 → 3.00 mm; rear settled ride height +1.7 mm; roll gradient -0.03 °/g
END
result "the diff of a change of preload" $?
git diff --no-ext-diff 2>&1 | sed -n '/^@@/p; /^[-+] /p' >"$work/is"
same "$work/is" - <<'END'
@@ -49,10 +49,10 @@ setup "dry"
-  front-left preload = 2.00 mm
-  front-right preload = 2.00 mm
-  rear-left preload = 2.00 mm
-  rear-right preload = 2.00 mm
+  front-left preload = 3.00 mm
+  front-right preload = 3.00 mm
+  rear-left preload = 3.00 mm
+  rear-right preload = 3.00 mm
@@ -107,14 +107,14 @@ setup "dry"
-  front-left settled-ride-height = 22.4 mm
-  front-right settled-ride-height = 22.4 mm
-  rear-left settled-ride-height = 14.4 mm
-  rear-right settled-ride-height = 14.4 mm
+  front-left settled-ride-height = 24.2 mm
+  front-right settled-ride-height = 24.2 mm
+  rear-left settled-ride-height = 16.1 mm
+  rear-right settled-ride-height = 16.1 mm
-  roll-gradient = 6.31 °/g
+  roll-gradient = 6.28 °/g
END
result "the converted diff of the same" $?
commit "More preload"

swap setups/dry.leaf 'oil = "thin"' 'oil = "thick"' && git diff >"$work/is" 2>&1
same "$work/is" - <<'END'
setups/dry.leaf
  all oil thin → thick; front damping ratio, slow +0.29; pack speed +195 mm/s
END
result "the diff of a change of oil" $?
commit "Thicker oil"

swap library/oils.leaf 'viscosity = 400 cSt' 'viscosity = 420 cSt' && git diff >"$work/is" 2>&1
same "$work/is" - <<'END'
library/oils.leaf
  oil "thick" viscosity: 400 cSt → 420 cSt
END
result "the diff of a library" $?
commit "The oil as measured"

git mv setups/dry.leaf setups/heats.leaf && swap setups/heats.leaf 'setup "dry"' 'setup "heats"' &&
  git add -A && git diff --cached -M >"$work/is" 2>&1
same "$work/is" - <<'END'
setups/dry.leaf → setups/heats.leaf
  setup "dry" is now called "heats"
END
result "the diff of a renamed file" $?
commit "Called by its use"

swap setups/heats.leaf 'shock-top = 1' 'shok-top = 1' && git diff >"$work/is" 2>&1
same "$work/is" - <<'END'
setups/heats.leaf
  a mistake: setups/heats.leaf:16:26: error[unknown-key]: A setup has no key `shok-top`. (did you mean `shock-top`?)
  setup "heats" all shok-top is new: 1
  setup "heats" all shock-top is dropped: 1
END
result "the diff of a slip of the pen" $?
commit "A slip"

swap setups/heats.leaf 'shok-top = 1' 'shock-top = 1; camber = -1 deg' && git diff >"$work/is" 2>&1
same "$work/is" - <<'END'
setups/heats.leaf
  the older version has a mistake: setups/heats.leaf:16:26: error[unknown-key]: A setup has no key `shok-top`. (did you mean `shock-top`?)
  setup "heats" all shock-top is new: 1
  setup "heats" all camber is new: -1 deg
  setup "heats" all shok-top is dropped: 1
END
result "the diff of its mend" $?
commit "Mended"

cat >"$work/whole" <<'END'
HASH 2026-03-01  The season's start
    the first version: "dry"
    all wheel rate 0.154 N/mm; front ride frequency 3.76 Hz; rear ride
    frequency 3.11 Hz; front damping ratio, slow 0.86; rear damping ratio, slow
    0.71; front damping ratio, fast 1.60; rear damping ratio, fast 1.32; front
    preload needed 1.20 mm; rear preload needed 5.81 mm

HASH 2026-03-02  More preload
    all preload 2.00 → 3.00 mm
    → front settled ride height 22.4 → 24.2 mm; rear settled ride height 14.4 →
    16.1 mm; roll gradient 6.31 → 6.28 °/g

HASH 2026-03-03  Thicker oil
    all oil thin → thick
    → front damping ratio, slow 0.86 → 1.15; rear damping ratio, slow 0.71 →
    0.95; front damping ratio, fast 1.60 → 1.88; rear damping ratio, fast 1.32
    → 1.56; all pack speed 584 → 779 mm/s

HASH 2026-03-04  The oil as measured
    all oil thick: viscosity 400 cSt → 420 cSt
    → front damping ratio, slow 1.15 → 1.21; rear damping ratio, slow 0.95 →
    1.00; front damping ratio, fast 1.88 → 1.94; rear damping ratio, fast 1.56
    → 1.61; all pack speed 779 → 818 mm/s

HASH 2026-03-05  Called by its use
    renamed: setups/dry.leaf → setups/heats.leaf
    no value differs

HASH 2026-03-06  A slip
    it has a mistake: setups/heats.leaf:16:26: error[unknown-key]: A setup has
    no key `shok-top`. (did you mean `shock-top`?)

HASH 2026-03-07  Mended
    all camber, new: -1.0°
END
# log ARGUMENT...: the log, its hashes as HASH, in the file is.
log() { pitleaf log "$@" >"$work/out" 2>"$work/err" </dev/null && hashless <"$work/out" >"$work/is"; }

log setups/heats.leaf && same "$work/is" "$work/whole"
result "the log of all that" $?
(cd setups && log heats.leaf && same "$work/is" "$work/whole") &&
  (cd library && log ../setups/heats.leaf && same "$work/is" "$work/whole") &&
  (cd / && log "$work/season/setups/heats.leaf" && same "$work/is" "$work/whole")
result "the log in a folder of the tree, and from elsewhere" $?
# The working tree's own libraries say nothing of what a commit had.
rm library/oils.leaf && log setups/heats.leaf HEAD~5..HEAD~2 &&
  sed -n '/03-03/,/^$/p; /03-04/,/^$/p; /03-05/,/no value/p' "$work/whole" | same "$work/is" -
result "a range, with the includes of each commit" $?
log setups/heats.leaf &&
  { sed '$!b' "$work/whole" && cat <<'END'; } | same "$work/is" -

not committed
    it has a mistake: setups/heats.leaf:1:9: error[include-missing]: There is
    no file `../library/oils.leaf` to include. (paths are relative to the file
    that has the include, then to each --library folder); and 1 more
END
result "a library that is gone from the disk" $?
git checkout -q library && swap library/oils.leaf 420 430 && log setups/heats.leaf HEAD~1.. &&
  same "$work/is" - <<'END'
HASH 2026-03-07  Mended
    all camber, new: -1.0°

not committed
    all oil thick: viscosity 420 cSt → 430 cSt
    → front damping ratio, slow 1.21 → 1.23; rear damping ratio, slow 1.00 →
    1.02; front damping ratio, fast 1.94 → 1.97; rear damping ratio, fast 1.61
    → 1.63; all pack speed 818 → 837 mm/s
END
result "what is not committed comes last" $?
log setups/heats.leaf HEAD~1..HEAD && ! grep -q "not committed" "$work/is"
result "a range that says its end ends there" $?
git checkout -q library

log setups/heats.leaf HEAD~6..HEAD~5 --only preload-needed,settled-ride-height --units imperial &&
  same "$work/is" - <<'END'
HASH 2026-03-02  More preload
    all preload 0.079 → 0.118 in
    → front settled ride height 0.883 → 0.953 in; rear settled ride height
    0.566 → 0.634 in
END
result "the figures that are named, in other units" $?
log setups/heats.leaf HEAD~4..HEAD~3 --as json && grep -q '"within": "viscosity 400 cSt → 420 cSt"' "$work/out" &&
  grep -q '"subject": "The oil as measured"' "$work/out" && grep -q '"what": "changed"' "$work/out" &&
  grep -q '"time": "2026-03-04T12:00:00+01:00"' "$work/out" && ! grep -q Pip "$work/out"
result "the log as JSON, without names of people" $?
log library/oils.leaf && same "$work/is" - <<'END'
HASH 2026-03-01  The season's start
    the first version

HASH 2026-03-04  The oil as measured
    oil "thick" viscosity: 400 cSt → 420 cSt
END
result "the log of a file without setups" $?
git log --format= -p -1 HEAD~3 >"$work/is" 2>&1 && grep -q '^+  viscosity = 420 cSt' "$work/is" &&
  git show --ext-diff --format= HEAD~3 | grep -q 'oil "thick" viscosity: 400 cSt → 420 cSt'
result "git log and git show" $?
(cd setups && swap heats.leaf 'preload = 3 mm' 'preload = 4 mm' && git diff >"$work/is" &&
  git diff --relative >"$work/relative" && git checkout -q heats.leaf &&
  grep -q "all preload 3.00 → 4.00 mm" "$work/is" && grep -q "all preload 3.00 → 4.00 mm" "$work/relative")
result "git diff in a folder of the tree" $?
# Of two commits git hands over copies alone, and a path that it has cut.
(cd setups && git diff --relative HEAD~2 HEAD~1 >"$work/relative" && cd .. && git diff HEAD~2 HEAD~1 >"$work/is" &&
  grep -q "^setups/heats.leaf" "$work/is" && diff "$work/is" "$work/relative" && grep -q mistake "$work/is" &&
  ! grep -q "leads outside" "$work/relative")
result "git diff of two commits in a folder of the tree" $?

# ---- new, removed, unmerged, of another kind

printf 'include "heats.leaf"\nsetup "more" from "heats" { all { preload = 4 mm } }\n' >setups/more.leaf
git add -A && git diff --cached >"$work/is" && same "$work/is" - <<'END'
setups/more.leaf is new
  setup "more" is new, from "heats"
    all preload 3.00 → 4.00 mm; rear settled ride height +1.7 mm; roll gradient -0.02 °/g
  include "heats.leaf" is new
END
result "the diff of a new file" $?
commit "More"
git rm -q setups/more.leaf && git diff --cached >"$work/is" && same "$work/is" - <<'END'
setups/more.leaf is removed
  setup "more" is dropped
  include "heats.leaf" is dropped
END
result "the diff of a removed file" $?
commit "Less"
log setups/more.leaf && same "$work/is" - <<'END'
HASH 2026-03-08  More
    the first version: "more"
    all wheel rate 0.155 N/mm; front ride frequency 3.77 Hz; rear ride
    frequency 3.12 Hz; front damping ratio, slow 1.20; rear damping ratio, slow
    0.99; front damping ratio, fast 1.94; rear damping ratio, fast 1.60; front
    preload needed 1.20 mm; rear preload needed 5.81 mm

HASH 2026-03-09  Less
    setups/more.leaf is removed
END
result "the log of a file that came and went" $?
printf '\n# the end\n' >>setups/heats.leaf && git diff >"$work/is" && same "$work/is" - <<'END'
setups/heats.leaf
  only comments, blanks or the order of lines differ
END
result "the diff of a comment" $?
git checkout -q setups && chmod +x setups/heats.leaf && git diff >"$work/is" && same "$work/is" - <<'END'
setups/heats.leaf
  mode 100644 → 100755
END
result "the diff of a mode" $?
chmod -x setups/heats.leaf && ln -sf heats.leaf setups/link.leaf && git add -A &&
  git diff --cached >"$work/is" && grep -q "no plain file" "$work/is" && commit "A link" &&
  log setups/link.leaf && grep -q 'the first version: "heats"' "$work/is"
result "a link" $?
printf 'rules "r" {\n  rule "Bore" { for = each corner; require = damper.bore <= 13 mm }\n}\n' >rules.leaf
commit "Rules" && swap rules.leaf '13 mm' '12   mm' && git diff >"$work/is" &&
  same "$work/is" - <<'END'
rules.leaf
  rules "r" rule "Bore" require: damper.bore <= 13 mm → damper.bore <= 12 mm
END
result "the diff of rules" $?
git checkout -q rules.leaf
head -c 2000 /dev/urandom >junk.leaf && commit "Junk" && head -c 2000 /dev/urandom >junk.leaf &&
  git diff >"$work/is" 2>&1 && [ "$(wc -l <"$work/is")" -ge 2 ] && grep -q "a mistake: junk.leaf:" "$work/is"
result "the diff of what is no text" $?
git checkout -q junk.leaf && git rm -q junk.leaf && commit "No junk"
git checkout -q -b other HEAD && swap setups/heats.leaf 'preload = 3 mm' 'preload = 5 mm' &&
  commit "Five" && git checkout -q main && swap setups/heats.leaf 'preload = 3 mm' 'preload = 2 mm' &&
  commit "Two" && ! git merge other >"$work/is" 2>&1 && git diff >"$work/is" 2>&1 &&
  grep -q '^++  all preload = 5 mm' "$work/is" &&
  pitleaf compare --external setups/heats.leaf | grep -q "not merged yet"
result "the diff of a file that is not merged" $?
git checkout -q --theirs setups/heats.leaf && commit "Merged" && log setups/heats.leaf HEAD~2.. &&
  same "$work/is" - <<'END'
HASH 2026-03-15  Two
    all preload 3.00 → 2.00 mm
    → front settled ride height 24.2 → 22.4 mm; rear settled ride height 16.1 →
    14.4 mm; roll gradient 6.28 → 6.31 °/g; front damping ratio, fast 1.94 →
    1.95

HASH 2026-03-16  Merged
    all preload 2.00 → 5.00 mm
    → all wheel rate 0.154 → 0.155 N/mm; front ride frequency 3.76 → 3.77 Hz;
    rear ride frequency 3.11 → 3.12 Hz; front settled ride height 22.4 → 27.8
    mm; rear settled ride height 14.4 → 19.6 mm; roll gradient 6.31 → 6.24 °/g;
    front damping ratio, slow 1.21 → 1.20; rear damping ratio, slow 1.00 →
    0.99; front damping ratio, fast 1.95 → 1.94; rear damping ratio, fast 1.61
    → 1.60
END
result "a merge is one step" $?

# ---- several setups, names that mean no good

cat >two.leaf <<'END'
setup "a" { all { preload = 1 mm } }
setup "b" { all { preload = 1 mm } }
END
commit "Two of them" && printf 'setup "a" { all { preload = 1 mm } }\n' >two.leaf && commit "One" &&
  printf 'setup "a" { all { preload = 1 mm } }\nsetup "b" { front { preload = 2 mm } }\n' >two.leaf &&
  git diff >"$work/is" && same "$work/is" - <<'END'
two.leaf
  setup "b" is new
END
result "the diff of a file with several setups" $?
commit "Two again" && log two.leaf HEAD~3.. --setup b && same "$work/is" - <<'END'
HASH 2026-03-17  Two of them
    the first version: "b"

HASH 2026-03-18  One
    it has a mistake: two.leaf:1:1: error[no-such-setup]: There is no setup "b".

HASH 2026-03-19  Two again
    front preload 1.00 → 2.00 mm
    rear preload, dropped: 1.00 mm
END
result "the log of one setup of several" $?
odd="it's a \"name\"
on two lines.leaf"
printf 'setup "a" { all { preload = 1 mm } }\n' >"$odd" && commit "An odd name" &&
  printf 'setup "a" { all { preload = 2 mm } }\n' >"$odd" && git diff >"$work/is" 2>&1 &&
  same "$work/is" - <<'END'
it's a "name"<U+000A>on two lines.leaf
  all preload 1.00 → 2.00 mm
END
result "the diff of an odd name" $?
commit "$(printf 'Red \033[31m and \302\233 words')" && log "$odd" HEAD~1.. &&
  ! grep -q "$(printf '\033')" "$work/is" && same "$work/is" - <<'END'
HASH 2026-03-21  Red <U+001B>[31m and <U+009B> words
    all preload 1.00 → 2.00 mm
END
result "the log of an odd name and of a subject with escapes" $?
# Seconds since 1970 that 32 bits do not hold.
printf 'setup "a" { all { preload = 3 mm } }\n' >"$odd" && git add -A &&
  GIT_AUTHOR_DATE='@2209032000 +0000' GIT_COMMITTER_DATE='@2209032000 +0000' git commit -q -m Late &&
  log "$odd" HEAD~1.. && same "$work/is" - <<'END'
HASH 2040-01-01  Late
    all preload 2.00 → 3.00 mm
END
result "the log of a commit after 2038" $?

# ---- the converter, by itself

mkdir -p a b "$work/temporary" && cp setups/heats.leaf a/same.leaf && cp setups/heats.leaf b/same.leaf &&
  commit "The same name twice" && printf '# one more line\n' >>a/same.leaf && commit "One" &&
  git show HEAD:a/same.leaf >"$work/temporary/same.leaf" &&
  pitleaf compare --convert "$work/temporary/same.leaf" >"$work/is" &&
  grep -q '^  front-left preload = 5.00 mm' "$work/is"
result "a converted file whose bytes tell its place" $?
printf '# another line\n' >>"$work/temporary/same.leaf" &&
  pitleaf compare --convert "$work/temporary/same.leaf" >"$work/is" 2>"$work/err" &&
  [ ! -s "$work/err" ] && sed -n '/^setup/,$p' "$work/is" >"$work/tail" && same "$work/tail" - <<'END'
setup "heats"
  car = "c"
  air = 20 degC
  all ride-height = 21 mm
  all spring = 0.5 N/mm
  all preload = 5 mm
  all oil = "thick"
  all piston = 2 x 1.6 mm
  all shock-top = 1
  all camber = -1 deg
END
result "a converted file whose place cannot be told" $?
mv "$work/temporary/same.leaf" "$work/temporary/ab12CD_heats.leaf" &&
  pitleaf compare --convert "$work/temporary/ab12CD_heats.leaf" | grep -q '^  front-left preload = 5.00 mm'
result "a converted file as an older git calls it" $?
printf 'setup "x" {\n  all { preloud = 3 mm\n' >"$work/temporary/slip.leaf" &&
  pitleaf compare --convert "$work/temporary/slip.leaf" >"$work/is" 2>&1 &&
  grep -q '^  all preloud = 3 mm' "$work/is"
result "a converted file with mistakes" $?

# ---- a shallow clone, and what is no repository

git clone -q --depth 2 "file://$work/season" "$work/shallow" && cd "$work/shallow" &&
  log setups/heats.leaf && same "$work/is" - <<'END'
HASH 2026-03-22  The same name twice
    the oldest version that this clone has: "heats"
    all wheel rate 0.155 N/mm; front ride frequency 3.77 Hz; rear ride
    frequency 3.12 Hz; front damping ratio, slow 1.20; rear damping ratio, slow
    0.99; front damping ratio, fast 1.94; rear damping ratio, fast 1.60; front
    preload needed 1.20 mm; rear preload needed 5.81 mm
END
result "a shallow clone" $?
cp -R "$work/season" "$work/damaged" && cd "$work/damaged" &&
  gone=$(git rev-parse HEAD~2) &&
  rm -f ".git/objects/$(printf %s "$gone" | cut -c1-2)/$(printf %s "$gone" | cut -c3-)" &&
  log setups/heats.leaf && grep -q "the oldest version that this clone has" "$work/is"
result "a repository that lacks a commit" $?
cd "$work/season" || exit 1
run 2 log setups/heats.leaf nonsense && err 'git knows no `nonsense`'
result "a range that is not there" $?
run 2 log setups/heats.leaf HEAD~3...HEAD && err "write A..B"
result "a range of two lines" $?
run 2 log setups/never.leaf && err 'no commit there has `setups/never.leaf`'
result "a file that was never there" $?
run 0 log setups/heats.leaf HEAD..HEAD && out "nothing changed setups/heats.leaf there"
result "an empty range" $?
mkdir "$work/empty" && cd "$work/empty" && git init -q && printf 'setup "a" { }\n' >a.leaf
run 2 log a.leaf && err "nothing is committed yet"
result "a repository without commits" $?
mkdir "$work/none" && cd "$work/none" && printf 'setup "a" { }\n' >a.leaf
GIT_CEILING_DIRECTORIES="$work" run 2 log a.leaf && err '`a.leaf` is in no work tree of git'
result "not in a repository" $?
git clone -q --bare "$work/season" "$work/bare.git" && cd "$work/bare.git" &&
  run 2 log setups/heats.leaf && err "has no work tree"
result "a bare repository" $?
if [ "$(id -u)" -eq 0 ]; then # nobody else can give a folder away
  cp -r "$work/season" "$work/theirs" && chown -R 12345 "$work/theirs" && cd "$work/theirs" &&
    run 2 log setups/heats.leaf && err "is another user's"
  result "somebody else's repository" $?
fi
cd "$work/season" || exit 1
run 2 compare --external a b && err "--external is for git" && run 2 compare a && err "BASE FILE" &&
  run 2 compare --convert a b && run 2 compare --external --convert a
result "words that do not fit" $?

# ---- the check before a commit, as the README has it

repository checked && mkdir library && cp "$work/season/library/oils.leaf" library/
printf 'include "library/oils.leaf"\nsetup "a" { all { oil = "thin" } }\n' >"a 'b'.leaf"
{
  printf '#!/bin/sh\n'
  sed -n '/^folder=$(mktemp -d)/,/^```/p' "$root/README.md" | grep -v '^```' >"$work/hook"
  # Without the command that looks at the layout, the hook is the rest of it.
  pitleaf help tidy >"$work/out" 2>&1 || sed -i 's/ && pitleaf tidy --check "$@"//' "$work/hook"
  cat "$work/hook"
} >.git/hooks/pre-commit && chmod +x .git/hooks/pre-commit
[ "$(grep -c . .git/hooks/pre-commit)" -ge 4 ] && commit "Right" >"$work/is" 2>&1
result "a commit of what is right" $?
printf 'include "library/oils.leaf"\nsetup "a" { all { oil = "thinn" } }\n' >"a 'b'.leaf" && git add -A &&
  printf 'include "library/oils.leaf"\nsetup "a" { all { oil = "thin" } }\n' >"a 'b'.leaf" &&
  ! git commit -q -m "Wrong" >"$work/is" 2>&1 && grep -q 'did you mean "thin"' "$work/is" &&
  [ "$(git log --oneline | wc -l)" -eq 1 ]
result "no commit of what is staged and wrong, whatever the disk has" $?
git reset -q --hard && echo words >words.txt && commit "No setup" >"$work/is" 2>&1
result "a commit of no setup" $?

# ---- what the README shows

# block COMMAND: what stands in the README below the command, to the end of the block.
block() { awk -v wanted="\$ $1" '/^```/ { on = 0 } on { print } $0 == wanted { on = 1 }' "$root/README.md"; }
setup=sheets/sluice-lane/plover-dry.leaf
day=19
repository readme && cp -r "$root/sheets" . && commit "Round 3" &&
  swap $setup 'preload += 0.25 mm' 'preload += 1 mm' && commit "More preload for the right-hander" &&
  swap sheets/library/oils.leaf '{ viscosity = 400 cSt }' '{ viscosity = 415 cSt }' &&
  commit "Clear 400 as the flow cup has it" &&
  swap $setup 'bar-wire = 1.0 mm' 'bar-wire = 1.2 mm' &&
  swap $setup 'camber           = -1.5 deg' 'camber           = -2 deg' && git diff >"$work/is" &&
  block "git diff" >"$work/shown" && [ -s "$work/shown" ] && same "$work/is" "$work/shown"
result "the README's diff" $?
log $setup HEAD~2.. && block "pitleaf log $setup HEAD~2.." | sed -E 's/^[0-9a-f]{7} /HASH /' >"$work/shown" &&
  [ -s "$work/shown" ] && same "$work/is" "$work/shown"
result "the README's log" $?

# ---- a long history: only commits that touch the setup are loaded

cd "$work" && git clone -q season long && cd long && awk -v tip="$(git rev-parse HEAD)" 'BEGIN {
  for (i = 1; i <= 1000; i++) {
    person = "Pip <pip@example.org> " 1780000000 + i * 60 " +0000"
    print "commit refs/heads/long\nauthor " person "\ncommitter " person "\ndata 2\nx"
    if (i == 1) print "from " tip
    if (i % 20 == 0) {
      text = "include \"heats.leaf\"\nsetup \"m\" from \"heats\" { front { preload = " i / 500 " mm } }\n"
      print "M 100644 inline setups/long.leaf\ndata " length(text) "\n" text
    } else print "M 100644 inline notes/" i ".txt\ndata 2\nx\n"
  }
}' >"$work/stream" && git fast-import --quiet <"$work/stream" && git checkout -q long
before=$(date +%s)
log setups/long.leaf && [ $(($(date +%s) - before)) -le 20 ] && [ "$(grep -c ^HASH "$work/is")" -eq 50 ] &&
  tail -n 3 "$work/is" >"$work/tail" && same "$work/tail" - <<'END'
HASH 2026-05-29  x
    front preload 1.96 → 2.00 mm
    → front settled ride height 22.3 → 22.4 mm
END
result "a thousand commits" $?

# ---- a link to a link: as many as the table of limits allows, and once more

cd "$work/season" && git checkout -q main || exit 1
ln -s heats.leaf setups/link-1.leaf
for i in $(seq 2 41); do ln -s "link-$((i - 1)).leaf" "setups/link-$i.leaf"; done
for i in 39 40 41; do
  printf 'include "link-%d.leaf"\nsetup "by %d links" from "heats" { preload = 7 mm }\n' "$i" "$i" \
    >"setups/by-$i.leaf"
done
git add -A && commit "Links" && log setups/by-39.leaf && ! grep -q "mistake" "$work/is" &&
  log setups/by-40.leaf && ! grep -q "mistake" "$work/is" &&
  { log setups/by-41.leaf || true; } && grep -q "mistake" "$work/is"
result "as many links as there may be" $?

[ "$failures" -eq 0 ]
