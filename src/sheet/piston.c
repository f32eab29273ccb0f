// SPDX-License-Identifier: GPL-3.0-or-later
// In the making.
#include "room.h"

const struct pl_page *pl_piston_picture(struct pl_sheet *sheet, enum pl_place corner,
                                        double width, double scale, const char **lacks) {
  (void)sheet;
  (void)corner;
  (void)width;
  (void)scale;
  *lacks = "It is in the making.";
  return NULL;
}
