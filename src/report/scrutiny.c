// SPDX-License-Identifier: GPL-3.0-or-later
// What scrutineering found, as text, CSV and JUnit's XML. All words of entrants are made
// harmless for whoever reads them.
#include "room.h"

#include <string.h>

void pl_scrutiny_count(struct pl_scrutiny_sum *sum, const struct pl_scrutinised *entry) {
  sum->entries++;
  if (!entry->judgement->applies)
    sum->not_concerned++;
  else if (entry->judgement->outcome == PL_FAILS)
    sum->failed++;
  else if (entry->judgement->outcome == PL_PASSES && entry->problems == NULL)
    sum->passed++;
  else
    sum->unknown++;
}

const char *pl_scrutiny_sum_text(struct pl_arena *arena, const struct pl_scrutiny_sum *sum) {
  struct pl_buffer out = {.arena = arena};
  pl_buffer_format(&out, "%zu entr%s: %zu pass%s, %zu fail%s, %zu cannot be judged",
                   sum->entries, sum->entries == 1 ? "y" : "ies", sum->passed,
                   sum->passed == 1 ? "es" : "", sum->failed, sum->failed == 1 ? "s" : "",
                   sum->unknown);
  if (sum->not_concerned > 0)
    pl_buffer_format(&out, ", %zu of other classes", sum->not_concerned);
  pl_buffer_text(&out, "\n");
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- text

static const char *outcome_words(const struct pl_scrutinised *entry) {
  if (!entry->judgement->applies) return "other class";
  if (entry->judgement->outcome == PL_FAILS) return "fails";
  if (entry->judgement->outcome == PL_CANNOT_BE_JUDGED || entry->problems != NULL)
    return "cannot be judged";
  return "passes";
}

/// "17 Pip Tidewrack, Sluice, dry (entries/17/dry.leaf)".
static const char *title_of(struct pl_arena *arena, const struct pl_scrutinised *entry) {
  const char *const parts[] = {entry->driver, entry->setup};
  struct pl_buffer out = {.arena = arena};
  pl_buffer_text(&out, entry->number);
  for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
    if (parts[i][0] == '\0') continue;
    const char *const between = out.length == 0 ? "" : i == 0 ? " " : ", ";
    pl_buffer_format(&out, "%s%s", between, parts[i]);
  }
  if (entry->file[0] != '\0')
    pl_buffer_format(&out, out.length == 0 ? "%s" : " (%s)", entry->file);
  else
    pl_buffer_text(&out, out.length == 0 ? "no file" : " (no file)");
  return pl_text_safe(arena, pl_buffer_string(&out));
}

static const char *place_words(struct pl_arena *arena, unsigned places) {
  return places == 1u << PL_CAR ? "" : pl_format(arena, ", %s", pl_places_words(arena, places));
}

static bool has_same_origins(const struct pl_verdict *a, const struct pl_verdict *b) {
  if (a->origin_count != b->origin_count) return false;
  for (size_t i = 0; i < a->origin_count; i++) {
    if (a->origins[i].at.source != b->origins[i].at.source ||
        a->origins[i].at.start != b->origins[i].at.start)
      return false;
  }
  return true;
}

static bool is_same_told(const struct pl_verdict *a, const struct pl_verdict *b) {
  return a->outcome == b->outcome && a->tolerance_used == b->tolerance_used &&
         a->measured == b->measured && strcmp(a->value.text, b->value.text) == 0 &&
         strcmp(a->limit.text, b->limit.text) == 0 && a->at.source == b->at.source &&
         a->at.start == b->at.start && has_same_origins(a, b);
}

/// The places at which the verdict is the same; 0 where an earlier one has told it.
static unsigned places_told(const struct pl_judgement *judgement, size_t at) {
  const struct pl_verdict *const verdict = &judgement->verdicts[at];
  size_t count = 0;
  const struct pl_verdict *const verdicts = pl_verdicts_of(judgement, verdict->rule, &count);
  unsigned places = 0;
  for (size_t i = 0; i < count; i++) {
    if (!is_same_told(verdict, &verdicts[i])) continue;
    if (&verdicts[i] < verdict) return 0;
    places |= 1u << verdicts[i].place;
  }
  return places;
}

/// As many of the lines that a value was made of are told.
#define TOLD_ORIGINS 3

/// The lines that a computed value was made of.
static void add_origins(struct pl_buffer *out, struct pl_arena *arena,
                        const struct pl_verdict *verdict) {
  for (size_t i = 0; i < verdict->origin_count && i < TOLD_ORIGINS; i++) {
    const struct pl_origin *const origin = &verdict->origins[i];
    pl_buffer_format(out, "%s%s, %s", i == 0 ? "    made of " : "; ", origin->key,
                     pl_text_safe(arena, pl_span_place(arena, origin->at)));
  }
  if (verdict->origin_count > TOLD_ORIGINS)
    pl_buffer_format(out, "; and %zu more", verdict->origin_count - TOLD_ORIGINS);
  if (verdict->origin_count > 0) pl_buffer_text(out, "\n");
}

static void add_failure(struct pl_buffer *out, struct pl_arena *arena,
                        const struct pl_verdict *verdict, unsigned places) {
  const struct pl_rule *const rule = verdict->rule;
  pl_buffer_format(out, "  fails: %s%s: ", pl_text_safe(arena, rule->name),
                   place_words(arena, places));
  if (verdict->value.text[0] != '\0')
    pl_buffer_format(out, "%s%s; ", pl_text_safe(arena, verdict->value.text),
                     verdict->measured ? " measured" : "");
  pl_buffer_format(out, "it has to be %s", pl_text_safe(arena, rule->requires));
  if (verdict->excess[0] != '\0') pl_buffer_format(out, ", %s beyond", verdict->excess);
  if (rule->tolerance > 0)
    pl_buffer_format(out, ", with a tolerance of %s", rule->tolerance_text);
  pl_buffer_text(out, "\n");
  const char *const at = pl_span_place(arena, verdict->at);
  if (at[0] != '\0') pl_buffer_format(out, "    %s gives it\n", pl_text_safe(arena, at));
  add_origins(out, arena, verdict);
  if (rule->because[0] != '\0')
    pl_buffer_format(out, "    %s\n", pl_text_safe(arena, rule->because));
}

static void add_open(struct pl_buffer *out, struct pl_arena *arena,
                     const struct pl_verdict *verdict, unsigned places) {
  pl_buffer_format(out, "  cannot be judged: %s%s", pl_text_safe(arena, verdict->rule->name),
                   place_words(arena, places));
  for (size_t i = 0; i < verdict->need_count; i++)
    pl_buffer_format(out, "%s%s", i == 0 ? "; not declared: " : ", ", verdict->needs[i]);
  pl_buffer_text(out, "\n");
  if (verdict->rule->measure[0] != '\0')
    pl_buffer_format(out, "    measure: %s\n", pl_text_safe(arena, verdict->rule->measure));
}

/// The first mistake of a list, by its place; that no setup could be chosen only where nothing
/// else is wrong, since it may well follow from that.
static const struct pl_diagnostic *first_error(const struct pl_diagnostics *problems) {
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(problems);
  const struct pl_diagnostic *choice = NULL;
  for (size_t i = 0; i < problems->count; i++) {
    if (pl_diagnostic_rows[sorted[i]->code].severity != PL_ERROR) continue;
    const enum pl_code code = sorted[i]->code;
    if (code != PL_SEVERAL_SETUPS && code != PL_NOTHING_TO_PRINT && code != PL_NO_SUCH_SETUP)
      return sorted[i];
    choice = sorted[i];
  }
  return choice;
}

static bool is_of_reading(enum pl_code code) {
  return (code >= PL_FILE_IS_MISSING && code <= PL_FILE_IS_UNREADABLE) ||
         code == PL_ENTRY_OUTSIDE;
}

/// What spoils an entry: "its file has mistakes: wet.leaf:8:5: A setup has no key …".
static const char *mistake_words(struct pl_arena *arena, const struct pl_scrutinised *entry) {
  const struct pl_diagnostic *const first = first_error(entry->problems);
  const char *const what = entry->in_meeting            ? "the meeting has mistakes about it"
                           : is_of_reading(first->code) ? "its file cannot be read"
                                                        : "its file has mistakes";
  struct pl_buffer out = {.arena = arena};
  pl_buffer_format(&out, "%s: ", what);
  if (first->span.source != NULL) {
    const struct pl_position at = pl_position(first->span);
    pl_buffer_format(&out, "%s:%u:%u: ", pl_text_safe(arena, first->span.source->path), at.line,
                     at.column);
  }
  pl_buffer_text(&out, pl_text_safe(arena, first->message));
  return pl_buffer_string(&out);
}

static void add_mistake(struct pl_buffer *out, struct pl_arena *arena,
                        const struct pl_scrutinised *entry) {
  const char *const mend = first_error(entry->problems)->hint;
  const size_t more = entry->problems->errors - 1;
  pl_buffer_format(out, "  %s\n", mistake_words(arena, entry));
  if (mend[0] != '\0') pl_buffer_format(out, "    %s\n", pl_text_safe(arena, mend));
  if (more > 0)
    pl_buffer_format(out, "    and %zu more; `pitleaf check FILE` tells all\n", more);
}

static void add_difference(struct pl_buffer *out, struct pl_arena *arena,
                           const struct pl_difference *difference) {
  const char *const place = difference->place == PL_CAR ? "" : pl_place_name(difference->place);
  pl_buffer_format(out, "  measured and declared differ: %s%s%s: %s measured, %s declared",
                   place, place[0] == '\0' ? "" : ".", difference->key,
                   pl_text_safe(arena, difference->measured.text),
                   pl_text_safe(arena, difference->declared.text));
  if (difference->by[0] != '\0') pl_buffer_format(out, ", %s apart", difference->by);
  pl_buffer_text(out, "\n");
}

const char *pl_scrutiny_text(struct pl_arena *arena, const struct pl_scrutinised *entry,
                             const struct pl_text_style *style) {
  const struct pl_judgement *const judgement = entry->judgement;
  struct pl_buffer out = {.arena = arena};
  const bool fails = judgement->applies && judgement->outcome == PL_FAILS;
  pl_buffer_format(&out, "%s%s%s  %s\n", style->colour && fails ? "\x1b[1m" : "",
                   outcome_words(entry), style->colour && fails ? "\x1b[0m" : "",
                   title_of(arena, entry));
  struct pl_buffer lines = {.arena = arena};
  if (!judgement->applies)
    pl_buffer_format(&lines, "  its class is \"%s\"\n",
                     pl_text_safe(arena, judgement->class_name));
  if (entry->problems != NULL) add_mistake(&lines, arena, entry);
  for (size_t i = 0; judgement->applies && i < judgement->count; i++) {
    const struct pl_verdict *const verdict = &judgement->verdicts[i];
    const unsigned places = places_told(judgement, i);
    if (places == 0) continue;
    if (verdict->outcome == PL_FAILS) add_failure(&lines, arena, verdict, places);
    if (verdict->outcome == PL_CANNOT_BE_JUDGED && entry->problems == NULL)
      add_open(&lines, arena, verdict, places);
    if (verdict->outcome == PL_PASSES && verdict->tolerance_used)
      pl_buffer_format(&lines, "  passes by the tolerance: %s%s: %s%s; it has to be %s +- %s\n",
                       pl_text_safe(arena, verdict->rule->name), place_words(arena, places),
                       verdict->value.text, verdict->measured ? " measured" : "",
                       pl_text_safe(arena, verdict->rule->requires),
                       verdict->rule->tolerance_text);
  }
  for (size_t i = 0; i < judgement->difference_count; i++)
    add_difference(&lines, arena, &judgement->differences[i]);
  pl_buffer_text(&out, pl_buffer_string(&lines));
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- CSV

const char *pl_scrutiny_csv_head(void) {
  return "number,driver,file,setup,class,rule,place,outcome,value,limit,excess,"
         "tolerance used,measured,at,measure\r\n";
}

/// Would a spreadsheet work a text out? Some do so behind blanks, too.
static bool is_like_formula(const char *text) {
  const char first = text[strspn(text, " ")];
  return first != '\0' && strchr("=+-@", first) != NULL;
}

/// A cell of a safe text. What begins like a formula is made a text, but not the program's own
/// numbers.
static void add_cell(struct pl_buffer *out, const char *text, bool is_number, bool last) {
  pl_buffer_text(out, "\"");
  if (!is_number && is_like_formula(text)) pl_buffer_text(out, "'");
  for (const char *at = text; *at != '\0'; at++) {
    if (*at == '"') pl_buffer_text(out, "\"");
    pl_buffer_add(out, at, 1);
  }
  pl_buffer_text(out, last ? "\"\r\n" : "\",");
}

const char *pl_scrutiny_csv(struct pl_arena *arena, const struct pl_scrutinised *entry) {
  struct pl_buffer out = {.arena = arena};
  for (size_t i = 0; entry->judgement->applies && i < entry->judgement->count; i++) {
    const struct pl_verdict *const verdict = &entry->judgement->verdicts[i];
    const char *const cells[] = {entry->number,
                                 entry->driver,
                                 entry->file,
                                 entry->setup,
                                 entry->judgement->class_name,
                                 verdict->rule->name,
                                 pl_place_name(verdict->place),
                                 pl_outcome_name(verdict->outcome),
                                 verdict->value.text,
                                 verdict->limit.text,
                                 verdict->excess,
                                 verdict->tolerance_used ? "yes" : "no",
                                 verdict->measured ? "yes" : "no",
                                 pl_span_place(arena, verdict->at),
                                 verdict->rule->measure};
    const size_t count = sizeof cells / sizeof cells[0];
    for (size_t j = 0; j < count; j++)
      add_cell(&out, pl_text_safe(arena, cells[j]),
               (cells[j] == verdict->value.text && verdict->value.is_number) ||
                   (cells[j] == verdict->limit.text && verdict->limit.is_number),
               j + 1 == count);
  }
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- JUnit

/// U+FFFE and U+FFFF, which no XML may hold (XML 1.0, section 2.2).
static bool is_no_character(const char *at) {
  return strncmp(at, "\xEF\xBF\xBE", 3) == 0 || strncmp(at, "\xEF\xBF\xBF", 3) == 0;
}

/// Text within XML 1.0, in an attribute or between tags.
static void add_xml(struct pl_buffer *out, struct pl_arena *arena, const char *text) {
  for (const char *at = pl_text_safe(arena, text); *at != '\0'; at++) {
    if (is_no_character(at)) {
      pl_buffer_text(out, "\xEF\xBF\xBD"); // U+FFFD stands for what cannot be shown
      at += 2;
      continue;
    }
    switch (*at) {
    case '&': pl_buffer_text(out, "&amp;"); break;
    case '<': pl_buffer_text(out, "&lt;"); break;
    case '>': pl_buffer_text(out, "&gt;"); break;
    case '"': pl_buffer_text(out, "&quot;"); break;
    case '\'': pl_buffer_text(out, "&apos;"); break;
    default: pl_buffer_add(out, at, 1);
    }
  }
}

static void add_case(struct pl_buffer *out, struct pl_arena *arena, const char *suite,
                     const struct pl_verdict *verdict) {
  const unsigned places = 1u << verdict->place;
  pl_buffer_text(out, "    <testcase classname=\"");
  add_xml(out, arena, suite);
  pl_buffer_text(out, "\" name=\"");
  add_xml(out, arena, verdict->rule->name);
  add_xml(out, arena, place_words(arena, places));
  if (verdict->outcome == PL_PASSES) {
    pl_buffer_text(out, "\"/>\n");
    return;
  }
  struct pl_buffer words = {.arena = arena};
  const bool fails = verdict->outcome == PL_FAILS;
  if (fails)
    add_failure(&words, arena, verdict, places);
  else
    add_open(&words, arena, verdict, places);
  pl_buffer_format(out, "\">\n      <%s message=\"", fails ? "failure" : "skipped");
  const char *const all = pl_buffer_string(&words);
  add_xml(out, arena, pl_copy_text(arena, all + 2, strcspn(all + 2, "\n")));
  pl_buffer_text(out, "\"/>\n    </testcase>\n");
}

const char *pl_scrutiny_junit(struct pl_arena *arena, const struct pl_scrutinised *entry) {
  const struct pl_judgement *const judgement = entry->judgement;
  const char *const suite = title_of(arena, entry);
  const size_t count = judgement->applies ? judgement->count : 0;
  struct pl_buffer out = {.arena = arena};
  pl_buffer_text(&out, "  <testsuite name=\"");
  add_xml(&out, arena, suite);
  pl_buffer_format(&out, "\" tests=\"%zu\" failures=\"%zu\" skipped=\"%zu\" errors=\"%d\">\n",
                   count + (entry->problems != NULL ? 1 : 0), judgement->failed,
                   judgement->unknown, entry->problems != NULL ? 1 : 0);
  if (entry->problems != NULL) {
    pl_buffer_text(&out, "    <testcase classname=\"");
    add_xml(&out, arena, suite);
    pl_buffer_text(&out, "\" name=\"file\">\n      <error message=\"");
    add_xml(&out, arena, mistake_words(arena, entry));
    pl_buffer_text(&out, "\"/>\n    </testcase>\n");
  }
  for (size_t i = 0; i < count; i++) add_case(&out, arena, suite, &judgement->verdicts[i]);
  pl_buffer_text(&out, "  </testsuite>\n");
  return pl_buffer_string(&out);
}
