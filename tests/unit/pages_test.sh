#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Sheets from templates in files of their own, logos, forms, several templates at once.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"


# A square of two points by two, red, green, blue and half see-through black.
logo() {
  base64 -d >"$1" <<'END'
iVBORw0KGgoAAAANSUhEUgAAAAIAAAACCAYAAABytg0kAAAAE0lEQVR4nGP4z8DwHwyBNIhoAABAUgZ77ASTAAAAAABJRU5ErkJggg==
END
}

cat >setup.leaf <<'END'
setup "Spring tide" { all { spring = 0.62 N/mm; oil = 350 cSt; preload = 2 mm } }
END

# ---------------------------------------------------------------- templates in files

cat >club.leaf <<'END'
template "race sheet" from "race sheet" { runs { headings = ["Marshal"] } }
END
run 0 sheet setup.leaf --template club.leaf --as boxes && out '"Marshal"'
result "a template in a file" $?
run 0 sheet setup.leaf --template ./club.leaf --template "blank form" --as boxes && out "page 2 of 2"
result "a file and a name" $?
cat >two.leaf <<'END'
template "one" { rest { } }
template "two" { rest { } }
END
run 1 sheet setup.leaf --template two.leaf && err 'several templates, among them "one" and "two"'
result "a file with several templates" $?
run 1 sheet setup.leaf --template setup.leaf && err "was named as a template, and holds none"
result "a file without a template" $?
cat >bad.leaf <<'END'
template "bad" { papers = a4 }
END
run 1 sheet setup.leaf --template bad.leaf && err "bad.leaf:1:18" && err 'did you mean `paper`?'
result "a mistake in a template's file" $?
run 1 sheet setup.leaf --template clubb.leaf && err 'There is no template "clubb.leaf"'
result "neither a name nor a file" $?
set -- sheet setup.leaf
while [ $# -lt 40 ]; do set -- "$@" --template curves; done
run 2 "$@" && err "--template is given more than 16 times"
result "too many templates" $?

# ---------------------------------------------------------------- forms, directions

run 0 sheet --template "blank form" --as boxes && out '"Preload"' && out "page 1 of 1"
result "a form needs no file" $?
run 0 sheet --template "blank form" && [ -s blank-form.pdf ] && rm blank-form.pdf
result "a form has a name of its own" $?
run 1 sheet --template "race sheet" && err "no file is named"
result "a sheet needs a file" $?
run 2 sheet && err "--template \"blank form\""
result "a sheet of nothing" $?
run 2 sheet --template "blank form" --against setup.leaf && err "--against needs a file"
result "a form has no base" $?
run 0 sheet setup.leaf --direction landscape --as boxes && out "page 1 297.0 x 210.0 mm"
result "--direction landscape" $?
run 2 sheet setup.leaf --direction up && err "portrait or landscape"
result "--direction up" $?

# ---------------------------------------------------------------- logos

mkdir -p club && logo club/logo.png
cat >club/sheet.leaf <<'END'
template "club" from "race sheet" { logo = "logo.png"; club = "Tideline" }
END
run 0 sheet setup.leaf --template club/sheet.leaf --as boxes && out '2 x 2 points "logo.png"' && out '"Tideline"'
result "a logo beside its template" $?
run 0 sheet setup.leaf --template club/sheet.leaf -o one.pdf &&
  (cd club && "$pitleaf" sheet ../setup.leaf --template sheet.leaf -o ../two.pdf 2>err) && cmp one.pdf two.pdf
result "the same bytes from two folders" $?
cp club/sheet.leaf club/sheet.txt
for over in club/logo.png club/sheet.txt; do
  cp "$over" over.kept && run 2 sheet setup.leaf --template club/sheet.txt -o "$over" && err "it was to be read" &&
    cmp "$over" over.kept
  result "a sheet is not written over $over, which it is made from" $?
done
if command -v pdfimages >/dev/null 2>&1 && command -v qpdf >/dev/null 2>&1; then
  pdfimages -list one.pdf >out && out " rgb " && qpdf --check one.pdf >out 2>&1 && out "No syntax or stream"
  result "a sound file with a picture in it" $?
  # Red, green, blue, and grey where black lets half of the paper through.
  pdfimages one.pdf picture && od -An -v -tu1 picture-000.ppm | tr -s ' \n' ' ' >out &&
    out "255 0 0 0 255 0 0 0 255"
  result "the picture's own colours" $?
fi
for wrong in absent.png:"is not there" setup.leaf:"is no PNG file" /etc/passwd:"lies outside" \
  ../../../../x.png:"lies outside" club:"is a folder"; do
  echo "template \"club\" from \"race sheet\" { logo = \"${wrong%%:*}\" }" >wrong.leaf
  run 1 sheet setup.leaf --template wrong.leaf && err "${wrong#*:}" && err "wrong.leaf:1:44"
  result "a logo that ${wrong#*:}: ${wrong%%:*}" $?
done
head -c 60 club/logo.png >cut.png && echo 'template "club" from "race sheet" { logo = "cut.png" }' >wrong.leaf
run 1 sheet setup.leaf --template wrong.leaf && err "is a damaged PNG file"
result "a logo that is cut short" $?
# Its head promises 40,000 points by 40,000.
{ head -c 16 club/logo.png && printf '\000\000\234\100\000\000\234\100' && tail -c +25 club/logo.png; } >huge.png
echo 'template "club" from "race sheet" { logo = "huge.png" }' >wrong.leaf
run 1 sheet setup.leaf --template wrong.leaf && err "logo \"huge.png\""
result "a logo that promises too much" $?
mkfifo pipe.png && head -c 8400000 /dev/zero >large.png && ln -s loop.png loop.png
for wrong in pipe.png:"is no plain file" large.png:"is larger than 8 MiB" loop.png:"cannot be read"; do
  echo "template \"club\" from \"race sheet\" { logo = \"${wrong%%:*}\" }" >wrong.leaf
  run 1 sheet setup.leaf --template wrong.leaf && err "${wrong#*:}"
  result "a logo that ${wrong#*:}: ${wrong%%:*}" $?
done
# Eight points beside each other, all white, are as wide as a logo may be.
python3 - >wide.png <<'END'
import struct, sys, zlib
def chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
sys.stdout.buffer.write(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", 8, 1, 8, 2, 0, 0, 0))
                        + chunk(b"IDAT", zlib.compress(b"\0" + b"\xff" * 24)) + chunk(b"IEND", b""))
END
echo 'template "club" from "race sheet" { logo = "wide.png" }' >wide.leaf
run 0 sheet setup.leaf --template wide.leaf --as boxes && out '8 x 1 points "wide.png"'
result "a logo that is wider than its place" $?

[ "$failures" -eq 0 ]
