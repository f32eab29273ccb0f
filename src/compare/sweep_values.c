// SPDX-License-Identifier: GPL-3.0-or-later
// What stands behind a sweep's file: settings, each with a range or a list of values. Values
// are read by the language's own parser, so that units, signs and quotes are as everywhere.
#include "pitleaf/sweep.h"

#include <math.h>
#include <string.h>

/// Significant digits of the values of a range.
#define DIGITS 9
/// So near to a whole number counts as one: of steps, relative to a step.
static const double nearly = 1e-9;

static const char *const scopes[] = {"all",       "front",     "rear",       "left",
                                     "right",     "car",       "front-left", "front-right",
                                     "rear-left", "rear-right"};
#define SCOPE_COUNT (sizeof scopes / sizeof scopes[0])

/// The text in hand.
struct reading {
  struct pl_arena *arena;
  struct pl_names *names;
  struct pl_sweep_setting *setting;
};

// ---------------------------------------------------------------- cutting

static bool is_blank(char byte) {
  return byte == ' ' || byte == '\t' || byte == '\n' || byte == '\r';
}

/// Is the word a scope with a key behind it?
static bool is_path(const char *word, size_t length) {
  for (size_t i = 0; i < SCOPE_COUNT; i++) {
    const size_t scope = strlen(scopes[i]);
    if (length > scope + 1 && strncmp(word, scopes[i], scope) == 0 && word[scope] == '.' &&
        word[scope + 1] >= 'a' && word[scope + 1] <= 'z')
      return true;
  }
  return false;
}

/// Where the text goes on behind a text in quotes, a bracket with all in it, or one byte.
static const char *behind(const char *at) {
  size_t depth = 0;
  do {
    if (*at == '"') {
      for (at++; *at != '\0' && *at != '"'; at++) at += *at == '\\' && at[1] != '\0' ? 1 : 0;
      if (*at == '\0') return at;
    } else if (*at == '[' || *at == '(') {
      depth++;
    } else if ((*at == ']' || *at == ')') && depth > 0) {
      depth--;
    }
    at++;
  } while (depth > 0 && *at != '\0');
  return at;
}

/// The next word outside quotes and brackets for which `is_it` holds, at its first byte, or the
/// text's end.
static const char *find_word(const char *text, bool (*is_it)(const char *word, size_t length)) {
  bool at_start = true;
  for (const char *at = text; *at != '\0';) {
    if (at_start && !is_blank(*at) && is_it(at, strcspn(at, " \t\r\n"))) return at;
    at_start = is_blank(*at);
    at = behind(at);
  }
  return text + strlen(text);
}

static bool is_by(const char *word, size_t length) {
  return length == 2 && strncmp(word, "by", 2) == 0;
}

/// The text between two places without blanks at its ends.
static const char *cut(struct pl_arena *arena, const char *from, const char *to) {
  while (from < to && is_blank(*from)) from++;
  while (to > from && is_blank(to[-1])) to--;
  return pl_copy_text(arena, from, (size_t)(to - from));
}

// ---------------------------------------------------------------- the setting

static const char *unknown_scope(struct pl_arena *arena, const char *path) {
  const char *const scope = pl_copy_text(arena, path, strcspn(path, "."));
  const char *const near = pl_nearest(scope, scopes, SCOPE_COUNT);
  if (near != NULL && strchr(path, '.') != NULL)
    return pl_format(arena, "`%s` is no scope; did you mean `%s`?", scope, near);
  return pl_format(arena,
                   "`%s` is no scope and key; write front.oil, rear-left.preload, all.camber, "
                   "car.air and the like",
                   path);
}

/// Why no setup can set what the key names.
static const char *unknown_key(struct pl_arena *arena, const char *path, const char *key) {
  const char *const point = strchr(key, '.');
  const enum pl_setting part =
      point == NULL
          ? PL_SETTING_COUNT
          : pl_setting_of(pl_copy_text(arena, key, (size_t)(point - key)), PL_BLOCK_SETUP);
  if (part != PL_SETTING_COUNT && pl_settings[part].type == PL_TYPE_PART)
    return pl_format(arena,
                     "`%s` is declared with its %s, not in a setup; declare several and write "
                     "their names: %.*s [\"…\", \"…\"]",
                     path, pl_settings[part].of, (int)(strrchr(path, '.') - path), path);
  if (pl_figure_of(key) != PL_FIGURE_COUNT)
    return pl_format(arena, "`%s` is a figure, which no setup sets; --figures takes it", key);
  const char *const near = pl_setting_nearest(key, PL_BLOCK_SETUP);
  if (near != NULL)
    return pl_format(arena, "there is no setting `%s`; did you mean `%s`?", key, near);
  return pl_format(arena, "there is no setting `%s`; `pitleaf describe` lists them", key);
}

static const char *read_path(struct reading *reading, const char *path) {
  struct pl_sweep_setting *const setting = reading->setting;
  if (!is_path(path, strlen(path))) return unknown_scope(reading->arena, path);
  const size_t scope = strcspn(path, ".");
  setting->path = path;
  setting->scope = pl_copy_text(reading->arena, path, scope);
  setting->key = path + scope + 1;
  setting->setting = pl_setting_of(setting->key, PL_BLOCK_SETUP);
  if (setting->setting == PL_SETTING_COUNT)
    return unknown_key(reading->arena, path, setting->key);
  const enum pl_setting_type type = pl_settings[setting->setting].type;
  if (type == PL_TYPE_HOLES)
    return pl_format(reading->arena,
                     "`%s` is a block of holes; sweep the setting that takes one", path);
  return NULL;
}

// ---------------------------------------------------------------- values

/// A number with its unit, as it is written.
struct literal {
  double number;
  struct pl_unit unit;
  const char *unit_text;
  bool is_weight;
};

/// What is wrong with the values, and how it is written.
static const char *wrong(struct reading *reading, const char *text, const char *what) {
  return pl_format(reading->arena, "%s: `%s`: %s", reading->setting->path, text, what);
}

/// The value of an expression's text as a tree; null with what is wrong in `*why`.
static const struct pl_node *parse(struct reading *reading, const char *text,
                                   const char **why) {
  struct pl_buffer line = {.arena = reading->arena};
  pl_buffer_format(&line, "let value = %s\n", text);
  struct pl_diagnostics *const problems = pl_diagnostics_new(reading->arena);
  const struct pl_source *const source = pl_source_of_bytes(
      reading->arena, "", (const unsigned char *)pl_buffer_string(&line), line.length);
  const struct pl_tree *const tree = pl_parse(reading->arena, reading->names, problems, source);
  const struct pl_node *const item = tree->items;
  if (problems->errors > 0) {
    const struct pl_diagnostic *const first = pl_diagnostics_sorted(problems)[0];
    const bool has_mend = first->hint[0] != '\0';
    *why = wrong(
        reading, text,
        pl_format(reading->arena, "%s%s%s", first->message, has_mend ? " " : "", first->hint));
    return NULL;
  }
  if (item != NULL && item->next == NULL && item->kind == PL_NODE_LET && item->children != NULL)
    return item->children;
  *why = wrong(reading, text, "one value is wanted, or one list, or one range");
  return NULL;
}

/// Length of the sign and the digits that a number begins with.
static size_t digits_of(const char *text) {
  static const char digits[] = "0123456789";
  size_t length = strspn(text, "- \t");
  length += strspn(text + length, digits);
  if (text[length] == '.') length += 1 + strspn(text + length + 1, digits);
  const size_t sign = text[length] == '\0' || strchr("+-", text[length + 1]) == NULL ? 1 : 2;
  if ((text[length] == 'e' || text[length] == 'E') && text[length + 1] != '\0') {
    const size_t power = strspn(text + length + sign, digits);
    if (power > 0) length += sign + power;
  }
  return length;
}

static bool read_literal(struct reading *reading, const struct pl_node *node,
                         struct literal *literal) {
  const bool is_negative = node->kind == PL_NODE_NEGATION;
  if (is_negative) node = node->children;
  if (node->kind != PL_NODE_NUMBER) return false;
  const char *const text = pl_span_text(reading->arena, node->span);
  const char *unit = text + digits_of(text);
  while (is_blank(*unit)) unit++;
  *literal = (struct literal){.number = is_negative ? -node->number : node->number,
                              .unit_text = unit,
                              .is_weight = node->is_weight};
  literal->unit = node->unit != NULL ? *node->unit : pl_unit_named("");
  return true;
}

static bool is_of_one_quantity(const struct literal *a, const struct literal *b) {
  return pl_dimension_equal(a->unit.dimension, b->unit.dimension) &&
         a->unit.absolute == b->unit.absolute && a->is_weight == b->is_weight;
}

/// A number of one literal's unit in another's.
static double in_unit_of(const struct literal *literal, const struct literal *other) {
  return pl_from_si(pl_to_si(literal->number, &literal->unit), &other->unit);
}

/// The number with nine significant digits; `step` is what it was counted by.
static double rounded(double number, double step) {
  char space[40];
  double value = 0;
  if (fabs(number) < nearly * fabs(step)) return 0;
  pl_number_shortest(space, sizeof space, fabs(number), DIGITS);
  return pl_number_read(space, strlen(space), &value) ? copysign(value, number) : number;
}

static const char *number_text(struct pl_arena *arena, double number) {
  char space[40];
  pl_number_shortest(space, sizeof space, number, DIGITS);
  return pl_copy_text(arena, space, strlen(space));
}

static const char *too_many(struct reading *reading, double count) {
  return pl_format(reading->arena,
                   "%s goes through %.0f values; %d is the most: take a larger "
                   "step",
                   reading->setting->path, count, PL_MOST_SWEEP_VALUES);
}

/// The value without quotes, as it is shown where it is no number.
static const char *shown_of(struct reading *reading, const struct pl_node *node) {
  return node->kind == PL_NODE_TEXT ? node->name : pl_span_text(reading->arena, node->span);
}

static const char *read_list(struct reading *reading, const char *text,
                             const struct pl_node *first) {
  struct pl_sweep_setting *const setting = reading->setting;
  size_t count = 0;
  for (const struct pl_node *node = first; node != NULL; node = node->next) count++;
  if (count == 0) return wrong(reading, text, "the list is empty");
  if (count > PL_MOST_SWEEP_VALUES) return too_many(reading, (double)count);
  setting->values = pl_alloc_array(reading->arena, count, sizeof *setting->values);
  setting->is_number = true;
  struct literal unit_giver = {.unit_text = ""};
  for (const struct pl_node *node = first; node != NULL; node = node->next) {
    struct literal literal;
    const bool is_number = read_literal(reading, node, &literal);
    if (node == first && is_number) unit_giver = literal;
    setting->is_number &= is_number && is_of_one_quantity(&literal, &unit_giver);
    const bool in_order = setting->is_number;
    setting->values[setting->count++] = (struct pl_sweep_value){
        .written = pl_span_text(reading->arena, node->span),
        .shown = shown_of(reading, node),
        .number = in_order ? rounded(in_unit_of(&literal, &unit_giver), 0) : NAN};
  }
  for (size_t i = 0; i < count; i++) {
    struct pl_sweep_value *const value = &setting->values[i];
    if (!setting->is_number)
      value->number = NAN;
    else
      value->shown = number_text(reading->arena, value->number);
  }
  setting->unit = setting->is_number ? unit_giver.unit_text : "";
  return NULL;
}

/// The step in the unit of the range's first value.
static const char *read_step(struct reading *reading, const char *text,
                             const struct literal *first, double *step) {
  const char *why = NULL;
  struct literal literal;
  const struct pl_node *const node = parse(reading, text, &why);
  if (node == NULL) return why;
  if (!read_literal(reading, node, &literal))
    return wrong(reading, text, "a step is a number with its unit, as in `by 25 cSt`");
  const bool same = pl_dimension_equal(literal.unit.dimension, first->unit.dimension) &&
                    literal.is_weight == first->is_weight;
  if (!same)
    return wrong(reading, text,
                 pl_format(reading->arena,
                           "the step is of another quantity than the values; "
                           "write it in %s",
                           first->unit_text[0] == '\0' ? "plain numbers" : first->unit_text));
  // A step of temperature is a difference, also where it is written in degC.
  *step = fabs(literal.number * literal.unit.factor / first->unit.factor);
  return *step > 0 ? NULL : wrong(reading, text, "the step must not be zero");
}

/// The usual step: ten of them, or of what is counted one.
static double usual_step(const struct pl_sweep_setting *setting, double from, double to) {
  const enum pl_setting_type type = pl_settings[setting->setting].type;
  const bool is_whole = type == PL_TYPE_HOLE || type == PL_TYPE_COUNT;
  return is_whole || from == to ? 1 : fabs(to - from) / 10;
}

static const char *read_range(struct reading *reading, const char *text,
                              const struct pl_node *range, const char *by) {
  struct pl_sweep_setting *const setting = reading->setting;
  struct pl_arena *const arena = reading->arena;
  struct literal from;
  struct literal to;
  if (!read_literal(reading, range->children, &from) ||
      !read_literal(reading, range->children->next, &to))
    return wrong(reading, text,
                 "both ends of a range are numbers; write a list of other values");
  if (!is_of_one_quantity(&from, &to))
    return wrong(reading, text,
                 "both ends of a range are of one quantity; write each with its unit");
  const double last = in_unit_of(&to, &from);
  double step = usual_step(setting, from.number, last);
  const char *const why = by == NULL ? NULL : read_step(reading, by, &from, &step);
  if (why != NULL) return why;
  const double steps = floor(fabs(last - from.number) / step * (1 + nearly) + nearly);
  if (!(steps < PL_MOST_SWEEP_VALUES)) return too_many(reading, steps + 1);
  setting->is_number = true;
  setting->unit = from.unit_text;
  setting->count = (size_t)steps + 1;
  setting->values = pl_alloc_array(arena, setting->count, sizeof *setting->values);
  const double signed_step = last < from.number ? -step : step;
  for (size_t i = 0; i < setting->count; i++) {
    const double number = rounded(from.number + (double)i * signed_step, step);
    const char *const digits = number_text(arena, number);
    setting->values[i] = (struct pl_sweep_value){
        .written = pl_format(arena, "%s%s%s", digits, from.unit_text[0] == '\0' ? "" : " ",
                             from.unit_text),
        .shown = digits,
        .number = number};
  }
  return NULL;
}

static const char *read_values(struct reading *reading, const char *text) {
  const char *const found = find_word(text, is_by);
  const char *const values = cut(reading->arena, text, found);
  const char *const by =
      *found == '\0' ? NULL : cut(reading->arena, found + 2, found + strlen(found));
  if (values[0] == '\0')
    return pl_format(
        reading->arena,
        "`%s` has no values behind it; write a range, 1 mm .. 3 mm by 0.5 mm, or a "
        "list, [1 mm, 2 mm]",
        reading->setting->path);
  const char *why = NULL;
  const struct pl_node *const node = parse(reading, values, &why);
  if (node == NULL) return why;
  if (node->kind == PL_NODE_RANGE) return read_range(reading, values, node, by);
  if (by != NULL) return wrong(reading, text, "`by` stands behind a range alone");
  if (node->kind == PL_NODE_LIST) return read_list(reading, values, node->children);
  return wrong(reading, values,
               "this is one value; write a range, 1 mm .. 3 mm by 0.5 mm, or a list, "
               "[1 mm, 2 mm]");
}

// ---------------------------------------------------------------- the whole

const char *pl_sweep_read(struct pl_arena *arena, struct pl_names *names, const char *text,
                          struct pl_sweep *sweep) {
  *sweep = (struct pl_sweep){.setting_count = 0, .point_count = 1};
  while (is_blank(*text)) text++;
  while (*text != '\0') {
    if (sweep->setting_count == PL_SWEEP_SETTINGS)
      return "a sweep goes through the values of one setting, or of two";
    struct pl_sweep_setting *const setting = &sweep->settings[sweep->setting_count++];
    *setting = (struct pl_sweep_setting){.unit = "", .now_shown = "", .now_number = NAN};
    struct reading reading = {arena, names, setting};
    const size_t length = strcspn(text, " \t\r\n");
    const char *why = read_path(&reading, pl_copy_text(arena, text, length));
    if (why != NULL) return why;
    const char *const next = find_word(text + length, is_path);
    why = read_values(&reading, cut(arena, text + length, next));
    if (why != NULL) return why;
    setting->now = setting->count;
    sweep->point_count *= setting->count;
    text = next;
  }
  if (sweep->setting_count == 0) return "a sweep needs a setting and its values";
  if (sweep->point_count > PL_MOST_SWEEP_POINTS)
    return pl_format(
        arena, "the two settings make %zu combinations; %d is the most: take larger steps",
        sweep->point_count, PL_MOST_SWEEP_POINTS);
  if (sweep->setting_count == 2 &&
      strcmp(sweep->settings[0].path, sweep->settings[1].path) == 0)
    return pl_format(arena, "`%s` stands there twice; write all its values in one list",
                     sweep->settings[0].path);
  return NULL;
}
