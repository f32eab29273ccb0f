// SPDX-License-Identifier: GPL-3.0-or-later
// What the program itself says on paper, and what a template says in its place.
#include <string.h>

#include "template.h"

static const char *const texts[PL_WORD_COUNT] = {
#define PL_WORD(id, text) text,
#include "words.def"
#undef PL_WORD
};

const char *pl_word(const struct pl_sheet *sheet, enum pl_word word) {
  const char *const own = sheet->plan->words[word];
  return own != NULL ? own : texts[word];
}

const char *pl_word_with(const struct pl_sheet *sheet, enum pl_word word, const char *first,
                         const char *second) {
  return pl_filled(sheet->arena, pl_word(sheet, word), first, second);
}

// ---------------------------------------------------------------- texts from elsewhere

enum pl_word pl_word_row(const char *text) {
  size_t row = 0;
  while (row < PL_WORD_COUNT && strcmp(texts[row], text) != 0) row++;
  return (enum pl_word)row;
}

const char *pl_word_for(const struct pl_sheet *sheet, const char *text) {
  const enum pl_word row = pl_word_row(text);
  return row == PL_WORD_COUNT ? text : pl_word(sheet, row);
}

/// Most places that a text has: {1} to {3}.
#define PLACES 3

/// The place that a text begins with, counted from 0; PLACES if it begins with none.
static size_t place_at(const char *text) {
  const bool is_place =
      text[0] == '{' && text[1] >= '1' && text[1] < '1' + PLACES && text[2] == '}';
  return is_place ? (size_t)(text[1] - '1') : PLACES;
}

/// Is `text` the pattern with its places filled? What fills them is then in `filled`.
static bool matches(struct pl_arena *arena, const char *pattern, const char *text,
                    const char *filled[PLACES]) {
  while (*pattern != '\0') {
    const size_t place = place_at(pattern);
    if (place == PLACES) {
      if (*pattern++ != *text++) return false;
      continue;
    }
    // It reaches to where what stands behind it in the pattern is found first.
    const char *const behind = pattern + strlen("{1}");
    const char *const next = strchr(behind, '{');
    const size_t length = next == NULL ? strlen(behind) : (size_t)(next - behind);
    const char *const between = pl_copy_text(arena, behind, length);
    const char *const end = length == 0 ? text + strlen(text) : strstr(text, between);
    if (end == NULL) return false;
    filled[place] = pl_copy_text(arena, text, (size_t)(end - text));
    text = end;
    pattern = behind;
  }
  return *text == '\0';
}

static const char *with_places(struct pl_arena *arena, const char *text,
                               const char *const filled[PLACES]) {
  struct pl_buffer out = {.arena = arena};
  while (*text != '\0') {
    const size_t place = place_at(text);
    if (place < PLACES && filled[place] != NULL)
      pl_buffer_text(&out, filled[place]);
    else
      pl_buffer_add(&out, text, 1);
    text += place < PLACES ? strlen("{1}") : 1;
  }
  return pl_buffer_string(&out);
}

/// A text that another room made, as the template says it: it is one of those words, which
/// stand in one row in words.def.
static const char *translated(const struct pl_sheet *sheet, enum pl_word first,
                              enum pl_word last, const char *text) {
  for (int word = (int)first; word <= (int)last; word++) {
    const char *filled[PLACES] = {NULL};
    const char *const own = sheet->plan->words[word];
    if (own != NULL && matches(sheet->arena, texts[word], text, filled))
      return with_places(sheet->arena, own, filled);
  }
  return text;
}

const char *pl_word_of_note(const struct pl_sheet *sheet, const char *note) {
  return translated(sheet, PL_WORD_NOTE_TEMPERATURE, PL_WORD_NOTE_STRETCH, note);
}

const char *pl_word_of_ballast(const struct pl_sheet *sheet, const char *text) {
  return translated(sheet, PL_WORD_BALLAST_AT, PL_WORD_BALLAST_AT, text);
}

const char *pl_word_of_setting(const struct pl_sheet *sheet, enum pl_setting setting,
                               const char *text) {
  switch (pl_settings[setting].type) {
  case PL_TYPE_CHOICE: return translated(sheet, PL_WORD_CLOSED_GROUND, PL_WORD_CHASSIS, text);
  case PL_TYPE_HOLE: return translated(sheet, PL_WORD_HOLE, PL_WORD_HOLE, text);
  default: return text;
  }
}

const char *pl_word_of_figure(const struct pl_sheet *sheet, enum pl_figure figure,
                              const char *text) {
  return strchr(pl_figure_rows[figure].unit, '|') == NULL
             ? text
             : translated(sheet, PL_WORD_CLOSED_GROUND, PL_WORD_CHASSIS, text);
}

const char *pl_word_of_change(const struct pl_sheet *sheet, const struct pl_change *change,
                              const char *text) {
  if (change->is_figure) return pl_word_of_figure(sheet, change->figure, text);
  if (change->ballast != NULL) return pl_word_of_ballast(sheet, text);
  return change->setting == PL_SETTING_COUNT ? text
                                             : pl_word_of_setting(sheet, change->setting, text);
}

const char *pl_word_of_part(const struct pl_sheet *sheet, enum pl_block_kind kind,
                            const char *name) {
  static const enum pl_word words[] = {PL_WORD_PART_OIL, PL_WORD_PART_SPRING,
                                       PL_WORD_PART_PISTON, PL_WORD_PART_DAMPER,
                                       PL_WORD_PART_OIL_SCALE};
  static const enum pl_block_kind kinds[] = {PL_BLOCK_OIL, PL_BLOCK_SPRING, PL_BLOCK_PISTON,
                                             PL_BLOCK_DAMPER, PL_BLOCK_OIL_SCALE};
  for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
    if (kinds[i] == kind) return pl_word_with(sheet, words[i], name, NULL);
  }
  return pl_format(sheet->arena, "%s %s", pl_block_kind_name(kind), name);
}

// ---------------------------------------------------------------- sentences about changes

/// What the template calls what changed; null where it has no word of its own.
static const char *label_of_change(void *context, const struct pl_change *change) {
  const struct pl_sheet *const sheet = context;
  const struct pl_labels *const labels = &sheet->plan->labels;
  if (change->is_figure) return labels->spoken_figure[change->figure];
  if (change->ballast != NULL && sheet->plan->words[PL_WORD_BALLAST] != NULL)
    return pl_word_with(sheet, PL_WORD_BALLAST, change->ballast, NULL);
  // A name that somebody gave loses its capital in English alone.
  if (change->setting == PL_SETTING_COUNT)
    return sheet->plan->words[PL_WORD_IS_NEW] != NULL ? change->label : NULL;
  return labels->spoken_setting[change->setting];
}

static const char *places_of_change(void *context, unsigned places) {
  return pl_word_of_places(context, places);
}

static const char *value_of_change(void *context, const struct pl_change *change,
                                   const char *text) {
  return pl_word_of_change(context, change, text);
}

struct pl_wording pl_sheet_wording(struct pl_sheet *sheet) {
  return (struct pl_wording){.label = label_of_change,
                             .places = places_of_change,
                             .value = value_of_change,
                             .placed = pl_word(sheet, PL_WORD_PLACED),
                             .is_new = pl_word(sheet, PL_WORD_IS_NEW),
                             .is_dropped = pl_word(sheet, PL_WORD_IS_DROPPED),
                             .context = sheet};
}

const char *pl_word_of_place(const struct pl_sheet *sheet, enum pl_place place) {
  static const enum pl_word words[] = {PL_WORD_FRONT_LEFT, PL_WORD_FRONT_RIGHT,
                                       PL_WORD_REAR_LEFT,  PL_WORD_REAR_RIGHT,
                                       PL_WORD_FRONT,      PL_WORD_REAR};
  return place <= PL_REAR ? pl_word(sheet, words[place]) : pl_word(sheet, PL_WORD_ALL);
}

const char *pl_word_of_places(const struct pl_sheet *sheet, unsigned places) {
  static const struct {
    unsigned places;
    enum pl_word word;
  } known[] = {{0xF, PL_WORD_AT_ALL},           {0x3, PL_WORD_AT_FRONT},
               {0xC, PL_WORD_AT_REAR},          {0x5, PL_WORD_AT_LEFT},
               {0xA, PL_WORD_AT_RIGHT},         {1u << PL_FRONT, PL_WORD_AT_FRONT},
               {1u << PL_REAR, PL_WORD_AT_REAR}};
  for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
    if (known[i].places == places) return pl_word(sheet, known[i].word);
  }
  struct pl_buffer out = {.arena = sheet->arena};
  for (int place = PL_FRONT_LEFT; place <= PL_REAR; place++) {
    if ((places & (1u << place)) == 0) continue;
    if (out.length > 0) pl_buffer_format(&out, " %s ", pl_word(sheet, PL_WORD_AND));
    pl_buffer_text(&out,
                   pl_word(sheet, (enum pl_word)(PL_WORD_AT_FRONT_LEFT + (unsigned)place)));
  }
  return pl_buffer_string(&out);
}

/// Has a text the places that the other one has, each at least once?
static bool has_places(const char *text, const char *other) {
  static const char *const places[PLACES] = {"{1}", "{2}", "{3}"};
  for (size_t i = 0; i < PLACES; i++) {
    if ((strstr(text, places[i]) != NULL) != (strstr(other, places[i]) != NULL)) return false;
  }
  return true;
}

/// Puts a text in place of another one wherever it stands in the parts; was it anywhere?
static bool replace_in(struct pl_template_part *parts, const char *text, const char *own) {
  bool found = false;
  for (struct pl_template_part *part = parts; part != NULL; part = part->next) {
    if (strcmp(part->title, text) == 0) {
      part->title = own;
      found = true;
    }
    for (size_t i = 0; i < part->heading_count; i++) {
      if (strcmp(part->headings[i], text) != 0) continue;
      part->headings[i] = own;
      found = true;
    }
    if (replace_in(part->children, text, own)) found = true;
  }
  return found;
}

void pl_word_read(struct reading *reading, const struct pl_node *property) {
  struct pl_template *const template = reading->template;
  struct pl_diagnostics *const problems = reading->problems;
  const struct pl_node *const value = property->children;
  if (value->kind != PL_NODE_TEXT || value->name[0] == '\0' ||
      strlen(value->name) > PL_MOST_TITLE_BYTES) {
    pl_template_misfit(reading, property, "a short text in quotes");
    return;
  }
  const bool in_parts = replace_in(template->parts, property->name, value->name);
  const enum pl_word which = pl_word_row(property->name);
  if (which < PL_WORD_COUNT && !has_places(value->name, texts[which]))
    pl_template_misfit(reading, property, "a text with the same places in braces");
  else if (which < PL_WORD_COUNT)
    template->words[which] = value->name;
  else if (!in_parts && !pl_template_says(reading, property->name))
    pl_report(problems, PL_TEMPLATE_WORD, pl_name_span(property),
              PL_WORDS(property->name, pl_mend_wanted(problems, property->span.source)
                                           ? pl_nearest(property->name, texts, PL_WORD_COUNT)
                                           : NULL));
}
