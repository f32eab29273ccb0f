// SPDX-License-Identifier: GPL-3.0-or-later
// What figures reveal: problems that no setting shows by itself.
#include "room.h"

#include <math.h>
#include <string.h>

/// Nobody cuts a spring or a thread closer, m.
#define LENGTH_SLACK 0.05e-3

static struct pl_diagnostics *problems_of(struct pl_figures *figures) {
  return pl_program_problems(pl_setup_program(figures->setup));
}

/// Where a setting was given last; the setup's name where it was not.
static struct pl_span span_of(struct pl_figures *figures, enum pl_setting setting,
                              enum pl_place place) {
  const struct pl_resolved *const resolved = pl_setup_get(figures->setup, setting, place);
  if (resolved->touch_count == 0) return pl_setup_span(figures->setup);
  return resolved->touches[resolved->touch_count - 1].span;
}

static double value_of(struct pl_figures *figures, enum pl_figure figure, enum pl_place place) {
  const struct pl_figure_value *const value = pl_figure_get(figures, figure, place);
  return value->present ? value->value : NAN;
}

static const char *shown(struct pl_figures *figures, enum pl_figure figure, double value) {
  const struct pl_printed printed = pl_print_figure(figures->arena, figure, value, PL_METRIC);
  return pl_format(figures->arena, "%s %s", printed.text, printed.unit);
}

/// What is wrong at a corner. The words go into the problem's text behind the place.
struct finding {
  enum pl_code code;
  struct pl_span span;
  const char *words[3];
};

/// Looks for one kind of problem at a corner; false if there is none.
typedef bool search_function(struct pl_figures *figures, enum pl_place place,
                             struct finding *finding);

static bool finds_lock(struct pl_figures *figures, enum pl_place place,
                       struct finding *finding) {
  const double margin = value_of(figures, PL_FIGURE_BLADDER_MARGIN, place);
  if (!(margin < 0)) return false;
  *finding = (struct finding){PL_SHOCK_LOCKS,
                              span_of(figures, PL_SETTING_DAMPER, place),
                              {shown(figures, PL_FIGURE_BLADDER_MARGIN, -margin)}};
  return true;
}

static bool finds_height(struct pl_figures *figures, enum pl_place place,
                         struct finding *finding) {
  const double settled = value_of(figures, PL_FIGURE_SETTLED_RIDE_HEIGHT, place);
  const double declared = pl_setup_number(figures->setup, PL_SETTING_RIDE_HEIGHT, place);
  const double needed = value_of(figures, PL_FIGURE_PRELOAD_NEEDED, place);
  if (!(fabs(settled - declared) > HEIGHT_SLACK)) return false;
  const enum pl_setting by = pl_setup_get(figures->setup, PL_SETTING_PRELOAD, place)->given
                                 ? PL_SETTING_PRELOAD
                                 : PL_SETTING_COLLAR;
  *finding =
      (struct finding){PL_SETTLES_ELSEWHERE,
                       span_of(figures, by, place),
                       {shown(figures, PL_FIGURE_SETTLED_RIDE_HEIGHT, settled),
                        shown(figures, PL_FIGURE_SETTLED_RIDE_HEIGHT, declared),
                        needed >= 0 ? shown(figures, PL_FIGURE_PRELOAD_NEEDED, needed) : NULL}};
  return true;
}

static bool finds_bind(struct pl_figures *figures, enum pl_place place,
                       struct finding *finding) {
  const double to_bind = value_of(figures, PL_FIGURE_TRAVEL_TO_BIND, place);
  const double to_end = value_of(figures, PL_FIGURE_SHOCK_TRAVEL_IN, place);
  if (!(to_bind < to_end)) return false;
  *finding = (struct finding){PL_SPRING_BINDS,
                              span_of(figures, PL_SETTING_SPRING, place),
                              {shown(figures, PL_FIGURE_TRAVEL_TO_BIND, to_end - to_bind)}};
  return true;
}

static bool finds_stiffness(struct pl_figures *figures, enum pl_place place,
                            struct finding *finding) {
  const double needed = value_of(figures, PL_FIGURE_PRELOAD_NEEDED, place);
  if (!(needed < 0)) return false;
  *finding = (struct finding){PL_SPRING_TOO_STIFF,
                              span_of(figures, PL_SETTING_SPRING, place),
                              {shown(figures, PL_FIGURE_PRELOAD_NEEDED, -needed)}};
  return true;
}

/// A spring that hangs loose on a fully extended shock: the collar leaves it room.
static bool finds_looseness(struct pl_figures *figures, enum pl_place place,
                            struct finding *finding) {
  struct cell *const cell = pl_alloc(figures->arena, sizeof *cell);
  struct work work = {.figures = figures, .place = place, .cell = cell};
  if (is_given(&work, PL_SETTING_PRELOAD) || !is_given(&work, PL_SETTING_COLLAR)) return false;
  const double preload = preload_of(&work);
  if (!(preload < 0)) return false;
  *finding = (struct finding){PL_SPRING_LOOSE,
                              span_of(figures, PL_SETTING_COLLAR, place),
                              {shown(figures, PL_FIGURE_PRELOAD_NEEDED, -preload)}};
  return true;
}

/// A spring for which the shock has no room: that of the other axle, mostly.
static bool finds_length(struct pl_figures *figures, enum pl_place place,
                         struct finding *finding) {
  const double collar = value_of(figures, PL_FIGURE_COLLAR_POSITION, place);
  if (!(collar < -LENGTH_SLACK)) return false;
  *finding = (struct finding){PL_SPRING_TOO_LONG,
                              span_of(figures, PL_SETTING_SPRING, place),
                              {shown(figures, PL_FIGURE_COLLAR_POSITION, -collar)}};
  return true;
}

static bool finds_buckling(struct pl_figures *figures, enum pl_place place,
                           struct finding *finding) {
  const double force = value_of(figures, PL_FIGURE_SHAFT_FORCE, place);
  const double load = value_of(figures, PL_FIGURE_BUCKLING_LOAD, place);
  if (!(force > load)) return false;
  *finding = (struct finding){PL_SHAFT_BUCKLES,
                              span_of(figures, PL_SETTING_DAMPER, place),
                              {shown(figures, PL_FIGURE_SHAFT_FORCE, force),
                               shown(figures, PL_FIGURE_BUCKLING_LOAD, load)}};
  return true;
}

// ---------------------------------------------------------------- telling

static bool same_word(const char *a, const char *b) {
  return a == b || (a != NULL && b != NULL && strcmp(a, b) == 0);
}

static bool same_finding(const struct finding *a, const struct finding *b) {
  return a->code == b->code && a->span.source == b->span.source &&
         a->span.start == b->span.start && same_word(a->words[0], b->words[0]) &&
         same_word(a->words[1], b->words[1]) && same_word(a->words[2], b->words[2]);
}

static void tell(struct pl_figures *figures, const struct finding *finding,
                 enum pl_place place) {
  pl_report(
      problems_of(figures), finding->code, finding->span,
      PL_WORDS(pl_place_name(place), finding->words[0], finding->words[1], finding->words[2]));
}

/// What left and right have in common is told once, of the axle.
static void tell_axle(struct pl_figures *figures, enum pl_place axle,
                      const struct finding *left, const struct finding *right) {
  const bool front = axle == PL_FRONT;
  if (left != NULL && right != NULL && same_finding(left, right)) {
    tell(figures, left, axle);
    return;
  }
  if (left != NULL) tell(figures, left, front ? PL_FRONT_LEFT : PL_REAR_LEFT);
  if (right != NULL) tell(figures, right, front ? PL_FRONT_RIGHT : PL_REAR_RIGHT);
}

static void search_axle(struct pl_figures *figures, enum pl_place axle,
                        search_function *search) {
  const bool front = axle == PL_FRONT;
  struct finding left;
  struct finding right;
  const bool at_left = search(figures, front ? PL_FRONT_LEFT : PL_REAR_LEFT, &left);
  const bool at_right = search(figures, front ? PL_FRONT_RIGHT : PL_REAR_RIGHT, &right);
  tell_axle(figures, axle, at_left ? &left : NULL, at_right ? &right : NULL);
}

/// The warning number `which` of a cell as a finding; null if it has fewer.
static const struct finding *warning_of(struct pl_figures *figures, const struct cell *cell,
                                        size_t which, enum pl_place place,
                                        struct finding *finding) {
  if (which >= cell->warning_count) return NULL;
  const struct warning *const warning = &cell->warnings[which];
  *finding = (struct finding){place == PL_CAR ? PL_CAR_NOTE : PL_FIGURE_NOTE,
                              span_of(figures, warning->about, place),
                              {warning->text}};
  return finding;
}

/// What a figure or an assembly warned of at the two corners of each axle.
static void tell_warnings(struct pl_figures *figures, const struct cell *corners) {
  for (int axle = PL_FRONT; axle <= PL_REAR; axle++) {
    const enum pl_place left = axle == PL_FRONT ? PL_FRONT_LEFT : PL_REAR_LEFT;
    const enum pl_place right = axle == PL_FRONT ? PL_FRONT_RIGHT : PL_REAR_RIGHT;
    const size_t left_count = corners[left].warning_count;
    const size_t right_count = corners[right].warning_count;
    for (size_t i = 0; i < left_count || i < right_count; i++) {
      struct finding at_left;
      struct finding at_right;
      tell_axle(figures, (enum pl_place)axle,
                warning_of(figures, &corners[left], i, left, &at_left),
                warning_of(figures, &corners[right], i, right, &at_right));
    }
  }
}

/// What a figure of the axles or of the car warned of.
static void tell_wide_warnings(struct pl_figures *figures, const struct cell *places,
                               enum pl_scope scope) {
  const int first = (int)pl_first_place(scope);
  for (int place = first; place <= (int)pl_last_place(scope); place++) {
    const struct cell *const cell = &places[place - first];
    for (size_t i = 0; i < cell->warning_count; i++) {
      struct finding finding;
      tell(figures, warning_of(figures, cell, i, (enum pl_place)place, &finding),
           (enum pl_place)place);
    }
  }
}

void pl_figures_check(struct pl_figures *figures) {
  static search_function *const searches[] = {finds_lock,      finds_height,    finds_bind,
                                              finds_stiffness, finds_looseness, finds_length,
                                              finds_buckling};
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const enum pl_scope scope = pl_figure_rows[i].scope;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++)
      pl_figure_get(figures, (enum pl_figure)i, (enum pl_place)place);
  }
  // What figures are made of comes first: it may be the cause of what they warn of.
  for (int i = 0; i < ASSEMBLY_COUNT; i++) tell_warnings(figures, figures->assemblies[i]);
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const enum pl_scope scope = pl_figure_rows[i].scope;
    if (scope == PL_SCOPE_CORNER)
      tell_warnings(figures, figures->cells[i]);
    else
      tell_wide_warnings(figures, figures->cells[i], scope);
  }
  for (size_t i = 0; i < sizeof searches / sizeof searches[0]; i++) {
    search_axle(figures, PL_FRONT, searches[i]);
    search_axle(figures, PL_REAR, searches[i]);
  }
}
