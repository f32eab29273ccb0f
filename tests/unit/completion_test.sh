#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The command line's completion in bash, zsh and fish: each shell itself is asked what it offers,
# and that is compared with what the program's help says, and with the files that are there.
set -u
# shellcheck source=tests/shell.sh
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs bash zsh fish

# Nothing of the user's own settings counts.
export HOME="$work" XDG_CONFIG_HOME="$work" XDG_DATA_HOME="$work" XDG_CACHE_HOME="$work" TERM=dumb
export COMPLETIONS="$work/scripts" LINES_TO_TYPE="$work/typed" RESULT="$work/result"
mkdir scripts here here/below
touch here/one.leaf "here/two words.leaf" here/three.txt here/below/four.leaf
"$pitleaf" describe completion --as bash >scripts/pitleaf.bash &&
  "$pitleaf" describe completion --as zsh >scripts/_pitleaf &&
  "$pitleaf" describe completion --as fish >scripts/pitleaf.fish
result "there is a script for each shell" $?
bash -n scripts/pitleaf.bash && zsh -n scripts/_pitleaf && fish --no-config -n scripts/pitleaf.fish
result "each shell reads its script" $?

# ---- what is typed, and what is to be offered

commands=$("$pitleaf" --help | sed -n 's/^  pitleaf \([a-z]*\).*/\1/p')
options_of() { "$pitleaf" "$1" --help | grep -o '^  [-a-z, ]*--[a-z-]*' | grep -o -- '--[a-z-]*'; }
{
  echo "pitleaf =$(echo "$commands" help | xargs)"
  for command in $commands; do
    echo "pitleaf $command --=$(options_of "$command" | xargs) --help"
  done
  cat <<'TYPED'
pitleaf ch=check choose
pitleaf help cu=curve
pitleaf check --as =text json sarif
pitleaf check --as s=sarif
pitleaf check --as%=text json sarif
pitleaf check --as%j=json
pitleaf figures --as =text json csv
pitleaf check --colour a=auto always
pitleaf sheet --paper =a4 letter
pitleaf check here/=one.leaf two_words.leaf below
pitleaf check here/one.leaf here/o=one.leaf
pitleaf check --setup x here/o=one.leaf
pitleaf sheet --library here/=below
pitleaf sheet --against here/o=one.leaf
pitleaf sheet -o here/t=three.txt two_words.leaf
pitleaf sheet here/one.leaf --template =blank_form build_sheet bump curves drop race_sheet
pitleaf scrutineer x y --template =certificate
pitleaf curve here/one.leaf ca=camber
pitleaf curve --scope front-left here/one.leaf motion-r=motion-ratio
pitleaf curve --scope rear-=rear-left rear-right
pitleaf explain here/one.leaf front-left.ride-h=ride-height
pitleaf explain here/one.leaf rear.roll-r=roll-rate
pitleaf explain here/one.leaf car.wheelb=wheelbase
pitleaf sweep here/one.leaf front-left.ride-h=ride-height
pitleaf sweep here/one.leaf front-left.ride-height 1 .. 2 rear-left.ride-h=ride-height
pitleaf sweep --as p=pdf
pitleaf sweep here/one.leaf --figures wheel-rate,ride-f=wheel-rate,ride-frequency
pitleaf weather here/o=one.leaf
pitleaf figures here/one.leaf --only wheel-rate,ride-f=wheel-rate,ride-frequency
pitleaf describe unknown-k=unknown-key unknown-kind
pitleaf describe wheel-ra=wheel-rate
pitleaf describe chassis-blow-s=chassis-blow-speed
pitleaf --=--help --version
pitleaf describe completi=completion
pitleaf describe wheel-rate x=
pitleaf lsp x=
TYPED
} >table
# The first equals sign parts the line from its words; % stands for one that is typed.
sed 's/=.*//; s/%/=/' table >"$LINES_TO_TYPE"
sed 's/^[^=]*=//' table >wanted
[ "$(wc -l <table)" -ge 35 ]
result "there are lines to type" $?

# offered NUMBER: the words that the line of that number got, sorted, without what stands before
# them (folders, an option, a scope), backslashes and the stroke behind a folder; blanks are
# underscores.
offered() {
  awk -v wanted="$1" '/^\[/ { line++; next } line == wanted && $0 != "END"' "$RESULT" |
    sed 's/\\//g; s/^--[a-z-]*=//; s/^"//; s/ /_/g; s|/$||; s|.*/||
      s/^\(car\|front\|rear\)[a-z-]*\.//' | sort -u | xargs
}

# compare SHELL: what it offered with what it was to offer.
compare() {
  number=0 status=0
  while IFS= read -r words; do
    number=$((number + 1))
    line=$(sed -n "${number}p" "$LINES_TO_TYPE")
    got=$(offered "$number")
    want=$(echo "$words" | tr ' ' '\n' | sed '/^$/d' | sort -u | xargs)
    [ "$got" = "$want" ] && continue
    status=1
    echo "# $1, $line"
    echo "#   offers $got"
    echo "#   not    $want"
  done <wanted
  result "$1 offers what fits" $status
}

bash --norc "$root/tests/unit/completion_bash.bash"
compare bash
rm "$RESULT"
fish --no-config "$root/tests/unit/completion_fish.fish"
compare fish
rm "$RESULT"
zsh -f "$root/tests/unit/completion_zsh.zsh"
compare zsh

# ---- quotes

# A name with a blank is quoted, unless the quote stands there already.
cat >quotes.bash <<'QUOTES'
. "$COMPLETIONS/pitleaf.bash"
COMP_WORDS=(pitleaf sheet x.leaf --template "$1") COMP_CWORD=4
_pitleaf && printf '<%s>' "${COMPREPLY[@]}"
QUOTES
[ "$(bash --norc quotes.bash ra)" = '<race\ sheet>' ] &&
  [ "$(bash --norc quotes.bash '"ra')" = '<race sheet>' ] &&
  [ "$(bash --norc quotes.bash 'race\ s')" = '<race\ sheet>' ]
result "bash quotes what has blanks" $?

# ---- usage

run 2 describe completion && err "--as bash" && run 2 describe --as bash && err "describe completion" &&
  run 2 describe wheel-rate --as zsh && err "as text alone"
result "a script is asked for with its shell" $?

[ "$failures" -eq 0 ]
