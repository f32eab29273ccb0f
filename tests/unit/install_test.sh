#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What is installed: the program with all that belongs to it, manual pages that man's own checks
# find no fault with and that say what the tables say, and that all of it goes again.
set -u
# shellcheck source=tests/shell.sh
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs mandoc zsh fish nvim

folder="$work/root/usr/local"
share=$folder/share
install_here() { (cd "$root" && sh .ci/install "$@" "$pitleaf" "$folder"); }

install_here >log 2>&1 && [ ! -s log ]
result "it installs and says nothing" $?

# ---- what is there

status=0
for file in bin/pitleaf share/pitleaf/templates/race-sheet.leaf share/pitleaf/editors/vim/syntax/pitleaf.vim \
  share/pitleaf/editors/pitleaf.tmLanguage.json share/doc/pitleaf/sheets/sluice-lane/plover-dry.leaf \
  share/man/man1/pitleaf.1 share/man/man5/pitleaf.5 share/bash-completion/completions/pitleaf \
  share/zsh/site-functions/_pitleaf share/fish/vendor_completions.d/pitleaf.fish; do
  [ -s "$folder/$file" ] || { echo "# $file is not there" && status=1; }
done
result "program, templates, demo, editors' files, manual and completion are there" $status
[ -x "$folder/bin/pitleaf" ] && [ "$("$folder/bin/pitleaf" --version)" = "$("$pitleaf" --version)" ]
result "the installed program runs" $?
for kind in templates sheets; do
  (cd "$root" && find $kind -type f -name '*.leaf') | sort >wanted
  (cd "$share" && cd pitleaf 2>/dev/null && find templates -type f) >got
  (cd "$share/doc/pitleaf" && find sheets -type f -name '*.leaf') >>got
  grep "^$kind/" got | sort | cmp -s - wanted || echo "# $kind are not all there"
done >missing
[ ! -s missing ] || cat missing
[ ! -s missing ]
result "all templates and all of the demo" $?

# ---- the shells and the editor find theirs

HOME=$work PATH="$folder/bin:$PATH" XDG_DATA_DIRS=$share XDG_CONFIG_HOME=$work fish -c 'complete -C"pitleaf ch"' 2>/dev/null |
  grep -q "^check"
result "fish finds its completion" $?
HOME=$work zsh -fc "fpath=('$share/zsh/site-functions' \$fpath); autoload -Uz compinit; compinit -u -D
  [[ \$_comps[pitleaf] == _pitleaf ]]"
result "zsh finds its completion" $?
HOME=$work XDG_STATE_HOME=$work nvim --headless -u NONE -i NONE -n \
  -c "set rtp+=$share/pitleaf/editors/vim | filetype plugin on | syntax on" \
  -c "edit $share/doc/pitleaf/sheets/sluice-lane/plover-dry.leaf" \
  -c "call writefile([&filetype, b:current_syntax], '$work/type')" -c "qall!" </dev/null >/dev/null 2>&1
[ "$(xargs <./type)" = "pitleaf pitleaf" ]
result "the editor knows the language" $?

# ---- manual pages

for page in man1/pitleaf.1 man5/pitleaf.5; do
  mandoc -T lint "$share/man/$page" >lint 2>&1 || sed 's/^/# /' lint
  [ ! -s lint ] && mandoc -T ascii "$share/man/$page" | grep -q "PITLEAF("
  result "$page is without fault" $?
done
if command -v groff >/dev/null; then
  groff -man -ww -z "$share"/man/man?/pitleaf.? >lint 2>&1
  [ ! -s lint ]
  result "groff has nothing to say about them" $?
fi
# shown SECTION: a manual page as text, on lines without end.
shown() { mandoc -O width=1000 -T utf8 "$share/man/man$1/pitleaf.$1" | sed 's/.\x08//g'; }
shown 1 >one
shown 5 >five

status=0
commands=$("$pitleaf" --help | sed -n 's/^  pitleaf \([a-z]*\).*/\1/p')
for command in $commands; do
  sed -n "/^   pitleaf $command\>/,/^   pitleaf /p" one >section
  for option in $("$pitleaf" "$command" --help | grep -o '^  [-a-z, ]*--[a-z-]*' | grep -o -- '--[a-z-]*'); do
    grep -q -- "$option\>" section || { echo "# $command lacks $option" && status=1; }
  done
done
[ -n "$commands" ] && [ $status -eq 0 ]
result "every command and option is in the manual" $?

# Keys and codes as the reference has them, each at the start of an entry.
sed -n 's/^| `\([a-z.0-9-]*\)` |.*/\1/p; s/^### \([a-z-]*\)$/\1/p' "$root/grammar/reference.md" |
  grep -v -x -e setup -e oil -e spring -e piston -e damper -e meeting -e entry | sort -u >keys
status=0
while read -r key; do
  grep -q "^       $key\( \|$\)" five || { echo "# the manual lacks $key" && status=1; }
done <keys
[ "$(wc -l <keys)" -ge 300 ] && [ $status -eq 0 ]
result "every key and every problem is in the manual" $?

sed -n '/^## Mind/,/^## /p' "$root/README.md" | sed '/^##/d' | xargs >mind
for page in one five; do sed -n '/^CAUTIONS/,/^SEE/p' $page | sed '/^[A-Z]/d' | xargs >said-$page; done
[ -s mind ] && cmp -s mind said-one && cmp -s mind said-five
result "the cautions are the same everywhere" $?

status=0 count=0
sed -n '/^EXAMPLES/,/^CAUTIONS/s/^ *\(pitleaf .*\)/\1/p' one >examples
while read -r line; do
  count=$((count + 1))
  (cd "$share/doc/pitleaf/sheets" && PATH="$folder/bin:$PATH" sh -c "$line") >/dev/null 2>err ||
    { echo "# $line" && sed 's/^/#   /' err && status=1; }
done <examples
[ $count -ge 5 ] && [ $status -eq 0 ]
result "the examples of the manual work" $?

# The pages say nothing of when and where they were made.
(cd / && TZ=Pacific/Auckland LC_ALL=C "$pitleaf" describe --as man) |
  cmp -s - "$share/man/man5/pitleaf.5"
result "the pages are the same every time" $?

# ---- away with it

install_here --remove && [ -z "$(find "$work/root" ! -type d)" ]
result "all of it goes again" $?

[ "$failures" -eq 0 ]
