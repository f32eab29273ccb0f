#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Cuts the sheet's two faces from Debian's fonts and writes them as C source.

Usage: cut.py OUT.c

The PDF library embeds a font anew in every file, so the faces hold only the scripts that the
sheet supports: Latin, Greek and Cyrillic with their marks, and the signs of an engineering
document. What the condensed face lacks comes from a second condensed face.

The files are built from nothing rather than pared down, because the PDF library (libharu 2.3.0)
asks for a particular shape:
- no composite glyphs: it drops the parts of parts (Vietnamese letters with two accents);
- one glyph for each character, in the order of their code points, and small gaps between code
  points filled with empty glyphs: it looks up all 65,536 code points for every file, one segment
  of the character map after the other, so that there should be few segments;
- 1,000 units to the em: it cuts widths down to whole thousandths;
- a name record 2 "Regular" in both faces: it puts any other style behind the font's name and
  asks the viewer to thicken a bold face once more.

The same fonts give the same bytes: the date in the file is the main font's. The notices of the
fonts stand at the top of the source that is written.
"""

import sys
import unicodedata
from io import BytesIO

from fontTools.fontBuilder import FontBuilder
from fontTools.misc.roundTools import otRound
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables._g_l_y_f import Glyph, GlyphCoordinates
from fontTools.ttLib.tables.ttProgram import Program

FAMILY = "Pitleaf Sheet"
UNITS = 1000

FACES = (
    # style, main face, face that fills its gaps, weight class
    ("Regular",
     "/usr/share/fonts/truetype/roboto/unhinted/RobotoCondensed-Regular.ttf",
     "/usr/share/fonts/truetype/dejavu/DejaVuSansCondensed.ttf", 400),
    ("Bold",
     "/usr/share/fonts/truetype/roboto/unhinted/RobotoCondensed-Bold.ttf",
     "/usr/share/fonts/truetype/dejavu/DejaVuSansCondensed-Bold.ttf", 700),
)

# Characters that are taken where a face has them. Left out on purpose: control and formatting
# characters, and U+FFFD, so that all of these are reported as missing.
RANGES = (
    (0x0020, 0x007E),  # ASCII
    (0x00A0, 0x00AC), (0x00AE, 0x00FF),  # Latin-1, without the soft hyphen
    (0x0100, 0x024F),  # Latin Extended-A and -B
    (0x0250, 0x02AF),  # phonetic letters, some of which are letters of African alphabets
    (0x02B9, 0x02BC), (0x02C6, 0x02C7), (0x02D8, 0x02DD),  # modifier letters, spacing accents
    (0x0370, 0x03FF),  # Greek
    (0x0400, 0x052F),  # Cyrillic and its supplement
    (0x1E00, 0x1EFF),  # Latin Extended Additional: Vietnamese
    (0x2002, 0x200A), (0x2010, 0x2015), (0x2018, 0x2022), (0x2026, 0x2026),
    (0x202F, 0x202F), (0x2030, 0x2033), (0x2039, 0x203A), (0x203C, 0x203C), (0x2044, 0x2044),
    (0x2070, 0x208E),  # superscripts and subscripts
    (0x20A0, 0x20BE),  # currency
    (0x2103, 0x2103), (0x2109, 0x2109), (0x2113, 0x2113), (0x2116, 0x2117), (0x2122, 0x2122),
    (0x2150, 0x215E),  # fractions
)

# A gap of at most this many code points is filled with empty glyphs: they cost next to nothing
# once compressed. A filler is no character of the face: the source has no width for it.
LARGEST_GAP = 16

# Characters that both faces must have, from whichever file: without one of them the cut fails.
REQUIRED = (
    "0123456789 −±×÷°²³µ·…≤≥≠≈√Δπ∑∞½¼¾–—“”‘’•‰′″€№Ωμ‑"
    "←↑→↓↔↕↖↗↘↙⌀∅∠∂∆∏∓∝■□▲△▶▼▽◀○●✓✗ăâđêôơưẤậễỡựЂжѝґёΈώłßøåþőşțı"
)


def cut_characters(main):
    """The code points of the cut face, rising."""
    held = main.getBestCmap()
    chosen = {code for first, last in RANGES for code in range(first, last + 1) if code in held}
    chosen.update(map(ord, REQUIRED))
    return sorted(chosen)


def fillers(characters):
    """The code points in the gaps that are to be filled."""
    for before, after in zip(characters, characters[1:]):
        if after - before <= LARGEST_GAP:
            yield from range(before + 1, after)


def simple_glyph(font, name):
    """The outline of a glyph as one simple glyph of the new em, and its advance."""
    scale = UNITS / font["head"].unitsPerEm
    table = font["glyf"]
    coordinates, ends, flags = table[name].getCoordinates(table)
    glyph = Glyph()
    glyph.numberOfContours = len(ends)
    if ends:
        glyph.coordinates = GlyphCoordinates(
            [(otRound(x * scale), otRound(y * scale)) for x, y in coordinates])
        glyph.endPtsOfContours = list(ends)
        glyph.flags = flags
        glyph.program = Program()
        glyph.program.fromBytecode(b"")
        glyph.recalcBounds(None)
    return glyph, otRound(font["hmtx"][name][0] * scale)


def names_of(fonts, numbers):
    """The texts of the name records `numbers` (0: copyright, 13: licence) of the fonts."""
    return [text for font in fonts for number in numbers
            if (text := font["name"].getDebugName(number))]


def letter_span(glyphs, characters):
    """Top of the tallest and bottom of the lowest letter."""
    letters = [glyphs[glyph_name(code)] for code in characters
               if unicodedata.category(chr(code)).startswith("L")]
    return (max(glyph.yMax for glyph in letters if glyph.numberOfContours),
            min(glyph.yMin for glyph in letters if glyph.numberOfContours))


def glyph_name(code):
    return "uni%04X" % code


def cut_face(style, main_path, second_path, weight):
    """One face: its file and the figures that the measuring of text needs."""
    main, second = TTFont(main_path, lazy=True), TTFont(second_path, lazy=True)
    characters = cut_characters(main)
    glyphs, advances = {}, {}
    glyphs[".notdef"], advances[".notdef"] = simple_glyph(main, ".notdef")
    for code in characters:
        font = main if code in main.getBestCmap() else second
        if code not in font.getBestCmap():
            sys.exit(f"{style}: neither font has U+{code:04X}")
        name = glyph_name(code)
        glyphs[name], advances[name] = simple_glyph(font, font.getBestCmap()[code])

    digits = {advances[glyph_name(code)] for code in range(ord("0"), ord("9") + 1)}
    if len(digits) != 1:
        sys.exit(f"{style}: the digits differ in width: {sorted(digits)}")
    if characters[:95] != list(range(0x20, 0x7F)):
        sys.exit(f"{style}: ASCII is not whole")

    ascent, descent = letter_span(glyphs, characters)
    heights = {
        "ascent": ascent,
        "descent": -descent,
        "cap_height": glyphs[glyph_name(ord("H"))].yMax,
        "x_height": glyphs[glyph_name(ord("x"))].yMax,
    }

    for code in fillers(characters):
        glyphs[glyph_name(code)], advances[glyph_name(code)] = Glyph(), advances[".notdef"]
    mapped = sorted({*characters, *fillers(characters)})
    order = [".notdef"] + [glyph_name(code) for code in mapped]

    builder = FontBuilder(UNITS, isTTF=True)
    builder.setupGlyphOrder(order)
    builder.setupCharacterMap({code: glyph_name(code) for code in mapped})
    builder.setupGlyf(glyphs)
    builder.setupHorizontalMetrics(
        {name: (advances[name], getattr(glyph, "xMin", 0)) for name, glyph in glyphs.items()})
    builder.setupHorizontalHeader(ascent=ascent, descent=descent)
    builder.setupNameTable({
        "copyright": "Cut and scaled. " + "\n".join(names_of((main, second), (0,))),
        "familyName": FAMILY,
        "styleName": "Regular",
        "fullName": f"{FAMILY} {style}",
        "psName": FAMILY.replace(" ", "") + ("" if style == "Regular" else "-" + style),
    }, mac=False)
    builder.setupOS2(sTypoAscender=ascent, sTypoDescender=descent, usWinAscent=ascent,
                     usWinDescent=-descent, usWeightClass=weight, usWidthClass=3,
                     sCapHeight=heights["cap_height"], sxHeight=heights["x_height"], fsType=0)
    builder.setupPost(keepGlyphNames=False)
    builder.updateHead(created=main["head"].created, modified=main["head"].modified)
    widths = [(code, advances[glyph_name(code)]) for code in characters]
    return file_bytes(builder.font), widths, heights


def file_bytes(font):
    stream = BytesIO()
    font.save(stream)
    return stream.getvalue()


def lines_of(items, per_line):
    for start in range(0, len(items), per_line):
        yield "    " + ",".join(items[start:start + per_line]) + ",\n"


def notices():
    """What the fonts ask to be kept with every copy of them."""
    paths = [path for _, *paths, _ in FACES for path in paths]
    texts = names_of((TTFont(path, lazy=True) for path in paths), (0, 13))
    return "\n".join(dict.fromkeys(texts))


def write_source(path, faces):
    with open(path, "w", encoding="ascii", newline="\n") as out:
        out.write("// The two faces of the sheet. Generated by src/sheet/font/cut.py.\n//\n")
        for line in notices().splitlines():
            out.write(f"// {line.strip()}".rstrip() + "\n")
        out.write('#include "font.h"\n')
        for style, (data, widths, _) in faces:
            out.write(f"\nstatic const unsigned char {style}_bytes[] = {{\n")
            out.writelines(lines_of([str(byte) for byte in data], 24))
            out.write("};\n")
            out.write(f"\nstatic const struct pl_glyph {style}_glyphs[] = {{\n")
            out.writelines(lines_of([f"{{{code},{width}}}" for code, width in widths], 8))
            out.write("};\n")
        out.write("\nconst struct pl_face pl_faces[2] = {\n")
        for style, (data, widths, heights) in faces:
            out.write(f"    {{{style}_bytes, {len(data)}, {style}_glyphs, {len(widths)}, "
                      f"{heights['ascent']}, {heights['descent']}, {heights['cap_height']}, "
                      f"{heights['x_height']}}},\n")
        out.write("};\n")


def main():
    if len(sys.argv) != 2:
        sys.exit("usage: cut.py OUT.c")
    faces = [(face[0].lower(), cut_face(*face)) for face in FACES]
    if [code for code, _ in faces[0][1][1]] != [code for code, _ in faces[1][1][1]]:
        sys.exit("the two faces differ in their characters")
    write_source(sys.argv[1], faces)


if __name__ == "__main__":
    main()
