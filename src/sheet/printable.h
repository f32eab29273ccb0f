// SPDX-License-Identifier: GPL-3.0-or-later
// printable: what is looked at before a paper is handed to the PDF library. For this room
// alone.
#ifndef PITLEAF_SHEET_PRINTABLE_H
#define PITLEAF_SHEET_PRINTABLE_H

#include "pitleaf/sheet.h"

/// PL_PDF_OK if every part of the paper can be printed in a file of `page_count` pages, to
/// which its links may lead; otherwise the reason, in words in `*message` (owned by `arena`).
enum pl_pdf_status pl_paper_check(struct pl_arena *arena, const struct pl_paper *paper,
                                  size_t page_count, const char **message);

#endif
