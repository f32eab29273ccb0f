// SPDX-License-Identifier: GPL-3.0-or-later
// In the making.
#include "room.h"

const struct pl_page *pl_plot_picture(struct pl_sheet *sheet,
                                      const struct pl_template_part *plot, double width,
                                      double height, const char **lacks) {
  (void)sheet;
  (void)plot;
  (void)width;
  (void)height;
  *lacks = "It is in the making.";
  return NULL;
}
