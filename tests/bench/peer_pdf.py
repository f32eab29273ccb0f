#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""peer_pdf.py FONTS OUT.pdf MARKS: the marks of a sheet (marks.h) drawn by a PDF library of
Python, if there is one (Debian's python3-reportlab). A yardstick of the benchmarks."""

import struct
import sys

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen import canvas

RECORD = struct.Struct("=iiiI8f")
PAGE, TEXT, LINE, POLYGON, RECTANGLE, CIRCLE = range(6)


def set_state(page, fill, stroke, line_width, dash):
    if fill >= 0:
        page.setFillGray(fill)
    if stroke >= 0:
        page.setStrokeGray(stroke)
        page.setLineWidth(line_width)
        page.setDash([[], [3, 2], [1, 2]][dash])


def draw(page, kind, bold, x, y, width, height, size, fill, stroke, more):
    painted = {"fill": int(fill >= 0), "stroke": int(stroke >= 0)}
    if kind == TEXT:
        page.setFont("bold" if bold else "regular", size)
        page.drawString(x, y, more.decode())
    elif kind == RECTANGLE:
        page.rect(x, y, width, height, **painted)
    elif kind == CIRCLE:
        page.circle(x, y, width / 2, **painted)
    else:
        spots = struct.unpack(f"={len(more) // 4}f", more)
        path = page.beginPath()
        path.moveTo(spots[0], spots[1])
        for i in range(2, len(spots), 2):
            path.lineTo(spots[i], spots[i + 1])
        if kind == POLYGON:
            path.close()
        page.drawPath(path, **painted)


def main(fonts, out, marks):
    for name in ("regular", "bold"):
        pdfmetrics.registerFont(TTFont(name, f"{fonts}/{name}.ttf"))
    page = canvas.Canvas(out)
    with open(marks, "rb") as file:
        data = file.read()
    at, first = 0, True
    while at < len(data):
        kind, bold, dash, count, x, y, width, height, size, fill, stroke, line = RECORD.unpack_from(data, at)
        at += RECORD.size
        if kind == PAGE:
            if not first:
                page.showPage()
            first = False
            page.setPageSize((width, height))
            continue
        length = count if kind == TEXT else 8 * count
        set_state(page, fill, stroke, line, dash)
        draw(page, kind, bold, x, y, width, height, size, fill, stroke, data[at:at + length])
        at += length
    page.save()


if __name__ == "__main__":
    main(*sys.argv[1:4])
