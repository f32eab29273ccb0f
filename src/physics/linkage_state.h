// SPDX-License-Identifier: GPL-3.0-or-later
// From a position of the upright to everything that is asked of a position.
#ifndef PITLEAF_PHYSICS_LINKAGE_STATE_H
#define PITLEAF_PHYSICS_LINKAGE_STATE_H

#include "upright.h"

/// The state with the arm and upright as given; `reached` is set.
struct pl_linkage_state pl_arm_state(const struct pl_linkage *linkage,
                                     const struct pl_upright *upright);

/// The state of a beam axle that has risen by `travel`; `reached` is set.
struct pl_linkage_state pl_beam_state(const struct pl_linkage *linkage, double travel);

/// Not reached, and NaN everywhere.
struct pl_linkage_state pl_no_state(void);

#endif
