// SPDX-License-Identifier: GPL-3.0-or-later
// What there is to choose from: each way to set something is a line of the language in a setup
// of its own behind the file's text.
#include "varied.h"

#include <math.h>
#include <string.h>

/// A space in the making.
struct making {
  struct pl_arena *arena;
  const struct pl_setup *setup; ///< as it is
  const struct pl_parts_box *box;
  struct pl_space *space;
};

// ---------------------------------------------------------------- ways as they are written

static void add_way(struct pl_dimension_varied *dimension, const char *written) {
  if (dimension->count < PL_MOST_OPTIONS)
    dimension->ways[dimension->count++] = (struct pl_way){.written = written};
}

static const char *quoted(struct pl_arena *arena, const char *name) {
  struct pl_buffer out = {.arena = arena};
  pl_buffer_quoted(&out, name);
  return pl_buffer_string(&out);
}

static void add_parts(struct making *making, struct pl_dimension_varied *dimension,
                      const struct pl_owned *owned) {
  for (size_t i = 0; i < owned->count; i++)
    add_way(dimension, quoted(making->arena, owned->names[i]));
}

/// Each two of the oils, mixed as the box says.
static void add_blends(struct making *making, struct pl_dimension_varied *dimension) {
  static const int quarters[] = {75, 50, 25};
  const struct pl_owned *const oils = &making->box->oils;
  const size_t mixtures = making->box->blends == PL_BLENDS_QUARTERS ? 3 : 1;
  if (making->box->blends == PL_BLENDS_NONE) return;
  for (size_t i = 0; i < oils->count; i++) {
    for (size_t j = i + 1; j < oils->count; j++) {
      for (size_t k = 0; k < mixtures; k++) {
        const int share = mixtures == 1 ? 50 : quarters[k];
        add_way(dimension, pl_format(making->arena, "blend(%s %d %%, %s %d %%)",
                                     quoted(making->arena, oils->names[i]), share,
                                     quoted(making->arena, oils->names[j]), 100 - share));
      }
    }
  }
}

static enum pl_place side_of(enum pl_place axle, bool right) {
  const enum pl_place left = axle == PL_FRONT ? PL_FRONT_LEFT : PL_REAR_LEFT;
  return right ? (enum pl_place)(left + 1) : left;
}

static const struct pl_value *value_at(const struct making *making, enum pl_setting setting,
                                       enum pl_place axle, bool right) {
  return &pl_setup_get(making->setup, setting, side_of(axle, right))->value;
}

static bool has_hole(const struct pl_value *holes, int number) {
  for (size_t i = 0; i < holes->count; i++) {
    if (holes->many.holes[i].number == number) return true;
  }
  return false;
}

/// The holes that both sides number; none where a point is given.
static void add_holes(struct making *making, struct pl_dimension_varied *dimension) {
  const enum pl_setting setting = pl_varied_rows[dimension->kind].setting;
  const enum pl_setting all = (enum pl_setting)(setting + 1);
  for (int side = 0; side < 2; side++) {
    if (value_at(making, setting, dimension->axle, side == 1)->kind == PL_VALUE_POINT) return;
  }
  const struct pl_value *const left = value_at(making, all, dimension->axle, false);
  const struct pl_value *const right = value_at(making, all, dimension->axle, true);
  if (left->kind != PL_VALUE_HOLES || right->kind != PL_VALUE_HOLES) return;
  for (size_t i = 0; i < left->count; i++) {
    const int number = left->many.holes[i].number;
    if (has_hole(right, number)) add_way(dimension, pl_format(making->arena, "%d", number));
  }
}

static void remark(struct making *making, const char *text) {
  struct pl_space *const space = making->space;
  space->remarks = pl_grow(making->arena, space->remarks, space->remark_count,
                           &space->remark_capacity, sizeof *space->remarks);
  space->remarks[space->remark_count++] = text;
}

static const char *name_of(struct making *making, const struct pl_dimension_varied *dimension) {
  return pl_format(making->arena, "%s.%s", pl_place_name(dimension->axle),
                   pl_settings[pl_varied_rows[dimension->kind].setting].key);
}

/// In the box's steps, about what it is, from none on. Where the setup gives no preload, it is
/// the one that holds the ride height anyway.
static void add_preloads(struct making *making, struct pl_dimension_varied *dimension) {
  const double step = making->box->preload_step;
  for (int side = 0; side < 2; side++) {
    if (value_at(making, PL_SETTING_PRELOAD, dimension->axle, side == 1)->kind !=
        PL_VALUE_NUMBER)
      return;
  }
  const double now = value_at(making, PL_SETTING_PRELOAD, dimension->axle, false)->number;
  const double first = fmax(0, floor(now / step) - PL_MOST_PRELOADS / 2.0);
  for (int i = 0; i < PL_MOST_PRELOADS; i++) {
    const double millimetres = (first + i) * step * 1e3;
    char number[40];
    pl_number_shortest(number, sizeof number, millimetres, 9);
    if (millimetres <= pl_settings[PL_SETTING_PRELOAD].greatest)
      add_way(dimension, pl_format(making->arena, "%s mm", number));
  }
}

static void add_ways(struct making *making, struct pl_dimension_varied *dimension) {
  const int axle = dimension->axle == PL_REAR;
  dimension->ways = pl_alloc_array(making->arena, PL_MOST_OPTIONS, sizeof *dimension->ways);
  add_way(dimension, "");
  switch (dimension->kind) {
  case PL_VARY_SPRING: add_parts(making, dimension, &making->box->springs[axle]); break;
  case PL_VARY_PISTON: add_parts(making, dimension, &making->box->pistons[axle]); break;
  case PL_VARY_OIL:
    add_parts(making, dimension, &making->box->oils);
    add_blends(making, dimension);
    break;
  case PL_VARY_TOP:
  case PL_VARY_BOTTOM: add_holes(making, dimension); break;
  case PL_VARY_PRELOAD: add_preloads(making, dimension); break;
  case PL_VARY_COUNT: break;
  }
  if (dimension->count == PL_MOST_OPTIONS)
    remark(making, pl_format(making->arena, "Of %s the first %d ways are varied.",
                             name_of(making, dimension), PL_MOST_OPTIONS - 1));
}

// ---------------------------------------------------------------- setups of the ways

/// A name that no setup of the file has.
static const char *name_of_way(struct making *making, size_t number) {
  const struct pl_program *const program = pl_setup_program(making->setup);
  const char *name = pl_format(making->arena, "%s, way %zu", making->space->setup_name, number);
  while (pl_program_find(program, PL_BLOCK_SETUP, name) != NULL)
    name = pl_format(making->arena, "%s'", name);
  return name;
}

static void add_setup(const struct making *making, struct pl_buffer *text, const char *name,
                      const char *lines) {
  pl_buffer_text(text, "setup ");
  pl_buffer_quoted(text, name);
  pl_buffer_text(text, " from ");
  pl_buffer_quoted(text, making->space->setup_name);
  pl_buffer_format(text, " {\n%s}\n", lines);
}

static const char *line_of(struct pl_arena *arena, const struct pl_dimension_varied *dimension,
                           const struct pl_way *way) {
  return pl_format(arena, "  %s { %s = %s }\n", pl_place_name(dimension->axle),
                   pl_settings[pl_varied_rows[dimension->kind].setting].key, way->written);
}

/// Works out every setting of a setup, so that threads may read it side by side.
static void resolve(const struct pl_setup *setup) {
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const enum pl_scope scope = pl_settings[i].scope;
    if (pl_settings[i].owner != PL_BLOCK_SETUP) continue;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++)
      pl_setup_get(setup, (enum pl_setting)i, (enum pl_place)place);
  }
}

/// Is it what both sides have anyway?
static bool is_as_it_is(const struct pl_space *space,
                        const struct pl_dimension_varied *dimension,
                        const struct pl_setup *setup) {
  const enum pl_setting setting = pl_varied_rows[dimension->kind].setting;
  for (int side = 0; side < 2; side++) {
    const enum pl_place place = side_of(dimension->axle, side == 1);
    if (!pl_value_equal(&pl_setup_get(setup, setting, place)->value,
                        &pl_setup_get(space->setup, setting, place)->value))
      return false;
  }
  return true;
}

static const char *first_error(const struct pl_diagnostics *problems) {
  for (size_t i = 0; i < problems->count; i++) {
    if (pl_diagnostic_rows[problems->items[i].code].severity == PL_ERROR)
      return problems->items[i].message;
  }
  return "it has a mistake";
}

/// Keeps the ways of a dimension that change something and make no mistake.
static void keep_sound_ways(struct making *making, struct pl_dimension_varied *dimension,
                            const char *const *names) {
  struct pl_space *const space = making->space;
  dimension->ways[0].setup = space->setup;
  size_t kept = 1;
  for (size_t i = 1; i < dimension->count; i++) {
    struct pl_way *const way = &dimension->ways[i];
    struct pl_diagnostics *problems = NULL;
    way->setup = pl_program_setup_apart(space->program, names[i], &problems);
    if (way->setup == NULL || problems->errors > 0) {
      remark(making,
             pl_format(making->arena, "%s = %s is left out: %s", name_of(making, dimension),
                       way->written, first_error(problems)));
      continue;
    }
    if (is_as_it_is(space, dimension, way->setup)) continue;
    resolve(way->setup);
    dimension->ways[kept++] = *way;
  }
  dimension->count = kept;
}

static void make_setups(struct making *making) {
  struct pl_space *const space = making->space;
  struct pl_buffer text = {.arena = making->arena};
  const char **const names =
      pl_alloc_array(making->arena, (size_t)PL_DIMENSIONS * PL_MOST_OPTIONS, sizeof *names);
  size_t number = 0;
  for (size_t d = 0; d < space->count; d++) {
    const struct pl_dimension_varied *const dimension = &space->dimensions[d];
    for (size_t i = 1; i < dimension->count; i++) {
      names[d * PL_MOST_OPTIONS + i] = name_of_way(making, ++number);
      add_setup(making, &text, names[d * PL_MOST_OPTIONS + i],
                line_of(making->arena, dimension, &dimension->ways[i]));
    }
  }
  space->file = pl_setup_program(making->setup);
  space->program = pl_program_extended(space->file, making->arena, pl_buffer_string(&text));
  space->setup = pl_program_setup(space->program, space->setup_name);
  pl_setup_check(space->setup);
  resolve(space->setup);
  for (size_t d = 0; d < space->count; d++)
    keep_sound_ways(making, &space->dimensions[d], &names[d * PL_MOST_OPTIONS]);
}

// ---------------------------------------------------------------- standing at ride height

static bool wants_height(const struct pl_aim *aim, enum pl_place place) {
  for (size_t i = 0; i < aim->count; i++) {
    for (size_t j = 0; j < aim->wanted[i].place_count; j++) {
      if (aim->wanted[i].figure == PL_FIGURE_SETTLED_RIDE_HEIGHT &&
          aim->wanted[i].places[j] == place)
        return true;
    }
  }
  return false;
}

/// The ride height at which a wheel stands as it is declared; NaN where it does not.
static double standing_height(const struct making *making, struct pl_figures *figures,
                              enum pl_place place) {
  const struct pl_figure_value *const settled =
      pl_figure_get(figures, PL_FIGURE_SETTLED_RIDE_HEIGHT, place);
  const double declared = pl_setup_number(making->setup, PL_SETTING_RIDE_HEIGHT, place);
  const bool stands = settled->present && fabs(settled->value - declared) <= HEIGHT_SLACK;
  return stands ? declared : NAN;
}

static void add_standing(struct making *making, struct pl_aim *aim, enum pl_place axle,
                         size_t first, size_t count, double height) {
  struct pl_wanted *const wanted = &aim->wanted[aim->count++];
  const enum pl_place place = count == 2 ? axle : side_of(axle, first == 1);
  *wanted = (struct pl_wanted){
      .key = pl_format(making->arena, "%s.settled-ride-height", pl_place_name(place)),
      .span = aim->span,
      .figure = PL_FIGURE_SETTLED_RIDE_HEIGHT,
      .place_count = count,
      .target = height,
      .tolerance = HEIGHT_SLACK,
      .is_implied = true};
  for (size_t i = 0; i < count; i++) wanted->places[i] = side_of(axle, first + i == 1);
}

/// The aim, and that the car goes on to stand where it is declared to.
static const struct pl_aim *aim_with_heights(struct making *making,
                                             const struct pl_aim *given) {
  struct pl_aim *const aim = pl_alloc(making->arena, sizeof *aim);
  *aim = *given;
  aim->wanted =
      pl_alloc_array(making->arena, given->count + PL_STANDING_MOST, sizeof *aim->wanted);
  memcpy(aim->wanted, given->wanted, given->count * sizeof *aim->wanted);
  struct pl_figures *const figures = pl_figures_brief(making->setup);
  for (int axle = 0; axle < PL_AXLES; axle++) {
    const enum pl_place at = axle == 0 ? PL_FRONT : PL_REAR;
    double heights[2];
    for (size_t side = 0; side < 2; side++) {
      const enum pl_place place = side_of(at, side == 1);
      heights[side] =
          wants_height(given, place) ? NAN : standing_height(making, figures, place);
    }
    if (heights[0] == heights[1])
      add_standing(making, aim, at, 0, 2, heights[0]);
    else
      for (size_t side = 0; side < 2; side++)
        if (!isnan(heights[side])) add_standing(making, aim, at, side, 1, heights[side]);
  }
  return aim;
}

// ---------------------------------------------------------------- the space

static void drop(struct pl_space *space, size_t which) {
  for (size_t i = which + 1; i < space->count; i++)
    space->dimensions[i - 1] = space->dimensions[i];
  space->count--;
}

/// Two dimensions that one setting follows cannot be put together from ways of each: the later
/// one stays as it is.
static void drop_clashes(struct making *making) {
  struct pl_space *const space = making->space;
  uint8_t(*const dimension_of)[PL_PLACE_COUNT] =
      pl_alloc_array(making->arena, PL_SETTING_COUNT, sizeof *dimension_of);
  size_t clash = 0;
  enum pl_setting by = PL_SETTING_COUNT;
  while (!dimensions_of_settings(space, dimension_of, &clash, &by)) {
    remark(making,
           pl_format(making->arena, "%s is not varied: `%s` follows it and something else.",
                     name_of(making, &space->dimensions[clash]), pl_settings[by].key));
    drop(space, clash);
  }
}

struct pl_space *pl_space_new(struct pl_arena *arena, const struct pl_setup *setup,
                              const struct pl_parts_box *box, const struct pl_aim *aim) {
  struct pl_space *const space = pl_alloc(arena, sizeof *space);
  struct making making = {.arena = arena, .setup = setup, .box = box, .space = space};
  space->setup_name = pl_setup_name(setup);
  space->aim = aim_with_heights(&making, aim);
  for (int axle = 0; axle < PL_AXLES; axle++) {
    for (int kind = 0; kind < PL_VARY_COUNT; kind++) {
      if (aim->keeps[axle][kind]) continue;
      struct pl_dimension_varied *const dimension = &space->dimensions[space->count];
      *dimension = (struct pl_dimension_varied){.axle = axle == 0 ? PL_FRONT : PL_REAR,
                                                .kind = (enum pl_varied_kind)kind};
      add_ways(&making, dimension);
      if (dimension->count > 1) space->count++;
    }
  }
  make_setups(&making);
  for (size_t d = space->count; d-- > 0;) {
    if (space->dimensions[d].count == 1) drop(space, d);
  }
  drop_clashes(&making);
  return space;
}

// ---------------------------------------------------------------- combinations as setups

const char *pl_chosen_lines(struct pl_arena *arena, const struct pl_space *space,
                            const struct pl_chosen *chosen, const char *indent) {
  struct pl_buffer out = {.arena = arena};
  for (int axle = 0; axle < PL_AXLES; axle++) {
    bool open = false;
    for (size_t d = 0; d < space->count; d++) {
      const struct pl_dimension_varied *const dimension = &space->dimensions[d];
      if ((dimension->axle == PL_REAR) != (axle == 1) || chosen->ways[d] == 0) continue;
      pl_buffer_format(&out, "%s%s%s = %s", open ? "" : indent,
                       open ? "; " : pl_format(arena, "%s { ", pl_place_name(dimension->axle)),
                       pl_settings[pl_varied_rows[dimension->kind].setting].key,
                       dimension->ways[chosen->ways[d]].written);
      open = true;
    }
    if (open) pl_buffer_text(&out, " }\n");
  }
  return pl_buffer_string(&out);
}

/// By the aim, and none that a setup of the file has.
static const char *name_of_chosen(struct pl_arena *arena, const struct pl_space *space) {
  const char *const aim = space->aim->name;
  const char *const name =
      pl_format(arena, "%s, %s", space->setup_name, aim[0] == '\0' ? "chosen" : aim);
  const char *free = name;
  for (int i = 2; pl_program_find(space->file, PL_BLOCK_SETUP, free) != NULL; i++)
    free = pl_format(arena, "%s %d", name, i);
  return free;
}

const char *pl_chosen_setup(struct pl_arena *arena, const struct pl_space *space,
                            const struct pl_chosen *chosen) {
  const struct making making = {.space = (struct pl_space *)space};
  struct pl_buffer text = {.arena = arena};
  add_setup(&making, &text, name_of_chosen(arena, space),
            pl_chosen_lines(arena, space, chosen, "  "));
  const char *const plain = pl_buffer_string(&text);
  const struct pl_source *const source =
      pl_source_of_bytes(arena, "", (const unsigned char *)plain, text.length);
  const struct pl_tree *const tree =
      pl_parse(arena, pl_names_new(arena), pl_diagnostics_new(arena), source);
  const struct pl_tidied tidied = pl_tidy(arena, tree, PL_TIDY_KEEPS_ORDER);
  return tidied.text == NULL ? plain : pl_copy_text(arena, tidied.text, tidied.length);
}

/// Does the setup as it is have a problem of that kind in the same words?
static bool stands_before(const struct pl_diagnostics *problems, size_t count,
                          const struct pl_diagnostic *problem) {
  for (size_t i = 0; i < count; i++) {
    if (problems->items[i].code == problem->code &&
        strcmp(problems->items[i].message, problem->message) == 0)
      return true;
  }
  return false;
}

/// What is wrong with a setup of the program, found by checking it.
static struct pl_diagnostics *check(struct pl_arena *arena, const struct pl_setup *setup) {
  struct pl_diagnostics *const problems = pl_program_problems(pl_setup_program(setup));
  const size_t before = problems->count;
  pl_setup_check(setup);
  pl_figures_check(pl_figures_brief(setup));
  struct pl_diagnostics *const own = pl_diagnostics_new(arena);
  for (size_t i = before; i < problems->count; i++) pl_report_again(own, &problems->items[i]);
  return own;
}

/// What is wrong with a setup of a combination and not with the one in hand.
static void add_warnings(struct pl_made *made, const struct pl_diagnostics *problems,
                         const struct pl_diagnostics *before) {
  for (size_t i = 0; i < problems->count; i++) {
    // That left and right become alike is seen from the change.
    if (problems->items[i].code == PL_HIDES_NARROWER) continue;
    if (!stands_before(before, before->count, &problems->items[i]))
      made->warnings[made->warning_count++] = problems->items[i].message;
  }
}

/// A box has a pair of each part: where changes put the same one at both axles, that is two.
static void add_pairs(struct pl_arena *arena, const struct pl_space *space,
                      const struct pl_chosen *chosen, const struct pl_setup *setup,
                      struct pl_made *made) {
  int changes[PL_VARY_COUNT] = {0};
  for (size_t d = 0; d < space->count; d++)
    changes[space->dimensions[d].kind] += chosen->ways[d] != 0;
  for (int kind = PL_VARY_SPRING; kind <= PL_VARY_PISTON; kind++) {
    const enum pl_setting setting = pl_varied_rows[kind].setting;
    const struct pl_value *const front = &pl_setup_get(setup, setting, PL_FRONT_LEFT)->value;
    const struct pl_value *const rear = &pl_setup_get(setup, setting, PL_REAR_LEFT)->value;
    if (changes[kind] < PL_AXLES || !pl_value_equal(front, rear)) continue;
    made->warnings[made->warning_count++] =
        pl_format(arena, "Front and rear both get the %s %s: that takes two pairs.",
                  pl_settings[setting].key, pl_value_text(arena, front));
  }
}

struct pl_made *pl_make_chosen(struct pl_arena *arena, const struct pl_space *space,
                               const struct pl_chosen *chosen, size_t count) {
  struct pl_made *const made = pl_alloc_array(arena, count, sizeof *made);
  for (size_t i = 0; i < count; i++) {
    struct making making = {
        .arena = arena, .setup = space->setup, .space = (struct pl_space *)space};
    struct pl_buffer text = {.arena = arena};
    const char *const name = name_of_way(&making, 0);
    add_setup(&making, &text, name, pl_chosen_lines(arena, space, &chosen[i], "  "));
    struct pl_program *const program =
        pl_program_extended(space->file, arena, pl_buffer_string(&text));
    const struct pl_diagnostics *const before =
        check(arena, pl_program_setup(program, space->setup_name));
    const struct pl_setup *const setup = pl_program_setup(program, name);
    const struct pl_diagnostics *const problems = check(arena, setup);
    made[i].figures = pl_figures_brief(setup);
    made[i].warnings =
        pl_alloc_array(arena, problems->count + PL_VARY_COUNT, sizeof *made[i].warnings);
    add_warnings(&made[i], problems, before);
    add_pairs(arena, space, &chosen[i], setup, &made[i]);
  }
  return made;
}
