// SPDX-License-Identifier: GPL-3.0-or-later
// In the making.
#include "room.h"

void pl_shocks_draw(struct pl_sheet *sheet, const struct pl_template_part *part) {
  (void)sheet;
  (void)part;
}
