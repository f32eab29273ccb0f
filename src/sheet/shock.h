// SPDX-License-Identifier: GPL-3.0-or-later
// The section of a shock: what is declared of it, where everything lies, who draws what. For
// this room alone.
#ifndef PITLEAF_SHEET_SHOCK_H
#define PITLEAF_SHEET_SHOCK_H

#include "drawing.h"

// ---------------------------------------------------------------- what is declared

/// A spring as it is declared; a stack's free lengths are added. NaN: not declared.
struct pl_coil {
  double wire;        ///< mm
  double mean;        ///< diameter, mm
  double coils;       ///< all of them
  double free_length; ///< mm
};

/// What the setup says of a corner's shock. Lengths in mm, NaN where it does not say it.
struct pl_shock_facts {
  const struct pl_part *damper;
  const struct pl_part *piston; ///< null: not declared
  const struct pl_part *spring; ///< likewise
  double bore;
  double shaft;
  double stroke;
  double extended;
  double limiter; ///< 0: none
  double bump;    ///< 0: none
  double piston_diameter;
  double thickness;
  double exposed;
  double overlap;
  double perch_gap;
  double collar; ///< from its zero
  double preload;
  struct pl_coil coil;
  double section; ///< of a seal ring
  double gland_width;
  double gland_outside;
  size_t rings; ///< 0: not declared
  size_t backups;
  double air; ///< mm³
};

/// What the setup says of the shock at that corner; false if it has none, or not what a section
/// needs. `lacks` then has the reason, a sentence.
bool pl_shock_read(const struct pl_sheet *sheet, enum pl_place corner,
                   struct pl_shock_facts *facts, const char **lacks);

// ---------------------------------------------------------------- where everything lies

/// Heights along the axis, mm at true size, downward from the middle of the upper eye; radii
/// from the axis. At full extension with the limiter in.
struct pl_shock_shape {
  double length; ///< eye to eye
  double unit;   ///< what has no size is drawn in proportion to this
  bool is_true;  ///< false: what is declared has no room in the length, and was shortened
  double cap_top;
  double inside_top; ///< of the body
  double bladder;    ///< lowest place of the air behind it
  double nut_top;
  double piston_top;
  double piston_bottom;
  double sleeve_top;
  double glide_top;
  double gland_top;
  double gland_bottom;
  double body_bottom;
  double foot_top; ///< where the lower eye's part begins

  bool has_spring; ///< a spring, or a collar for one
  bool collar_is_known;
  double collar_zero; ///< NaN: not known
  double collar;      ///< its lower face
  double collar_height;
  double spring_top;   ///< lower than the collar where the spring is loose
  double seat;         ///< the spring's lower end
  struct pl_coil coil; ///< with likely numbers where none is declared
  bool coil_is_known;

  double piston_radius;
  double body_radius;
  double cap_radius;
  double collar_radius; ///< also of the lower cup
  double eye_radius;
  double reach; ///< largest radius of all
};

struct pl_shock_shape pl_shock_shape(const struct pl_shock_facts *facts);

// ---------------------------------------------------------------- drawing it

/// A section being drawn.
struct pl_shock_pen {
  struct pl_sheet *sheet;
  struct pl_page *page;
  const struct pl_shock_facts *facts;
  const struct pl_shock_shape *shape;
  double scale;
  double x; ///< of the axis on paper, mm
  double y; ///< of the middle of the upper eye on paper, mm
};

/// A place of the shock (mm at true size) on paper, mm.
double pl_shock_x(const struct pl_shock_pen *pen, double x);
double pl_shock_y(const struct pl_shock_pen *pen, double y);

/// A box of the shock from `x1`, `y1` to `x2`, `y2`, mm at true size; nothing where it has no
/// width or no height.
void pl_shock_box(const struct pl_shock_pen *pen, double x1, double y1, double x2, double y2,
                  enum pl_ink fill, struct pl_stroke stroke);
/// The same at both sides of the axis, from radius `x1` to radius `x2`.
void pl_shock_boxes(const struct pl_shock_pen *pen, double x1, double y1, double x2, double y2,
                    enum pl_ink fill, struct pl_stroke stroke);

/// The spring with its collar and its cup, and what lies behind the body.
void pl_shock_draw_spring(const struct pl_shock_pen *pen);
/// Body, cap, eyes, shaft.
void pl_shock_draw_body(const struct pl_shock_pen *pen);
/// What is in the body: piston, spacers, seals, air.
void pl_shock_draw_inside(const struct pl_shock_pen *pen);

/// Room that lines and arrows of dimensions take between the shock and the texts, mm.
#define PL_SHOCK_LANE_LEFT  3.4
#define PL_SHOCK_LANE_RIGHT 2.6

/// Dimensions with texts in two columns, each `column` mm wide, that end on both sides of the
/// shock. `bottom` is where texts may end; returns where they do, further down if they must.
double pl_shock_draw_dimensions(const struct pl_shock_pen *pen, double column, double bottom);

#endif
