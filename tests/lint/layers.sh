#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Proves that the rooms of src/ know only the rooms below them.
#
# Usage: layers.sh [ROOT]
#
# It reads every source and header of src/, include/pitleaf/ and grammar/ and reports, as
# file:line: sentence, each
#   - include of a room's header from a room that does not stand above it;
#   - include of a header of the project that is neither public nor in the same folder;
#   - second file that includes hpdf.h, since one header alone leads to the PDF library, or
#     git2.h, since one header alone says what of git's library is used;
#   - use of standard output, of standard error or of a function that ends the program, below
#     app (editor excepted: a language server talks over its standard output).
# The exit status is 1 if it reported anything, or if it found nothing to read.
set -eu

cd "${1:-.}"
# shellcheck disable=SC2046 -- a list of words; no name in the tree has blanks
set -- $(find src include/pitleaf grammar -type f \
  \( -name '*.[ch]' -o -name '*.def' -o -name '*.re' -o -name '*.y' \) 2>/dev/null | sort)
if [ $# -eq 0 ]; then
  echo "layers: no sources under $(pwd)" >&2
  exit 1
fi

awk '
  BEGIN {
    # From the bottom up. Physics stands outside the stack: figures alone may use it.
    count = split("base units syntax model figures rules compare report sheet editor app", stack)
    for (i = 1; i <= count; i++) height[stack[i]] = i
    height["physics"] = 0
    # Tables that are public but not named for their room.
    owner["diagnostics"] = "base"
    owner["limits"] = "base"
    owner["settings"] = "model"
    owner["history"] = "base"
    owner["json"] = "base"
    owner["sweep"] = "compare"
    owner["weather"] = "compare"
    owner["choice"] = "figures"
    owner["simulation"] = "physics"
    owner["results"] = "figures"
    # Headers of libraries that one file alone knows, and the room of that file.
    alone["hpdf.h"] = "sheet"
    alone["git2.h"] = "base"
    calls = "(printf|vprintf|puts|putchar|perror|exit|_exit|_Exit|quick_exit|abort)[ \t]*[(]"
    forbidden = "(^|[^A-Za-z0-9_])(" calls "|(stdout|stderr)([^A-Za-z0-9_]|$))"
  }

  function problem(sentence) {
    print FILENAME ":" FNR ": " sentence
    problems++
  }

  # The room of a public header, by its name without folder and ending.
  function room_of(stem) { return stem in owner ? owner[stem] : stem }

  # The room that a file belongs to.
  function home_of(path, parts, length_of, stem) {
    length_of = split(path, parts, "/")
    if (parts[1] == "grammar") return "syntax"
    if (parts[1] == "src") return parts[2]
    stem = parts[length_of]
    sub(/\.[^.]*$/, "", stem)
    return room_of(stem)
  }

  function may_use(user, used) {
    if (user == used) return 1
    if (used == "physics") return user == "figures"
    if (user == "physics") return 0
    return height[user] > height[used]
  }

  # The line without its comments and the insides of its texts.
  function code_of(line, out, at, one, two) {
    out = ""
    for (at = 1; at <= length(line); at++) {
      one = substr(line, at, 1)
      two = substr(line, at, 2)
      if (in_comment) {
        if (two == "*/") { in_comment = 0; at++ }
      } else if (quote != "") {
        if (one == "\\") at++
        else if (one == quote) quote = ""
      } else if (two == "/*") {
        # re2c and its like keep code in such a comment.
        if (substr(line, at + 2) !~ /^![a-z]/) in_comment = 1
        at++
      } else if (two == "//") {
        break
      } else if (one == "\"" || one == "\047") {
        quote = one
        out = out " "
      } else {
        out = out one
      }
    }
    quote = "" # no text runs over lines
    return out
  }

  function check_include(target, stem, used, folder, status, first) {
    if (target ~ /^pitleaf\//) {
      stem = target
      sub(/^pitleaf\//, "", stem)
      sub(/\.[^.]*$/, "", stem)
      used = room_of(stem)
      if (!(used in height)) problem("`" target "` belongs to no room")
      else if (!may_use(home, used)) problem(home " may not include " target)
      return
    }
    if (target == "pitleaf.h" && home == "syntax") return # made by Lemon from the grammar
    folder = home == "syntax" && FILENAME ~ /^grammar\// ? "src/syntax/" : FILENAME
    sub(/[^\/]*$/, "", folder)
    status = target ~ /\// ? -1 : (getline first < (folder target))
    close(folder target)
    if (status < 0) problem("`" target "` is neither public nor a header of this folder")
  }

  FNR == 1 {
    in_comment = 0
    files++
    home = home_of(FILENAME)
    if (!(home in height)) problem("this file belongs to no room")
  }

  /^[ \t]*#[ \t]*include/ {
    target = $0
    if (match(target, /"[^"]*"/)) check_include(substr(target, RSTART + 1, RLENGTH - 2))
    for (name in alone) {
      stem = name
      sub(/\.h$/, "", stem)
      if (target !~ "<" stem "[./]") continue
      if (name in teller && teller[name] != FILENAME) problem(name " is already included by " teller[name])
      teller[name] = FILENAME
      if (FILENAME !~ "^src/" alone[name] "/") problem(name " is for one file of src/" alone[name] "/")
    }
    next
  }

  {
    code = code_of($0)
    if (home != "app" && home != "editor" && code ~ forbidden) {
      match(code, forbidden)
      word = substr(code, RSTART, RLENGTH)
      gsub(/[^A-Za-z_]/, "", word)
      problem(home " may not use " word)
    }
  }

  END {
    if (problems > 0) exit 1
    print "layers: " files " files, every include goes down"
  }' "$@"
