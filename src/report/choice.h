// SPDX-License-Identifier: GPL-3.0-or-later
// What the two ways to tell a choice share.
#ifndef PITLEAF_REPORT_CHOICE_H
#define PITLEAF_REPORT_CHOICE_H

#include "room.h"

/// The values of an aimed figure at its places; NaN: absent.
struct aimed {
  double values[PL_AXLES];
  double
      beyond; ///< how far the farther one is beyond what may be missed, SI; 0: the aim is met
};

struct aimed aimed_of(struct pl_figures *figures, const struct pl_wanted *wanted);
/// Are all aims met?
bool meets_all(struct pl_figures *figures, const struct pl_aim *aim);

#endif
