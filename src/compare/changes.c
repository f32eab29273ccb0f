// SPDX-License-Identifier: GPL-3.0-or-later
// Changes: finding one in a comparison, and how its places, its difference and a piece of
// ballast are printed.
#include "pitleaf/compare.h"

#include <string.h>

static unsigned bit(int place) {
  return 1u << (unsigned)place;
}

// ---------------------------------------------------------------- finding

static const struct pl_change *find(const struct pl_change *changes, size_t count,
                                    enum pl_setting setting, enum pl_figure figure,
                                    enum pl_place place) {
  for (size_t i = 0; i < count; i++) {
    const struct pl_change *const change = &changes[i];
    if (change->setting != setting || change->figure != figure) continue;
    if ((change->places & bit((int)place)) != 0) return change;
  }
  return NULL;
}

const struct pl_change *pl_change_of_setting(const struct pl_comparison *comparison,
                                             enum pl_setting setting, enum pl_place place) {
  return find(comparison->changes, comparison->setting_count, setting, PL_FIGURE_COUNT,
              pl_place_at(place, pl_settings[setting].scope));
}

const struct pl_change *pl_change_of_figure(const struct pl_comparison *comparison,
                                            enum pl_figure figure, enum pl_place place) {
  return find(comparison->changes + comparison->setting_count, comparison->figure_count,
              PL_SETTING_COUNT, figure, pl_place_at(place, pl_figure_rows[figure].scope));
}

const struct pl_change *pl_change_of_extra(const struct pl_comparison *comparison,
                                           const char *name, enum pl_place place) {
  for (size_t i = 0; i < comparison->setting_count; i++) {
    const struct pl_change *const change = &comparison->changes[i];
    if (change->setting != PL_SETTING_COUNT || change->ballast != NULL) continue;
    if ((change->places & bit((int)place)) != 0 && strcmp(change->name, name) == 0)
      return change;
  }
  return NULL;
}

const struct pl_change *pl_change_of_ballast(const struct pl_comparison *comparison,
                                             const char *name) {
  for (size_t i = 0; i < comparison->setting_count; i++) {
    const struct pl_change *const change = &comparison->changes[i];
    if (change->ballast != NULL && strcmp(change->ballast, name) == 0) return change;
  }
  return NULL;
}

// ---------------------------------------------------------------- differences

/// Digits behind the point of a number as it is printed.
static int decimals(const char *text) {
  const char *const point = strchr(text, '.');
  return point == NULL ? 0 : (int)strlen(point + 1);
}

/// Reads a number as it is printed; false if it is none.
static bool read_printed(const char *text, double *value) {
  const bool negative = text[0] == '-';
  if (!pl_number_read(text + (negative ? 1 : 0), strlen(text) - (negative ? 1 : 0), value))
    return false;
  if (negative) *value = -*value;
  return true;
}

const char *pl_change_difference(struct pl_arena *arena, const struct pl_change *change) {
  double old = 0;
  double now = 0;
  if (!read_printed(change->before, &old) || !read_printed(change->after, &now)) return "";
  const int old_digits = decimals(change->before);
  const int new_digits = decimals(change->after);
  const int digits = old_digits > new_digits ? old_digits : new_digits;
  char space[40];
  pl_number_fixed(space, sizeof space, now - old, digits);
  return pl_format(arena, "%s%s", space[0] == '-' ? "" : "+", space);
}

// ---------------------------------------------------------------- printing

const char *pl_places_words(struct pl_arena *arena, unsigned places) {
  static const struct {
    unsigned places;
    const char *words;
  } known[] = {{0xF, "all"},  {0x3, "front"}, {0xC, "rear"},
               {0x5, "left"}, {0xA, "right"}, {0x30, "front and rear"}};
  for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
    if (known[i].places == places) return known[i].words;
  }
  struct pl_buffer words = {.arena = arena};
  for (int place = 0; place < PL_PLACE_COUNT; place++) {
    if ((places & bit(place)) == 0) continue;
    pl_buffer_format(&words, "%s%s", words.length == 0 ? "" : " and ",
                     pl_place_name((enum pl_place)place));
  }
  return pl_buffer_string(&words);
}

const char *pl_ballast_text(struct pl_arena *arena, const struct pl_ballast *piece,
                            enum pl_unit_system system) {
  // Pieces are small: the digits of the unsprung mass, not the whole car's.
  const struct pl_printed mass =
      pl_print_setting(arena, PL_SETTING_UNSPRUNG_MASS, &piece->mass.value, system);
  const struct pl_printed at =
      pl_print_setting(arena, PL_SETTING_WHEEL_CENTRE, &piece->at.value, system);
  return pl_format(arena, "%s%s%s at %s", mass.text, mass.unit[0] == '\0' ? "" : " ", mass.unit,
                   at.text);
}

// ---------------------------------------------------------------- sentences

const char *pl_filled(struct pl_arena *arena, const char *text, const char *first,
                      const char *second) {
  struct pl_buffer out = {.arena = arena};
  for (const char *next = text; *next != '\0';) {
    const bool is_first = strncmp(next, "{1}", 3) == 0;
    if (is_first || strncmp(next, "{2}", 3) == 0) {
      pl_buffer_text(&out, is_first ? first : second);
      next += 3;
    } else {
      pl_buffer_add(&out, next++, 1);
    }
  }
  return pl_buffer_string(&out);
}

const char *pl_in_sentence(struct pl_arena *arena, const char *label) {
  if (label[0] < 'A' || label[0] > 'Z') return label;
  return pl_format(arena, "%c%s", label[0] - 'A' + 'a', label + 1);
}

/// "front preload".
static const char *subject_of(struct pl_arena *arena, const struct pl_change *change,
                              const struct pl_wording *wording) {
  const bool foreign = wording != NULL && wording->label != NULL;
  // Other languages have capitals of their own.
  const char *const label = foreign ? wording->label(wording->context, change) : NULL;
  const char *const words = label != NULL ? label : pl_in_sentence(arena, change->label);
  if (change->places == bit(PL_CAR)) return words;
  const char *const where = wording == NULL || wording->places == NULL
                                ? change->where
                                : wording->places(wording->context, change->places);
  return pl_filled(arena,
                   wording == NULL || wording->placed == NULL ? "{1} {2}" : wording->placed,
                   where, words);
}

/// A value of the change as a sentence has it.
static const char *value_of(const struct pl_change *change, const char *text,
                            const struct pl_wording *wording) {
  return wording == NULL || wording->value == NULL
             ? text
             : wording->value(wording->context, change, text);
}

/// Where the unit of a part starts that was given by a number alone: " N/mm" of "0.38 N/mm";
/// null of any other text.
static const char *unit_behind(const struct pl_change *change, const char *text) {
  if (change->setting == PL_SETTING_COUNT || pl_settings[change->setting].type != PL_TYPE_PART)
    return NULL;
  const size_t digits = strspn(text, "0123456789.");
  const char *const unit = text + digits;
  return digits > 0 && unit[0] == ' ' && strchr(unit + 1, ' ') == NULL ? unit : NULL;
}

/// The text without the unit that it has in common with what stands behind it.
static const char *without_shared_unit(struct pl_arena *arena, const struct pl_change *change,
                                       const char *text, const char *next) {
  const char *const unit = unit_behind(change, text);
  const char *const other = unit_behind(change, next);
  if (unit == NULL || other == NULL || strcmp(unit, other) != 0) return text;
  return pl_copy_text(arena, text, (size_t)(unit - text));
}

/// "front preload 2.00 → 2.25 mm"; "front bar wire, new: 1.00 mm"; "…, dropped: 1.00 mm";
/// "front oil clear 400: viscosity 400 cSt → 380 cSt".
const char *pl_change_sentence(struct pl_arena *arena, const struct pl_change *change,
                               const struct pl_wording *wording) {
  const char *const gap = change->unit[0] == '\0' || strcmp(change->unit, "°") == 0 ? "" : " ";
  const char *const subject = subject_of(arena, change, wording);
  const char *const before = value_of(change, change->before, wording);
  const char *const after = value_of(change, change->after, wording);
  const char *const is_new =
      wording == NULL || wording->is_new == NULL ? "{1}, new: {2}" : wording->is_new;
  const char *const is_dropped = wording == NULL || wording->is_dropped == NULL
                                     ? "{1}, dropped: {2}"
                                     : wording->is_dropped;
  if (change->within[0] != '\0')
    return pl_format(arena, "%s %s: %s", subject, after, change->within);
  if (change->before[0] == '\0')
    return pl_filled(arena, is_new, subject,
                     pl_format(arena, "%s%s%s", after, gap, change->unit));
  if (change->after[0] == '\0')
    return pl_filled(arena, is_dropped, subject,
                     pl_format(arena, "%s%s%s", before, gap, change->unit));
  return pl_format(arena, "%s %s → %s%s%s", subject,
                   without_shared_unit(arena, change, before, after), after, gap, change->unit);
}

const char *pl_effect_cause(struct pl_arena *arena, const struct pl_effect *effect,
                            const struct pl_wording *wording) {
  if (effect->cause != NULL) return pl_change_sentence(arena, effect->cause, wording);
  return pl_format(arena, "%zu more changes", effect->move_count);
}

const char *pl_effect_moves(struct pl_arena *arena, const struct pl_effect *effect,
                            const struct pl_wording *wording) {
  if (effect->cause == NULL) return "not told one by one";
  struct pl_buffer words = {.arena = arena};
  for (size_t i = 0; i < effect->move_count; i++)
    pl_buffer_format(&words, "%s%s", words.length == 0 ? "" : "; ",
                     pl_change_sentence(arena, &effect->moves[i], wording));
  return pl_buffer_string(&words);
}
