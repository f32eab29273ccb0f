#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Vim's files in grammar/editors/vim: every token of every file has a colour of its class, units
# are told from what is none, and the file type's commands work.
set -u
# shellcheck source=tests/shell.sh
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs nvim

export EDITOR_FILES="$root/grammar/editors/vim" RESULT="$work/result" TOKENS="$work/tokens"
export XDG_STATE_HOME="$work" XDG_DATA_HOME="$work" XDG_CONFIG_HOME="$work" XDG_CACHE_HOME="$work"
tab=$(printf '\t')

editor() { # editor SCRIPT: runs it without the user's own settings
  rm -f "$RESULT"
  timeout 120 nvim --headless -u NONE -i NONE -n -S "$root/tests/unit/$1" </dev/null >"$work/log" 2>&1
  [ -s "$RESULT" ] || { sed 's/^/# /' "$work/log" && return 1; }
}

# ---- tokens

# Blanks and line ends have no colour; a file that is no text is one bad token from end to end,
# and the mark that some editors put first is no character to Vim.
cd "$root" || exit 1
{ find sheets templates tests/errors -name '*.leaf' | sort; echo tests/unit/fixtures/editor-tokens.leaf; } |
  xargs "$(dirname "$pitleaf")/tests/unit/editor_words_test" --tokens |
  grep -v "$tab""space$" | grep -v "$tab""line$" |
  grep -v -e nul-byte.leaf -e not-utf8.leaf -e control-character.leaf >"$TOKENS"
[ "$(wc -l <"$TOKENS")" -ge 20000 ]
result "there are tokens to ask about" $?

editor editor_vim.vim
result "the editor reads all files" $?
awk -F "$tab" '
  BEGIN {
    fits["comment"] = "pitleafComment"
    fits["word"] = "pitleaf(Statement|Joint|Kind|Scope|Key|Figure|Constant|Function|Name|BadWord)"
    fits["text"] = "pitleaf(Text|Escape|BadEscape|BadText)"
    # Whether a comma stands within a number or between two is known by the brackets around it.
    fits["number"] = "pitleaf(Number|BadNumber|Separator)"
    fits["unit"] = "pitleaf(Unit|BadUnit)"
    fits["date"] = "pitleaf(Date|BadDate)"
    fits["mark"] = "pitleaf(Operator|Bracket|Separator|Joint)"
    fits["bad"] = "pitleaf(Bad|BadComment)"
  }
  {
    count = split($6, groups, " ")
    wrong = count == 0
    for (i = 1; i <= count; i++) wrong = wrong || groups[i] !~ "^" fits[$5] "$"
    if (wrong && failed++ < 20) print "# " $0
  }
  END { exit failed > 0 || NR == 0 }' "$RESULT"
result "each token has a colour of its class" $?

# ---- units

# units GROUP: what the files have as units in that colour, each once.
units() {
  awk -F "$tab" -v group="$1" '$5 == "unit" && $6 == group' "$RESULT" |
    while IFS=$tab read -r file line column length _ _; do
      sed -n "${line}p" "$file" | cut -b "$column-$((column + length - 1))"
    done | sort -u
}
units pitleafUnit >"$work/good"
units pitleafBadUnit >"$work/bad"
status=0
grep -v '^wt$' "$work/good" | while read -r unit; do
  "$pitleaf" describe "$unit" 2>&1 | grep -qF "$unit   unit of" || { echo "# $unit is none" && exit 1; }
done || status=1
while read -r unit; do
  "$pitleaf" describe "$unit" 2>&1 | grep -qF "$unit   unit of" && echo "# $unit is one" && status=1
done <"$work/bad"
[ "$(wc -l <"$work/good")" -ge 30 ] && [ -s "$work/bad" ] && [ $status -eq 0 ]
result "units have another colour than what is none" $?

# ---- the file type's settings

cd "$work" || exit 1
mkdir bin && ln -s "$pitleaf" bin/pitleaf
printf 'setup "s" {\n  ride-heigth   =  21mm\n  front { preload = 1 m }\n}\n' >"a file.leaf"
PATH="$work/bin:$PATH" FILE="a file.leaf" editor editor_vim_make.vim &&
  grep -q "^1 a file.leaf 2 3 e \[unknown-key\]: A setup has no key" "$RESULT" &&
  grep -q "^1 a file.leaf 3 11 w \[outside-usual\]" "$RESULT" &&
  [ "$(grep -c '^1 ' "$RESULT")" -eq 2 ] && [ "$(grep -c '^0 ' "$RESULT")" -eq 0 ] &&
  grep -q "^commentstring # %s$" "$RESULT" && grep -q "^word ride-heigth$" "$RESULT" &&
  grep -q "^laid out   ride-heigth = 21 mm$" "$RESULT" && grep -q "^undone 1$" "$RESULT"
status=$?
[ $status -eq 0 ] || sed 's/^/# /' "$RESULT"
result "make fills the list of errors, and = lays out" $status

[ "$failures" -eq 0 ]
