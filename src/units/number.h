// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers as text: the one step that meets the locale, apart so that it can be tested.
#ifndef PITLEAF_UNITS_NUMBER_H
#define PITLEAF_UNITS_NUMBER_H

#include <stddef.h>

/// Copies a number as printf writes it, with a point for whatever the locale has in its place
/// (a comma; in some locales more than one byte). `out` holds at least what `printed` does.
void pl_point_for_radix(char *out, const char *printed);

#endif
