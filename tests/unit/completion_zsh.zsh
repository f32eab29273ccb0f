# SPDX-License-Identifier: GPL-3.0-or-later
# Types each line of the file $LINES_TO_TYPE into an interactive zsh, presses the tab key behind it,
# and writes to $RESULT the line in brackets, then what was offered, a line each. $COMPLETIONS is
# the folder of the script _pitleaf.
zmodload zsh/zpty || exit 1
zmodload zsh/datetime
export RESULT COMPLETIONS

cat >$RESULT.setup <<'SETUP'
PS1= ; unset zle_bracketed_paste
fpath=($COMPLETIONS $fpath)
autoload -Uz compinit && compinit -u -D
zstyle ':completion:*' menu no
setopt no_auto_list no_auto_menu
# What a completion adds is written down; what it only asks about is let through.
compadd() {
  local -a hits
  if [[ ${@[1,(i)(-|--)]} == *-(O|A|D)\ * ]]; then
    builtin compadd "$@"
    return
  fi
  builtin compadd -A hits "$@"
  (( $#hits )) && print -rl -- $IPREFIX$^hits >>$RESULT
  builtin compadd "$@"
}
finish() { print -r -- END >>$RESULT; BUFFER= ; }
zle -N finish && bindkey '^B' finish
print -r -- END >>$RESULT
SETUP

# Waits until so many lines END are there; false after 20 seconds.
wait_for() {
  local deadline=$((EPOCHREALTIME + 20)) count=0 got
  while (( EPOCHREALTIME < deadline )); do
    while zpty -rt shell got; do :; done
    count=$(grep -c '^END$' $RESULT)
    (( count >= $1 )) && return 0
    sleep 0.02
  done
  print -r -- "# zsh does not answer" >&2
  return 1
}

: >$RESULT
zpty -b shell zsh -f -i
zpty -w shell "source ${(q)RESULT}.setup"
wait_for 1 || exit 1
typed=1
while IFS= read -r line; do
  print -r -- "[$line]" >>$RESULT
  zpty -w -n shell "$line"$'\t\x02'
  (( typed++ ))
  wait_for $typed || exit 1
done <$LINES_TO_TYPE
zpty -d shell
