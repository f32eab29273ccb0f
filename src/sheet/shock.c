// SPDX-License-Identifier: GPL-3.0-or-later
// In the making.
#include "room.h"

const struct pl_page *pl_shock_picture(struct pl_sheet *sheet, enum pl_place corner,
                                       double width, double height, const char **lacks) {
  (void)sheet;
  (void)corner;
  (void)width;
  (void)height;
  *lacks = "It is in the making.";
  return NULL;
}
