// SPDX-License-Identifier: GPL-3.0-or-later
// Aims: the figures that somebody wants, and what is to stay as it is.
#include "pitleaf/choice.h"

#include <math.h>
#include <string.h>

const struct pl_varied_row pl_varied_rows[PL_VARY_COUNT] = {
    [PL_VARY_SPRING] = {PL_SETTING_SPRING, "a spring change", 5},
    [PL_VARY_PISTON] = {PL_SETTING_PISTON, "a piston change", 8},
    [PL_VARY_OIL] = {PL_SETTING_OIL, "an oil change", 5},
    [PL_VARY_TOP] = {PL_SETTING_SHOCK_TOP, "an upper hole", 2},
    [PL_VARY_BOTTOM] = {PL_SETTING_SHOCK_BOTTOM, "a lower hole", 2},
    [PL_VARY_PRELOAD] = {PL_SETTING_PRELOAD, "a turn of the collars", 1},
    [PL_VARY_COLLAR] = {PL_SETTING_COLLAR, "a turn of the collars", 1},
};

/// An aim being read.
struct reading {
  struct pl_program *program;
  struct pl_diagnostics *problems;
  struct pl_arena *arena;
  struct pl_aim *aim;
  struct pl_map *given; ///< key with its place -> its line
};

// ---------------------------------------------------------------- places

/// The places of a figure at the place of that name, "" for none; 0 where it has none there.
static size_t places_of(enum pl_scope scope, const char *name, enum pl_place places[PL_AXLES]) {
  const enum pl_place named = name[0] == '\0' ? PL_CAR : pl_place_of(name);
  if (named == PL_PLACE_COUNT) return 0;
  if (scope == PL_SCOPE_CORNER && (named == PL_FRONT || named == PL_REAR)) {
    places[0] = named == PL_FRONT ? PL_FRONT_LEFT : PL_REAR_LEFT;
    places[1] = named == PL_FRONT ? PL_FRONT_RIGHT : PL_REAR_RIGHT;
    return 2;
  }
  const bool is_own = named >= pl_first_place(scope) && named <= pl_last_place(scope);
  places[0] = named;
  return is_own ? 1 : 0;
}

static void report_place(struct reading *reading, const struct pl_node *line, const char *key,
                         enum pl_scope scope) {
  static const char *const owners[] = {"each wheel", "each axle", "the whole car"};
  const char *const meant = scope == PL_SCOPE_CAR ? "car" : "rear";
  pl_report(reading->problems, PL_AIM_PLACE, pl_name_span(line),
            PL_WORDS(key, owners[scope], pl_format(reading->arena, "%s.%s", meant, key)));
}

// ---------------------------------------------------------------- values

/// What could be wanted of the figure, for a mend: the number that stands there, with room.
static const char *example_of(struct reading *reading, const struct pl_node *value,
                              enum pl_figure figure) {
  const char *const unit = pl_figure_rows[figure].unit;
  const char *const gap = unit[0] == '\0' ? "" : " ";
  if (value->kind != PL_NODE_NUMBER || value->number == 0)
    return pl_format(reading->arena, "1%s%s +- 0.1%s%s", gap, unit, gap, unit);
  char room[40];
  pl_number_shortest(room, sizeof room, fabs(value->number) / 20, 2);
  const char *const written = pl_span_text(reading->arena, value->span);
  const size_t digits = strspn(written, "+-.0123456789");
  const char *const own = written + digits;
  const char *const behind =
      own[0] != '\0' ? own : pl_format(reading->arena, "%s%s", gap, unit);
  return pl_format(reading->arena, "%.*s%s +- %s%s", (int)digits, written, behind, room,
                   behind);
}

static void report_unit(struct reading *reading, const struct pl_node *line,
                        struct pl_dimension dimension, enum pl_figure figure) {
  struct pl_arena *const arena = reading->arena;
  const char *const unit = pl_figure_rows[figure].unit;
  const char *const words =
      pl_dimension_words(pl_unit_named(unit).dimension, pl_alloc(arena, 80), 80);
  const char *const shown = pl_span_shown(arena, line->children->span);
  if (pl_dimension_equal(dimension, PL_DIMENSIONLESS))
    pl_report(reading->problems, PL_NEEDS_UNIT, line->children->span,
              PL_WORDS(line->name, words, shown, NULL));
  else
    pl_report(reading->problems, PL_WRONG_DIMENSION, line->children->span,
              PL_WORDS(line->name, words, shown,
                       pl_dimension_words(dimension, pl_alloc(arena, 80), 80),
                       unit[0] == '\0' ? NULL : unit));
}

/// Reads what is wanted into `wanted`, whose figure is known. False after a report.
static bool read_value(struct reading *reading, const struct pl_node *line,
                       struct pl_wanted *wanted) {
  const struct pl_value value = pl_evaluate(reading->program, line->children, NULL);
  if (value.kind == PL_VALUE_NONE) return false; // that was reported
  const struct pl_value *const ends = value.kind == PL_VALUE_RANGE ? value.many.items : NULL;
  const char *const shown = pl_span_shown(reading->arena, line->children->span);
  const bool is_number =
      value.kind == PL_VALUE_NUMBER && line->children->kind == PL_NODE_TOLERANCE;
  const bool is_range = ends != NULL && ends[0].kind == PL_VALUE_NUMBER;
  if (line->action != PL_SET || (!is_number && !is_range)) {
    pl_report(reading->problems, PL_AIM_VALUE, line->children->span,
              PL_WORDS(line->name, shown, example_of(reading, line->children, wanted->figure)));
    return false;
  }
  const struct pl_dimension dimension = is_range ? ends[0].dimension : value.dimension;
  if (!pl_dimension_equal(dimension,
                          pl_unit_named(pl_figure_rows[wanted->figure].unit).dimension)) {
    report_unit(reading, line, dimension, wanted->figure);
    return false;
  }
  wanted->is_range = is_range;
  wanted->target = is_range ? ends[0].number / 2 + ends[1].number / 2 : value.number;
  wanted->tolerance = is_range ? ends[1].number / 2 - ends[0].number / 2 : value.tolerance;
  wanted->target /= pl_figure_written_scale(wanted->figure);
  wanted->tolerance /= pl_figure_written_scale(wanted->figure);
  if (wanted->tolerance > 0) return true;
  const struct pl_node *const number = line->children->children;
  pl_report(reading->problems, PL_AIM_TOLERANCE, line->children->span,
            PL_WORDS(line->name, shown, example_of(reading, number, wanted->figure)));
  return false;
}

// ---------------------------------------------------------------- lines

static void report_unknown(struct reading *reading, const struct pl_node *line, const char *key,
                           const char *place) {
  const enum pl_setting setting = pl_setting_of(key, PL_BLOCK_SETUP);
  if (setting != PL_SETTING_COUNT) {
    pl_report(reading->problems, PL_AIM_SETTING, pl_name_span(line), PL_WORDS(key));
    return;
  }
  const char *near = pl_figure_nearest(key);
  if (near == NULL && pl_key_meant(reading->arena, key) != NULL &&
      pl_figure_of(pl_key_meant(reading->arena, key)) != PL_FIGURE_COUNT)
    near = pl_key_meant(reading->arena, key);
  if (near != NULL && place[0] != '\0') near = pl_format(reading->arena, "%s.%s", place, near);
  static const char *const other_key[] = {"keep"};
  if (near == NULL && place[0] == '\0') near = pl_nearest(key, other_key, 1);
  pl_report(reading->problems, PL_AIM_FIGURE, pl_name_span(line),
            PL_WORDS(pl_span_text(reading->arena, pl_name_span(line)), near));
}

static void read_wanted(struct reading *reading, const struct pl_node *line,
                        const char *outer) {
  const char *const point = outer[0] == '\0' ? strchr(line->name, '.') : NULL;
  const char *const place =
      point == NULL ? outer
                    : pl_copy_text(reading->arena, line->name, (size_t)(point - line->name));
  const char *const key = point == NULL ? line->name : point + 1;
  struct pl_wanted wanted = {.figure = pl_figure_of(key), .span = pl_name_span(line)};
  if (wanted.figure == PL_FIGURE_COUNT) {
    report_unknown(reading, line, key, place);
    return;
  }
  const struct pl_figure_row *const row = &pl_figure_rows[wanted.figure];
  if (strchr(row->unit, '|') != NULL) {
    pl_report(reading->problems, PL_AIM_WORD, pl_name_span(line), PL_WORDS(key));
    return;
  }
  wanted.place_count = places_of(row->scope, place, wanted.places);
  if (wanted.place_count == 0) {
    report_place(reading, line, key, row->scope);
    return;
  }
  wanted.key = pl_format(reading->arena, "%s.%s", place[0] == '\0' ? "car" : place, key);
  const struct pl_node *const other = pl_map_set(reading->given, wanted.key, (void *)line);
  if (other != NULL) {
    struct pl_diagnostic *const problem = pl_report(reading->problems, PL_SETTING_TWICE,
                                                    pl_name_span(line), PL_WORDS(line->name));
    pl_relate(problem, pl_name_span(other), "it is given here already");
    return;
  }
  if (!read_value(reading, line, &wanted)) return;
  if (reading->aim->count == PL_MOST_AIMS) {
    pl_report(reading->problems, PL_TOO_MANY_AIMS, pl_name_span(line),
              PL_WORDS(pl_format(reading->arena, "%d", PL_MOST_AIMS)));
    return;
  }
  reading->aim->wanted[reading->aim->count++] = wanted;
}

// ---------------------------------------------------------------- what stays

static const char *kinds_in_words(struct pl_arena *arena) {
  struct pl_buffer words = {.arena = arena};
  for (int kind = 0; kind < PL_VARY_COUNT; kind++)
    pl_buffer_format(&words, "%s`%s`",
                     kind == 0                   ? ""
                     : kind + 1 == PL_VARY_COUNT ? " or "
                                                 : ", ",
                     pl_settings[pl_varied_rows[kind].setting].key);
  return pl_buffer_string(&words);
}

/// An axle, something that is varied, or that of an axle.
static void read_kept(struct reading *reading, const struct pl_node *node) {
  const char *const name = node->kind == PL_NODE_NAME ? node->name : "";
  bool found = false;
  for (int axle = 0; axle < PL_AXLES; axle++) {
    const char *const axle_name = pl_place_name(axle == 0 ? PL_FRONT : PL_REAR);
    for (int kind = 0; kind < PL_VARY_COUNT; kind++) {
      const char *const key = pl_settings[pl_varied_rows[kind].setting].key;
      const bool is_meant =
          strcmp(name, axle_name) == 0 || strcmp(name, key) == 0 ||
          strcmp(name, pl_format(reading->arena, "%s.%s", axle_name, key)) == 0;
      if (is_meant) reading->aim->keeps[axle][kind] = true;
      found |= is_meant;
    }
  }
  if (!found)
    pl_report(
        reading->problems, PL_AIM_KEEP, node->span,
        PL_WORDS(pl_span_shown(reading->arena, node->span), kinds_in_words(reading->arena)));
}

static void read_keep(struct reading *reading, const struct pl_node *line) {
  const struct pl_node *const other = pl_map_set(reading->given, line->name, (void *)line);
  if (other != NULL) {
    struct pl_diagnostic *const problem = pl_report(reading->problems, PL_SETTING_TWICE,
                                                    pl_name_span(line), PL_WORDS(line->name));
    pl_relate(problem, pl_name_span(other), "it is given here already");
  }
  const struct pl_node *const value = line->children;
  if (line->action != PL_SET)
    pl_report(reading->problems, PL_RULE_VALUE, value->span,
              PL_WORDS(line->name, "a new value behind `=`",
                       pl_span_text(reading->arena, value->span)));
  if (value->kind != PL_NODE_LIST) {
    read_kept(reading, value);
    return;
  }
  for (const struct pl_node *item = value->children; item != NULL; item = item->next)
    read_kept(reading, item);
}

// ---------------------------------------------------------------- the aim

static void read_items(struct reading *reading, const struct pl_node *items, const char *outer);

static void read_block(struct reading *reading, const struct pl_node *block,
                       const char *outer) {
  const bool is_place = outer[0] == '\0' && pl_place_of(block->name) != PL_PLACE_COUNT;
  if (pl_bases(block) != NULL)
    pl_report(reading->problems, PL_FROM_INSIDE, pl_bases(block)->span, PL_NO_WORDS);
  if (is_place && pl_titles(block) != NULL)
    pl_report(reading->problems, PL_TITLE_INSIDE, pl_titles(block)->span,
              PL_WORDS(block->name));
  if (is_place)
    read_items(reading, block->children, block->name);
  else
    pl_report(reading->problems, PL_AIM_BLOCK, pl_name_span(block), PL_WORDS(block->name));
}

static void read_items(struct reading *reading, const struct pl_node *items,
                       const char *outer) {
  for (const struct pl_node *item = items; item != NULL; item = item->next) {
    switch (item->kind) {
    case PL_NODE_PROPERTY:
      if (outer[0] == '\0' && strcmp(item->name, "keep") == 0)
        read_keep(reading, item);
      else
        read_wanted(reading, item, outer);
      break;
    case PL_NODE_BLOCK: read_block(reading, item, outer); break;
    case PL_NODE_LET:
      pl_report(reading->problems, PL_LET_INSIDE, pl_name_span(item), PL_WORDS(item->name));
      break;
    case PL_NODE_INCLUDE:
      pl_report(reading->problems, PL_INCLUDE_INSIDE, item->span, PL_NO_WORDS);
      break;
    default: break;
    }
  }
}

/// Was something skipped here that was no line? That was told.
static bool has_broken(const struct pl_node *items) {
  for (const struct pl_node *item = items; item != NULL; item = item->next)
    if (item->kind == PL_NODE_BROKEN || has_broken(item->children)) return true;
  return false;
}

static struct pl_aim *read_aim(struct pl_program *program, struct pl_diagnostics *problems,
                               const struct pl_block *block) {
  struct pl_arena *const arena = pl_program_arena(program);
  struct pl_aim *const aim = pl_alloc(arena, sizeof *aim);
  const struct pl_node *const node = block->node;
  aim->name = block->name;
  aim->span = pl_titles(node) == NULL ? pl_name_span(node) : pl_titles(node)->span;
  aim->wanted = pl_alloc_array(arena, PL_MOST_AIMS, sizeof *aim->wanted);
  struct reading reading = {.program = program,
                            .problems = problems,
                            .arena = arena,
                            .aim = aim,
                            .given = pl_map_new(arena)};
  if (pl_bases(node) != NULL)
    pl_report(problems, PL_AIM_FROM, pl_bases(node)->span, PL_NO_WORDS);
  const size_t before = problems->reports;
  read_items(&reading, node->children, "");
  if (aim->count == 0 && problems->reports == before && !has_broken(node->children))
    pl_report(problems, PL_AIM_EMPTY, aim->span, PL_NO_WORDS);
  return aim;
}

void pl_aim_check(struct pl_program *program, const struct pl_block *block) {
  read_aim(program, pl_program_problems(program), block);
}

// ---------------------------------------------------------------- which one

/// Blocks of a kind, looked through for the one that is meant.
struct looking {
  struct pl_arena *arena;
  const struct pl_block *in_main;
  const struct pl_block *included;
  size_t main_count;
  size_t included_count;
  struct pl_buffer main_names;
  struct pl_buffer included_names;
};

static void look_at(void *context, const struct pl_block *block, bool in_main) {
  struct looking *const looking = context;
  size_t *const count = in_main ? &looking->main_count : &looking->included_count;
  const struct pl_block **const found = in_main ? &looking->in_main : &looking->included;
  *found = block;
  pl_buffer_format(in_main ? &looking->main_names : &looking->included_names, "%s%s",
                   (*count)++ == 0 ? "" : ", ",
                   block->name[0] == '\0' ? "one without a name"
                                          : pl_format(looking->arena, "\"%s\"", block->name));
}

/// Names of a kind, to find the one that was meant.
struct names {
  struct pl_arena *arena;
  const char **items;
  size_t count;
  size_t capacity;
};

static void note_name(void *context, const struct pl_block *block, bool in_main) {
  struct names *const names = context;
  (void)in_main;
  names->items =
      pl_grow(names->arena, names->items, names->count, &names->capacity, sizeof *names->items);
  names->items[names->count++] = block->name;
}

/// "\"wet\", \"dry\"": those that have a name; null where none has.
static const char *in_quotes(const struct names *names) {
  struct pl_buffer words = {.arena = names->arena};
  for (size_t i = 0; i < names->count; i++)
    if (names->items[i][0] != '\0')
      pl_buffer_format(&words, "%s\"%s\"", words.length == 0 ? "" : ", ", names->items[i]);
  return words.length == 0 ? NULL : pl_buffer_string(&words);
}

static const struct pl_block *block_named(struct pl_program *program, enum pl_block_kind kind,
                                          const char *name) {
  const struct pl_block *const block = pl_program_find(program, kind, name);
  if (block != NULL) return block;
  struct names names = {.arena = pl_program_arena(program)};
  pl_program_each(program, kind, note_name, &names);
  const char *const near = pl_nearest(name, names.items, names.count);
  const enum pl_code is_near = kind == PL_BLOCK_BOX ? PL_NO_SUCH_BOX : PL_NO_SUCH_AIM;
  const enum pl_code is_far = kind == PL_BLOCK_BOX ? PL_NO_SUCH_BOX_FAR : PL_NO_SUCH_AIM_FAR;
  pl_report(pl_program_problems(program), near != NULL ? is_near : is_far,
            (struct pl_span){pl_program_source(program), 0, 0},
            PL_WORDS(name, near != NULL ? near : in_quotes(&names)));
  return NULL;
}

static const struct pl_block *only_block(struct pl_program *program, enum pl_block_kind kind) {
  struct pl_arena *const arena = pl_program_arena(program);
  struct looking looking = {
      .arena = arena, .main_names = {.arena = arena}, .included_names = {.arena = arena}};
  pl_program_each(program, kind, look_at, &looking);
  const bool in_main = looking.main_count > 0;
  const size_t count = in_main ? looking.main_count : looking.included_count;
  if (count == 1) return in_main ? looking.in_main : looking.included;
  const struct pl_span whole = {pl_program_source(program), 0, 0};
  if (count > 1)
    pl_report(
        pl_program_problems(program), kind == PL_BLOCK_BOX ? PL_SEVERAL_BOXES : PL_SEVERAL_AIMS,
        whole,
        PL_WORDS(pl_buffer_string(in_main ? &looking.main_names : &looking.included_names)));
  else if (kind == PL_BLOCK_AIM)
    pl_report(pl_program_problems(program), PL_NO_AIM, whole,
              PL_WORDS("rear.damping-ratio-slow", "0.8 +- 0.05"));
  else {
    struct names oils = {.arena = arena};
    pl_program_each(program, PL_BLOCK_OIL, note_name, &oils);
    pl_report(pl_program_problems(program), PL_NO_BOX, whole,
              PL_WORDS(oils.count == 0 ? "a name of an oil" : oils.items[0]));
  }
  return NULL;
}

const struct pl_aim *pl_program_aim(struct pl_program *program, const char *name) {
  const struct pl_block *const block = name == NULL ? only_block(program, PL_BLOCK_AIM)
                                                    : block_named(program, PL_BLOCK_AIM, name);
  // What is wrong with the aim of another file was told by nobody yet.
  return block == NULL ? NULL : read_aim(program, pl_program_problems(program), block);
}

const struct pl_parts_box *pl_program_box_named(struct pl_program *program, const char *name) {
  const struct pl_block *const block = name == NULL ? only_block(program, PL_BLOCK_BOX)
                                                    : block_named(program, PL_BLOCK_BOX, name);
  return block == NULL ? NULL : pl_program_box(program, block);
}
