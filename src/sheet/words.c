// SPDX-License-Identifier: GPL-3.0-or-later
// What the program itself says on paper, and what a template says in its place.
#include <string.h>

#include "room.h"

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

/// What the template calls what changed; null where it has no word of its own.
static const char *label_of_change(void *context, const struct pl_change *change) {
  const struct pl_labels *const labels = &((const struct pl_sheet *)context)->plan->labels;
  if (change->is_figure) return labels->spoken_figure[change->figure];
  return change->setting == PL_SETTING_COUNT ? NULL : labels->spoken_setting[change->setting];
}

static const char *places_of_change(void *context, unsigned places) {
  return pl_word_of_places(context, places);
}

struct pl_wording pl_sheet_wording(struct pl_sheet *sheet) {
  return (struct pl_wording){.label = label_of_change,
                             .places = places_of_change,
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
  static const char *const places[] = {"{1}", "{2}"};
  for (size_t i = 0; i < 2; i++) {
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

void pl_word_read(struct pl_arena *arena, const struct pl_node *property,
                  struct pl_template *template, struct pl_diagnostics *problems) {
  const struct pl_node *const value = property->children;
  if (value->kind != PL_NODE_TEXT || value->name[0] == '\0' ||
      strlen(value->name) > PL_LONGEST_TITLE) {
    pl_report(
        problems, PL_TEMPLATE_VALUE, value->span,
        PL_WORDS(property->name, "a short text in quotes", pl_span_text(arena, value->span)));
    return;
  }
  const bool in_parts = replace_in(template->parts, property->name, value->name);
  size_t which = 0;
  while (which < PL_WORD_COUNT && strcmp(texts[which], property->name) != 0) which++;
  if (which == PL_WORD_COUNT && !in_parts)
    pl_report(problems, PL_TEMPLATE_WORD, property->name_span,
              PL_WORDS(property->name, pl_nearest(property->name, texts, PL_WORD_COUNT)));
  else if (which < PL_WORD_COUNT && !has_places(value->name, texts[which]))
    pl_report(problems, PL_TEMPLATE_VALUE, value->span,
              PL_WORDS(property->name, "a text with the same places in braces",
                       pl_span_text(arena, value->span)));
  else if (which < PL_WORD_COUNT)
    template->words[which] = value->name;
}
