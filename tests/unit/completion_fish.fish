# SPDX-License-Identifier: GPL-3.0-or-later
# Completes each line of the file $LINES_TO_TYPE by fish's own command for that, and writes to $RESULT the
# line in brackets, then what was offered, a line each. $COMPLETIONS is the script's folder.
source $COMPLETIONS/pitleaf.fish
echo -n >$RESULT
while read -l line
    echo "[$line]" >>$RESULT
    complete -C"$line" | string replace -r '\t.*' '' >>$RESULT
end <$LINES_TO_TYPE
