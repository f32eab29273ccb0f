// SPDX-License-Identifier: GPL-3.0-or-later
// The explain command: where a setting or a figure comes from.
#include "room.h"

#include <math.h>
#include <string.h>

/// What a key names.
struct subject {
  const char *key;
  enum pl_setting setting; ///< PL_SETTING_COUNT: none
  enum pl_setting inner;   ///< of the part that the setting names; PL_SETTING_COUNT: none
  enum pl_figure figure;   ///< PL_FIGURE_COUNT: none
};

/// A setting, a part's setting behind a point, a figure. Some keys name a setting and a figure:
/// the figure then tells the setting among its inputs.
static struct subject subject_of(struct run *run, const char *key) {
  struct subject subject = {.key = key,
                            .setting = pl_setting_of(key, PL_BLOCK_SETUP),
                            .inner = PL_SETTING_COUNT,
                            .figure = pl_figure_of(key)};
  const char *const point = strchr(key, '.');
  if (subject.setting != PL_SETTING_COUNT || point == NULL) return subject;
  const enum pl_setting part =
      pl_setting_of(pl_copy_text(run->arena, key, (size_t)(point - key)), PL_BLOCK_SETUP);
  if (part == PL_SETTING_COUNT || pl_settings[part].type != PL_TYPE_PART) return subject;
  subject.inner = pl_setting_of(point + 1, pl_block_kind_of(pl_settings[part].of));
  if (subject.inner != PL_SETTING_COUNT) subject.setting = part;
  return subject;
}

static enum pl_scope scope_of(const struct subject *subject) {
  if (subject->figure != PL_FIGURE_COUNT) return pl_figure_rows[subject->figure].scope;
  return pl_settings[subject->setting].scope;
}

static const char *explain_at(struct run *run, struct pl_figures *figures,
                              const struct subject *subject, enum pl_place place) {
  const struct pl_setup *const setup = pl_figures_setup(figures);
  const struct pl_text_style style = style_of(run, setup);
  if (subject->figure != PL_FIGURE_COUNT)
    return pl_explain_figure(run->arena, figures, subject->figure, place, &style);
  return pl_explain_setting(run->arena, setup, subject->setting, subject->inner, place, &style);
}

/// Both sides may have one value and not be as sure of it; what differs by rounding is alike.
static bool is_as_sure_at(struct pl_figures *figures, enum pl_figure figure, enum pl_place one,
                          enum pl_place other) {
  const struct pl_tolerances *const tolerances = pl_tolerances_new(figures, &figure, 1);
  const double a = pl_tolerance_of(tolerances, figure, one)->half_width;
  const double b = pl_tolerance_of(tolerances, figure, other)->half_width;
  return fabs(a - b) <= 1e-6 * fmax(a, b);
}

static bool is_same_at(struct pl_figures *figures, const struct subject *subject,
                       enum pl_place one, enum pl_place other) {
  if (subject->figure != PL_FIGURE_COUNT) {
    const struct pl_figure_value *const a = pl_figure_get(figures, subject->figure, one);
    const struct pl_figure_value *const b = pl_figure_get(figures, subject->figure, other);
    return a->present == b->present && (!a->present || a->value == b->value) &&
           is_as_sure_at(figures, subject->figure, one, other);
  }
  const struct pl_setup *const setup = pl_figures_setup(figures);
  return pl_value_equal(&pl_setup_get(setup, subject->setting, one)->value,
                        &pl_setup_get(setup, subject->setting, other)->value);
}

/// Two corners that were asked for by one name.
struct pair {
  const char *name;
  enum pl_place corners[2];
  const char *told_apart; ///< by what they are told apart
};

static const struct pair pairs[] = {
    {"front", {PL_FRONT_LEFT, PL_FRONT_RIGHT}, "left and right"},
    {"rear", {PL_REAR_LEFT, PL_REAR_RIGHT}, "left and right"},
    {"left", {PL_FRONT_LEFT, PL_REAR_LEFT}, "front and rear"},
    {"right", {PL_FRONT_RIGHT, PL_REAR_RIGHT}, "front and rear"},
};

static const struct pair *pair_named(const char *name, size_t length) {
  for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
    if (strlen(pairs[i].name) == length && strncmp(pairs[i].name, name, length) == 0)
      return &pairs[i];
  }
  return NULL;
}

/// What belongs to a corner was asked for two: told once where both are the same.
static const char *explain_pair(struct run *run, struct pl_figures *figures,
                                const struct subject *subject, const struct pair *pair) {
  const enum pl_place one = pair->corners[0];
  const enum pl_place other = pair->corners[1];
  if (is_same_at(figures, subject, one, other))
    return pl_format(run->arena, "%s, %s alike\n\n%s", pair->name, pair->told_apart,
                     explain_at(run, figures, subject, one));
  complain(run, "`%s` differs %s; write %s.%s or %s.%s", subject->key, pair->told_apart,
           pl_place_name(one), subject->key, pl_place_name(other), subject->key);
  return NULL;
}

/// The place is PL_PLACE_COUNT where the path begins with a side.
static const char *explanation(struct run *run, struct pl_figures *figures, enum pl_place place,
                               const struct pair *pair, const struct subject *subject) {
  const enum pl_scope scope = scope_of(subject);
  if (place != PL_PLACE_COUNT && pl_place_at(place, scope) != PL_PLACE_COUNT)
    return explain_at(run, figures, subject, pl_place_at(place, scope));
  if (scope == PL_SCOPE_CORNER && pair != NULL)
    return explain_pair(run, figures, subject, pair);
  const char *const scopes[] = {"front-left", "front", "car"};
  complain(run, "`%s` is not of %s; write %s.%s", subject->key,
           pair == NULL ? "the whole car" : "a side", scopes[scope], subject->key);
  return NULL;
}

/// Extras and ballast have no row in the table: whether there is such a one tells the setup.
/// Those of an axle or a side are told for both corners, one behind the other.
static void explain_unlisted(struct run *run, const struct pl_setup *setup, enum pl_place place,
                             const struct pair *pair, const char *name) {
  const struct pl_text_style style = style_of(run, setup);
  const char *const first = pl_explain_unlisted(
      run->arena, setup, name, pair == NULL ? place : pair->corners[0], &style);
  const char *const second =
      pair == NULL ? NULL
                   : pl_explain_unlisted(run->arena, setup, name, pair->corners[1], &style);
  if (first == NULL && second == NULL) {
    complain_unknown(run, "there is no setting or figure", name, pl_describe_nearest(name));
    return;
  }
  if (first != NULL) put_text(run, first);
  if (first != NULL && second != NULL) put_text(run, "\n");
  if (second != NULL) put_text(run, second);
}

/// Warnings of other keys would only stand in the way of the answer.
static void put_errors(struct run *run, const struct pl_program *program) {
  if (pl_program_problems(program)->errors > 0) put_problems(run, program, NULL);
  if (pl_program_unreadable(program)) raise_status(run, STATUS_NOT_DONE);
}

void command_explain(struct run *run) {
  const char *const path = run->options->words[1];
  const char *const point = strchr(path, '.');
  const struct pair *const pair =
      point == NULL ? NULL : pair_named(path, (size_t)(point - path));
  const bool is_side = pair != NULL && pl_place_of(pair->name) == PL_PLACE_COUNT;
  enum pl_place place = PL_PLACE_COUNT;
  const char *key = is_side ? point + 1 : NULL;
  if (!is_side && !read_path(run, path, &place, &key)) return;
  const struct subject subject = subject_of(run, key);
  const bool is_listed =
      subject.setting != PL_SETTING_COUNT || subject.figure != PL_FIGURE_COUNT;
  struct pl_program *program = NULL;
  struct pl_figures *const figures =
      load_figures(run, run->options->words[0], run->options->setup, NULL, &program);
  if (figures != NULL && !is_listed)
    explain_unlisted(run, pl_figures_setup(figures), place, pair, key);
  if (figures != NULL && is_listed) {
    const char *const text = explanation(run, figures, place, pair, &subject);
    if (text != NULL) put_text(run, text);
  }
  put_errors(run, program);
}
