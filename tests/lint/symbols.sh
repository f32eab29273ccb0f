#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Proves three habits on the compiled library.
#
# Usage: symbols.sh OBJECT...   the library's objects, src/ROOM/NAME.o and generated/NAME.o
#
# It reports each
#   - external name without the prefix pl_ that a second room defines or uses: such a name is
#     its own room's, and in a library a second one would silently shadow the first;
#   - external name without the prefix pl_ in physics, which others may take on its own;
#   - variable that is static or global and not constant: several compilations live side by side.
#     One is excepted: the document that a thread is adding a page to (src/sheet/pdf.c), which
#     the PDF library does not tell to what gives it memory. It is set for one call at a time.
# The exit status is 1 if it reported anything, or if it found no external name.
set -eu

for object in "$@"; do objdump --syms "$object"; done | awk '
  function problem(sentence) {
    print "symbols: " sentence
    problems++
  }

  /:[ \t]+file format/ {
    object = $1
    sub(/:$/, "", object)
    room = object
    if (room ~ /\/generated\/(lexer|pitleaf)\.o$/) room = "syntax"
    else if (room ~ /\/generated\//) room = "sheet"
    else {
      sub(/\/[^\/]*$/, "", room)
      sub(/.*\//, "", room)
    }
  }

  # A symbol: value (as wide as an address), a blank, seven columns of flags (g: global, O:
  # object), section, size, name.
  /^[0-9a-f]+ / {
    flags = substr($0, length($1) + 2, 7)
    section = substr($0, length($1) + 10)
    sub(/[ \t].*/, "", section)
    if (section == "*UND*") {
      if ($NF !~ /^pl_/) users[$NF] = users[$NF] " " room
      next
    }
    if (section == "*ABS*") next
    if ($NF ~ /^__x86\.get_pc_thunk\./) next # the compiler has one in each object, for 32 bits
    if (flags ~ /[gu]/) {
      symbols++
      if ($NF !~ /^pl_/) {
        if (room == "physics") problem(object " " $NF " lacks the prefix pl_")
        if ($NF in owner) problem($NF " is defined in " owner[$NF] " and in " room)
        owner[$NF] = room
      }
    }
    # What is constant but holds addresses stands in .data.rel.ro.
    writable = section ~ /^\.t?(data|bss)/ && section !~ /^\.data\.rel\.ro/
    # A variable of each thread has no O.
    variable = flags ~ /O/ || (section ~ /^\.t(data|bss)/ && flags !~ /d/)
    if ($NF == "served" && section == ".tbss" && object ~ /sheet\/pdf\.o$/) next
    if (variable && (writable || section == "*COM*")) {
      problem(object " " $NF " is static and mutable")
    }
  }

  END {
    for (name in owner) {
      count = split(users[name], rooms, " ")
      for (i = 1; i <= count; i++) {
        if (rooms[i] != owner[name]) problem(rooms[i] " uses " name " of " owner[name])
      }
    }
    if (symbols == 0) problem("no external name found")
    if (problems > 0) exit 1
    print "symbols: " symbols " external names, each known where it may be, none mutable but what is excepted"
  }'
