// SPDX-License-Identifier: GPL-3.0-or-later
// What spring wire is made of: stiffness and strength by material and diameter.
#include "numbers.h"
#include "pitleaf/physics.h"

#define PL_INCH 0.0254
#define PL_PSI  6894.757293168361
#define PL_MPSI (1e6 * PL_PSI)

// A row of a table by diameter: it holds up to `thickest`.
struct pl_modulus_row {
  double thickest;
  double modulus;
};

// Shigley's Mechanical Engineering Design, 10th ed., Table 10-5; the two thicker rows of music
// wire and stainless 302 from memory. The book leaves a thousandth of an inch between rows; the
// border is put in the middle.
static const struct pl_modulus_row music_wire_modulus[] = {{0.0325 * PL_INCH, 12.0 * PL_MPSI},
                                                           {0.0635 * PL_INCH, 11.85 * PL_MPSI},
                                                           {0.125 * PL_INCH, 11.75 * PL_MPSI},
                                                           {INFINITY, 11.6 * PL_MPSI}};
static const struct pl_modulus_row stainless_302_modulus[] = {{INFINITY, 10.0 * PL_MPSI}};

// The strength of wire falls with its diameter: `strength/(d in mm)^exponent`.
struct pl_strength_row {
  double thickest;
  double strength; // of wire of 1 mm, Pa
  double exponent;
};

// Shigley, 10th ed., Table 10-4, from memory.
static const struct pl_strength_row music_wire_strength[] = {{INFINITY, 2211e6, 0.145}};
static const struct pl_strength_row stainless_302_strength[] = {
    {2.5e-3, 1867e6, 0.146}, {5e-3, 2065e6, 0.263}, {INFINITY, 2911e6, 0.478}};

double pl_shear_modulus(enum pl_spring_material material, double wire) {
  if (!pl_is_positive(wire)) return NAN;
  const struct pl_modulus_row *row = NULL;
  switch (material) {
  case PL_MATERIAL_MUSIC_WIRE: row = music_wire_modulus; break;
  case PL_MATERIAL_STAINLESS_302: row = stainless_302_modulus; break;
  }
  if (row == NULL) return NAN;
  while (wire > row->thickest) row++;
  return row->modulus;
}

double pl_wire_tensile_strength(enum pl_spring_material material, double wire) {
  if (!pl_is_positive(wire)) return NAN;
  const struct pl_strength_row *row = NULL;
  switch (material) {
  case PL_MATERIAL_MUSIC_WIRE: row = music_wire_strength; break;
  case PL_MATERIAL_STAINLESS_302: row = stainless_302_strength; break;
  }
  if (row == NULL) return NAN;
  while (wire > row->thickest) row++;
  return row->strength / pow(wire * 1e3, row->exponent);
}

double pl_wire_torsional_limit(enum pl_spring_material material, double wire) {
  // Shigley, 10th ed., Table 10-6: the share of the tensile strength before set removal.
  const double share = material == PL_MATERIAL_MUSIC_WIRE ? 0.45 : 0.35;
  return share * pl_wire_tensile_strength(material, wire);
}
