# SPDX-License-Identifier: GPL-3.0-or-later
# Completes each line of the file $LINES_TO_TYPE as bash does at its tab key, and writes to $RESULT the
# line in brackets, then what was offered, a line each. $COMPLETIONS is the script's folder.
# shellcheck source=/dev/null
. "$COMPLETIONS/pitleaf.bash"
: >"$RESULT"
while IFS= read -r line; do
  echo "[$line]" >>"$RESULT"
  # Blanks part words, and an equals sign is a word of its own, as COMP_WORDBREAKS has it.
  read -ra COMP_WORDS <<<"${line//=/ = }"
  [[ $line == *[\ =] ]] && COMP_WORDS+=("")
  [[ $line == *= ]] && unset "COMP_WORDS[-1]" # there the sign itself is the current word
  COMP_CWORD=$((${#COMP_WORDS[@]} - 1))
  COMPREPLY=()
  _pitleaf
  ((${#COMPREPLY[@]} == 0)) || printf '%s\n' "${COMPREPLY[@]}" >>"$RESULT"
done <"$LINES_TO_TYPE"
