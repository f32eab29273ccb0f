// SPDX-License-Identifier: GPL-3.0-or-later
// The piston as one holds it to check it: face-on, from the cap's side, true to scale, with a
// bar that tells whether the printer kept the scale.
#include "drawing.h"
#include "ports.h"

#include <math.h>

/// Type of what stands beneath, pt.
#define NOTE_TYPE PL_SMALL

/// What lines of the drawing may reach beyond its own size, mm.
#define EDGE 0.3
/// Between the drawing, the bar and the texts, mm.
#define GAP 1.5
/// Room beside the drawing in which its texts are better read than beneath it, mm.
#define BESIDE 45.0

/// A port in a list: as large, mm, and its text as far from the edge.
#define KEY_SIZE 1.9
#define KEY_ROOM 2.8

/// A port of this diameter on paper has room for a letter of the smallest type, mm.
#define LETTER_ROOM 3.0

/// Ticks on the bar that are closer than this look like a grey band, mm.
#define LEAST_TICK 0.7

/// A piston that is being drawn. Lengths in mm.
struct face {
  struct pl_sheet *sheet;
  struct pl_page *page;
  const struct pl_part *piston;
  const struct pl_value *ports;
  double diameter; ///< true size
  bool at_bore;    ///< that diameter is the bore's
  double shaft;    ///< true size; NaN: not known; 0: no hole can be drawn
  double scale;
  struct pl_port_places places;
  double x; ///< of the texts
  double y; ///< where the next one goes
  double width;
};

static const struct pl_type note_type = {.size = NOTE_TYPE};
static const struct pl_type remark_type = {.size = PL_TYPE_FLOOR, .ink = PL_INK_GREY};

// ---------------------------------------------------------------- the face

/// Fills what a washer covers, and shows its edge where it lies on this side: what lifts in
/// rebound lifts toward the cap.
static void draw_port(struct pl_page *page, double x, double y, double scale,
                      const struct pl_ports *set) {
  const struct pl_stroke behind = {.width = 0.2, .ink = PL_INK_BLACK, .dash = PL_DASHED};
  const double cap = scale * set->cap_diameter * 1e3;
  const double shaft = scale * set->shaft_diameter * 1e3;
  const bool covered = set->one_way != PL_BOTH_WAYS;
  pl_draw_circle(page, x, y, cap, covered ? PL_INK_LIGHT : PL_INK_NONE, PL_STROKE_DECLARED);
  if (shaft != cap) pl_draw_circle(page, x, y, shaft, PL_INK_NONE, behind);
  if (set->one_way == PL_ONE_WAY_REBOUND)
    pl_draw_line(page, x - cap / 2, y, x + cap / 2, y, PL_STROKE_DECLARED);
}

/// The letter of a set, where a piston has several.
static const char *letter_of(const struct face *face, size_t set) {
  return face->ports->count < 2 ? ""
                                : pl_format(face->sheet->arena, "%c", (int)('A' + (int)set));
}

static void draw_letter(const struct face *face, const struct pl_port_place *place, double x,
                        double y) {
  const struct pl_ports *const set = &face->ports->many.ports[place->set];
  const double room = face->scale * 1e3 * fmin(set->cap_diameter, set->shaft_diameter);
  // The edge of a washer would run through it.
  if (room < LETTER_ROOM || set->one_way == PL_ONE_WAY_REBOUND) return;
  const struct pl_type type = {.size = PL_TYPE_FLOOR, .anchor = PL_ANCHOR_CENTRE};
  const double half = pl_text_metrics(type.size, false).cap_height / 2;
  pl_picture_text(face->sheet, face->page, x, y + half, type, letter_of(face, place->set));
}

static void draw_face(const struct face *face) {
  const double radius = face->scale * face->diameter / 2;
  const double x = EDGE + radius;
  const double y = EDGE + radius;
  pl_draw_circle(face->page, x, y, 2 * radius, PL_INK_NONE, PL_STROKE_DECLARED);
  if (face->shaft > 0) {
    const double hole = face->scale * face->shaft;
    pl_draw_circle(face->page, x, y, hole, PL_INK_NONE, PL_STROKE_DECLARED);
    pl_draw_line(face->page, x - hole / 4, y, x + hole / 4, y, PL_STROKE_HAIR);
    pl_draw_line(face->page, x, y - hole / 4, x, y + hole / 4, PL_STROKE_HAIR);
  }
  for (size_t i = 0; i < face->places.count; i++) {
    const struct pl_port_place *const place = &face->places.items[i];
    const double port_x = x + face->scale * place->x;
    const double port_y = y + face->scale * place->y;
    draw_port(face->page, port_x, port_y, face->scale, &face->ports->many.ports[place->set]);
    if (face->ports->count > 1) draw_letter(face, place, port_x, port_y);
  }
}

// ---------------------------------------------------------------- the bar

/// Ten millimetres of the piston, or as many as there is room for.
static void draw_bar(struct face *face) {
  const double room = (face->width - 2 * EDGE) / face->scale;
  const double lengths[] = {10, 5, 2, 1};
  size_t which = 0;
  while (which < 3 && lengths[which] > room) which++;
  const double length = lengths[which] * face->scale;
  const double left = face->x + EDGE;
  const double base = face->y + 2.4;
  const double step = face->scale >= LEAST_TICK ? 1 : 5;
  pl_draw_line(face->page, left, base, left + length, base, PL_STROKE_DECLARED);
  for (double at = 0; at <= lengths[which]; at += step) {
    const bool end = at == 0 || at == lengths[which];
    const double height = end ? 2.2 : at == 5 ? 1.6 : 1.0;
    const double x = left + at * face->scale;
    pl_draw_line(face->page, x, base, x, base - height,
                 (struct pl_stroke){.width = end ? 0.25 : 0.15, .ink = PL_INK_BLACK});
  }
  char number[40];
  pl_number_shortest(number, sizeof number, length, 6);
  const char *says = pl_format(face->sheet->arena, "%s mm", number);
  if (face->sheet->request->system == PL_IMPERIAL)
    says = pl_format(face->sheet->arena, "%s (%s)", says,
                     pl_drawn_number(face->sheet, PL_SETTING_EXTENDED_LENGTH, length * 1e-3));
  face->y =
      pl_picture_lines(face->sheet, face->page, face->x, base + 0.6, face->width, remark_type,
                       pl_word_with(face->sheet, PL_WORD_BAR_PROVES, says, NULL));
}

// ---------------------------------------------------------------- its ports in words

/// A port's diameter (SI) as the sheet prints ports, without the unit.
static const char *diameter_text(const struct face *face, double diameter) {
  const struct pl_setting_row *const row = &pl_settings[PL_SETTING_PORTS];
  struct pl_arena *const arena = face->sheet->arena;
  if (face->sheet->request->system == PL_IMPERIAL)
    return pl_print_number(arena, diameter, row->imperial, row->imperial_digits).text;
  char number[40];
  pl_number_shortest(number, sizeof number, diameter * 1e3, 9);
  return pl_format(arena, "%s", number);
}

static const char *pressure_text(const struct face *face, double pressure) {
  const struct pl_setting_row *const row = &pl_settings[PL_SETTING_CHARGE];
  struct pl_arena *const arena = face->sheet->arena;
  if (face->sheet->request->system == PL_IMPERIAL) {
    const struct pl_printed printed =
        pl_print_number(arena, pressure, row->imperial, row->imperial_digits);
    return pl_format(arena, "%s %s", printed.text, printed.unit);
  }
  char number[40];
  pl_number_shortest(number, sizeof number, pressure / 1e3, 9);
  return pl_format(arena, "%s kPa", number);
}

/// "lifts in compression above 20 kPa"; "" of a set that is open both ways.
static const char *lift_text(const struct face *face, const struct pl_ports *set) {
  const bool compression = set->one_way == PL_ONE_WAY_COMPRESSION;
  if (set->one_way == PL_BOTH_WAYS) return "";
  if (!(set->opens_at > 0))
    return pl_word(face->sheet,
                   compression ? PL_WORD_LIFTS_IN_COMPRESSION : PL_WORD_LIFTS_IN_REBOUND);
  return pl_word_with(face->sheet,
                      compression ? PL_WORD_LIFTS_IN_COMPRESSION_ABOVE
                                  : PL_WORD_LIFTS_IN_REBOUND_ABOVE,
                      pressure_text(face, set->opens_at), NULL);
}

static const char *set_text(const struct face *face, size_t which) {
  const struct pl_ports *const set = &face->ports->many.ports[which];
  const bool imperial = face->sheet->request->system == PL_IMPERIAL;
  const struct pl_setting_row *const row = &pl_settings[PL_SETTING_PORTS];
  const char *size = diameter_text(face, set->cap_diameter);
  if (set->shaft_diameter != set->cap_diameter)
    size = pl_word_with(face->sheet, PL_WORD_TAPERED, size,
                        diameter_text(face, set->shaft_diameter));
  struct pl_buffer text = {.arena = face->sheet->arena};
  if (face->ports->count > 1) pl_buffer_format(&text, "%s: ", letter_of(face, which));
  pl_buffer_format(&text, "%g × %s", set->count, size);
  if (set->tolerance > 0) pl_buffer_format(&text, " ± %s", diameter_text(face, set->tolerance));
  pl_buffer_format(&text, " %s", imperial ? row->imperial : row->of);
  const char *const lift = lift_text(face, set);
  if (lift[0] != '\0') pl_buffer_format(&text, ", %s", lift);
  return pl_buffer_string(&text);
}

/// A line for each set, with a port of it in small before it.
static void draw_sets(struct face *face) {
  for (size_t i = 0; face->ports->kind == PL_VALUE_PORTS && i < face->ports->count; i++) {
    struct pl_ports key = face->ports->many.ports[i];
    const double scale = KEY_SIZE * 1e-3 / fmax(key.cap_diameter, key.shaft_diameter);
    // However slight a taper is, the key shows two circles.
    if (key.cap_diameter < key.shaft_diameter)
      key.cap_diameter = fmin(key.cap_diameter, 0.6 * key.shaft_diameter);
    else if (key.shaft_diameter < key.cap_diameter)
      key.shaft_diameter = fmin(key.shaft_diameter, 0.6 * key.cap_diameter);
    draw_port(face->page, face->x + EDGE + KEY_SIZE / 2,
              face->y + pl_line_height(NOTE_TYPE) / 2, scale, &key);
    face->y = pl_picture_lines(face->sheet, face->page, face->x + KEY_ROOM, face->y,
                               face->width - KEY_ROOM, note_type, set_text(face, i));
  }
}

// ---------------------------------------------------------------- remarks

static bool has_taper(const struct pl_value *ports) {
  for (size_t i = 0; ports->kind == PL_VALUE_PORTS && i < ports->count; i++)
    if (ports->many.ports[i].cap_diameter != ports->many.ports[i].shaft_diameter) return true;
  return false;
}

static void draw_remarks(struct face *face) {
  const struct pl_sheet *const sheet = face->sheet;
  struct pl_buffer text = {.arena = sheet->arena};
  if (face->at_bore) pl_buffer_format(&text, "%s ", pl_word(sheet, PL_WORD_DRAWN_AT_BORE));
  if (isnan(face->shaft)) pl_buffer_format(&text, "%s ", pl_word(sheet, PL_WORD_SHAFT_UNKNOWN));
  if (has_taper(face->ports))
    pl_buffer_format(&text, "%s ", pl_word(sheet, PL_WORD_TAPER_LINES));
  if (face->ports->kind == PL_VALUE_PORTS)
    pl_buffer_text(&text, pl_word(sheet, face->places.count > 0 ? PL_WORD_PORTS_SPREAD
                                                                : PL_WORD_PORTS_DO_NOT_FIT));
  face->y = pl_picture_lines(face->sheet, face->page, face->x, face->y, face->width,
                             remark_type, pl_buffer_string(&text));
}

/// What stands over the bar: the scale, and what the circle is.
static void draw_size(struct face *face) {
  struct pl_sheet *const sheet = face->sheet;
  const char *const size = face->at_bore
                               ? pl_drawn_number(sheet, PL_SETTING_BORE, face->diameter * 1e-3)
                               : pl_drawn_value(sheet, face->piston, PL_SETTING_DIAMETER);
  const struct pl_type bold = {.size = NOTE_TYPE, .bold = true};
  face->y = pl_picture_lines(sheet, face->page, face->x, face->y, face->width, bold,
                             pl_scale_text(sheet->arena, face->scale));
  face->y = pl_picture_lines(
      sheet, face->page, face->x, face->y, face->width, note_type,
      pl_word_with(sheet, PL_WORD_FROM_CAP, pl_format(sheet->arena, "⌀ %s", size), NULL));
}

// ---------------------------------------------------------------- the whole

/// What the drawing needs and does not have; null if it has it.
static const char *what_lacks(const struct pl_sheet *sheet, const struct pl_part *piston,
                              double diameter) {
  const char *needs = NULL;
  if (piston == NULL)
    needs = pl_drawn_label(sheet, PL_SETTING_PISTON);
  else if (!(diameter > 0))
    needs = pl_word_with(sheet, PL_WORD_OR, pl_drawn_label(sheet, PL_SETTING_DIAMETER),
                         pl_drawn_label(sheet, PL_SETTING_BORE));
  return needs == NULL ? NULL : pl_word_with(sheet, PL_WORD_PISTON_NEEDS, needs, NULL);
}

const struct pl_page *pl_piston_picture(struct pl_sheet *sheet, enum pl_place corner,
                                        double width, double scale, const char **lacks) {
  const struct pl_part *const piston = pl_setup_part(sheet->setup, PL_SETTING_PISTON, corner);
  const struct pl_part *const damper = pl_setup_part(sheet->setup, PL_SETTING_DAMPER, corner);
  struct face face = {.sheet = sheet,
                      .piston = piston,
                      .diameter = pl_part_length(piston, PL_SETTING_DIAMETER),
                      .shaft = pl_part_length(damper, PL_SETTING_SHAFT),
                      .scale = scale};
  face.at_bore = !(face.diameter > 0);
  if (face.at_bore) face.diameter = pl_part_length(damper, PL_SETTING_BORE);
  *lacks = what_lacks(sheet, piston, face.diameter);
  if (*lacks != NULL) return NULL;
  sheet->where = (struct pl_span){.source = NULL};
  sheet->what = "a drawing";
  const double most = (width - 2 * EDGE) / face.diameter;
  if (face.scale > most) face.scale = pl_scale_below(most);
  if (face.shaft >= face.diameter) face.shaft = 0; // a hole as wide as the piston is none
  face.ports = &pl_part_get(piston, PL_SETTING_PORTS)->value;
  face.places =
      pl_port_places(sheet->arena, face.ports, face.diameter, face.shaft > 0 ? face.shaft : 0);
  const double across = face.scale * face.diameter + 2 * EDGE;
  const bool beside = width - across - 2 * GAP >= BESIDE;
  face.page = pl_picture_new(sheet->arena, width, across);
  face.x = beside ? across + 2 * GAP : 0;
  face.y = beside ? 0 : across + GAP;
  face.width = width - face.x;
  draw_face(&face);
  draw_size(&face);
  draw_bar(&face);
  face.y += 0.6;
  draw_sets(&face);
  face.y += 0.4;
  draw_remarks(&face);
  face.page->height = fmax(across, face.y);
  return face.page;
}
