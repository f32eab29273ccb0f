// SPDX-License-Identifier: GPL-3.0-or-later
// Damping: the piston and the oil that it pumps.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- piston

static enum pl_flow_way way_of(enum pl_one_way one_way) {
  switch (one_way) {
  case PL_ONE_WAY_COMPRESSION: return PL_FLOW_COMPRESSION;
  case PL_ONE_WAY_REBOUND: return PL_FLOW_REBOUND;
  case PL_BOTH_WAYS: break;
  }
  return PL_FLOW_BOTH;
}

/// Says that the thickness is the settings table's fallback.
static void note_thickness(struct work *work) {
  const struct pl_value *const assumed =
      &pl_setup_get(work->figures->setup, PL_SETTING_PISTON_THICKNESS, work->place)->value;
  note(work,
       pl_format(work->figures->arena, "the piston's thickness is not declared: %s is assumed",
                 pl_value_text(work->figures->arena, assumed)));
}

/// A piston that is given by its ports alone takes the setup's thickness.
static double thickness_of(struct work *work) {
  const double own = optional_of_part(work, PL_SETTING_PISTON, PL_SETTING_THICKNESS);
  if (!isnan(own)) return own;
  if (!is_given(work, PL_SETTING_PISTON_THICKNESS)) note_thickness(work);
  return optional(work, PL_SETTING_PISTON_THICKNESS);
}

bool build_piston(struct work *work, struct corner *corner) {
  const struct pl_part *const part = need_part(work, PL_SETTING_PISTON);
  struct pl_piston *const piston = &corner->piston;
  const double bore = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_BORE);
  const double shaft = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_SHAFT);
  *piston = (struct pl_piston){.bore = bore, .shaft = shaft};
  if (part == NULL) return false;
  const struct pl_value *const ports = &pl_part_get(part, PL_SETTING_PORTS)->value;
  optional_of_part(work, PL_SETTING_PISTON, PL_SETTING_PORTS);
  if (ports->kind != PL_VALUE_PORTS || ports->count > PL_PORT_SETS) {
    lacks(work, "piston.ports");
    return false;
  }
  piston->thickness = thickness_of(work);
  piston->diameter = optional_of_part(work, PL_SETTING_PISTON, PL_SETTING_DIAMETER);
  piston->set_count = ports->count;
  const double wider = work->figures->ports_wider[work->place];
  for (size_t i = 0; i < ports->count; i++) {
    const struct pl_ports *const set = &ports->many.ports[i];
    piston->sets[i] = (struct pl_port_set){.count = set->count,
                                           .diameter_cap_side = set->cap_diameter + wider,
                                           .diameter_shaft_side = set->shaft_diameter + wider,
                                           .way = way_of(set->one_way),
                                           .opens_at = set->opens_at};
  }
  if (isnan(piston->bore) || isnan(piston->shaft)) return false;
  if (pl_pumped_area(piston) > 0 &&
      !(piston->diameter > piston->bore || piston->diameter <= piston->shaft))
    return true;
  note(work, "the piston does not fit the bore and the shaft");
  return false;
}

const struct corner *with_damper(struct work *work) {
  const struct corner *const piston = with(work, ASSEMBLY_PISTON);
  const struct corner *const fluid = with(work, ASSEMBLY_FLUID);
  return piston == NULL ? NULL : fluid;
}

// ---------------------------------------------------------------- damping

static double slow(struct work *work, bool compression) {
  const struct corner *const corner = with_damper(work);
  if (corner == NULL) return NAN;
  const double damping = pl_piston_slow_damping(&corner->piston, &corner->fluid, compression);
  return explained(work, damping, PL_SETTING_PISTON,
                   compression ? "no port is open at rest for the shaft to move in"
                               : "no port is open at rest for the shaft to move out");
}

double damping_slow_compression(struct work *work) {
  return slow(work, true);
}

double damping_slow_rebound(struct work *work) {
  return slow(work, false);
}

/// Tells what goes on in the ports at a shaft speed; the law is sure where it was checked.
static void detail_ports(struct work *work, const struct corner *corner, double speed) {
  if (!explains(work)) return;
  const struct pl_piston *const piston = &corner->piston;
  const double pressure = pl_piston_pressure(piston, &corner->fluid, speed);
  bool sure = true;
  for (size_t i = 0; i < piston->set_count; i++) {
    const struct pl_port_set *const set = &piston->sets[i];
    const double narrowest = fmin(set->diameter_cap_side, set->diameter_shaft_side);
    const double slenderness = piston->thickness / narrowest;
    struct pl_port_state port;
    if (!pl_port_state(piston, i, &corner->fluid, pressure, &port) || port.flow == 0) continue;
    detail(work,
           pl_format(work->figures->arena,
                     "port of %.2f mm, %.1f times as long as wide: %.2f m/s, Reynolds number "
                     "%.1f, shear rate %.0f 1/s",
                     narrowest * 1e3, slenderness, port.mean_speed, port.reynolds,
                     port.shear_rate));
    sure &= port.reynolds >= 20 && port.reynolds <= 350 && slenderness >= 2 && slenderness <= 4;
  }
  if (!sure)
    detail(
        work,
        "that is outside what the kinetic loss was checked for, Reynolds numbers of 20 to 350 "
        "in ports 2 to 4 times as long as wide: the figure is less sure");
}

/// Ports that never open are shut at rest too, of which the slow damping warns.
static double fast(struct work *work, double damping) {
  if (isinf(damping)) note(work, "no port lets oil through that way at all");
  return damping;
}

double damping_fast_compression(struct work *work) {
  const struct corner *const corner = with_damper(work);
  const double speed = need(work, PL_SETTING_FAST_SPEED);
  if (corner == NULL) return NAN;
  if (speed > figure(work, PL_FIGURE_CAVITATION_SPEED))
    note(work, "fast-speed is beyond the cavitation speed: compression damping is overstated");
  detail_ports(work, corner, speed);
  return fast(work, pl_piston_damping(&corner->piston, &corner->fluid, speed));
}

double damping_fast_rebound(struct work *work) {
  const struct corner *const corner = with_damper(work);
  const double speed = need(work, PL_SETTING_FAST_SPEED);
  if (corner == NULL) return NAN;
  detail_ports(work, corner, -speed);
  return fast(work, pl_piston_damping(&corner->piston, &corner->fluid, -speed));
}

/// The damping ratio at the wheel that a damping of the shock gives.
static double ratio_of(struct work *work, double damping) {
  const double lever = figure(work, PL_FIGURE_MOTION_RATIO);
  const double rate = figure(work, PL_FIGURE_WHEEL_RATE);
  return pl_damping_ratio(damping, lever, rate, figure(work, PL_FIGURE_SPRUNG_MASS));
}

double damping_ratio_slow(struct work *work) {
  const double compression = figure(work, PL_FIGURE_DAMPING_SLOW_COMPRESSION);
  const double rebound = figure(work, PL_FIGURE_DAMPING_SLOW_REBOUND);
  return ratio_of(work, (compression + rebound) / 2);
}

double damping_ratio_fast(struct work *work) {
  const double compression = figure(work, PL_FIGURE_DAMPING_FAST_COMPRESSION);
  const double rebound = figure(work, PL_FIGURE_DAMPING_FAST_REBOUND);
  return ratio_of(work, (compression + rebound) / 2);
}

double damping_ratio_compression(struct work *work) {
  return ratio_of(work, figure(work, PL_FIGURE_DAMPING_SLOW_COMPRESSION));
}

double damping_ratio_rebound(struct work *work) {
  return ratio_of(work, figure(work, PL_FIGURE_DAMPING_SLOW_REBOUND));
}

double pack_speed(struct work *work) {
  const struct corner *const corner = with_damper(work);
  if (corner == NULL) return NAN;
  const double speed = pl_pack_speed(&corner->piston, &corner->fluid);
  // No fault: a piston may leak so much past its edge that its ports never pack.
  if (isinf(speed)) note(work, "the piston does not pack: no speed makes the losses equal");
  return speed;
}

double cavitation_speed(struct work *work) {
  const struct corner *const corner = with_damper(work);
  const double charge = optional_of_part(work, PL_SETTING_DAMPER, PL_SETTING_CHARGE);
  if (corner == NULL) return NAN;
  return pl_cavitation_speed(&corner->piston, &corner->fluid,
                             PL_STANDARD_ATMOSPHERE + (isnan(charge) ? 0 : charge));
}
