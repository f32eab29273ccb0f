#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Prints the dictionary of the fuzz targets: the words of the language, of which a test holds the
# lists in Vim's grammar against the program's tables, its marks, and the words of the language
# server's messages, from the server itself. The folder is the top of the checkout.
set -eu

{
  awk '
    /^function/ { exit } # the lists stand before
    /^let s:[a-z]* = / { inside = 1 }
    !/^let s:[a-z]* = / && !/^ *\\/ { inside = 0 }
    inside {
      gsub(/^let s:[a-z]* = |^ *\\ *\. *|\047/, "")
      for (i = 1; i <= NF; i++) print $i
    }' grammar/editors/vim/syntax/pitleaf.vim
  # What tests/mutation.c puts in, too: marks, and the beginnings of things.
  cat <<'END_OF_MARKS'
{
}
[
]
(
)
=
+=
-=
*=
==
!=
<=
>=
..
+-
±
×
²
³
°C
µm
–
“
”
#
#@ 
#@ second.leaf
#@ raw
#@ open a.leaf
#@ change a.leaf 1 2 1 9
"\u{
1e999
1e-999
2026-06-14
../
.leaf
0.0001
1000000
 mm
 N/mm
 cSt
(85, 0, 6) mm
4 x 1.2 mm
 from "
 when 
include "library/oils.leaf"
include "second.leaf"
"logo.png"
END_OF_MARKS
  # The methods and members that the server knows.
  grep -oh '"[A-Za-z]*/[A-Za-z/]*"' src/editor/*.c | tr -d '"' | sed 's/^textDocument.//'
  grep -oh '"[a-z][A-Za-z]*"' src/editor/*.c
} | LC_ALL=C sort -u | LC_ALL=C awk '
  BEGIN { for (i = 128; i < 256; i++) code[sprintf("%c", i)] = sprintf("\\x%02X", i) }
  {
    word = ""
    for (i = 1; i <= length($0); i++) {
      byte = substr($0, i, 1)
      word = word (byte == "\"" || byte == "\\" ? "\\" byte : byte in code ? code[byte] : byte)
    }
    print "\"" word "\""
  }'
