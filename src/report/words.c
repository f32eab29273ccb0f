// SPDX-License-Identifier: GPL-3.0-or-later
// Words of the language that are neither settings nor figures, as `describe` tells them: those
// of rules, meetings, boxes and aims, and what else has no row in a table.
#include "room.h"

#include <string.h>

static const struct word_row words[] = {
    {"rules", "block", "A set of rules: what an organiser allows. `from` copies another set.",
     "rules \"Our class\" { rule \"Bore\" { for = each corner; require = damper.bore <= 13 mm } }"},
    {"rule", "block of a set of rules",
     "One rule, with a name in quotes; behind it `when` and a condition, if it is not for all.",
     "rule \"Width\" { require = width <= 250 mm }"},
    {"require", "key of a rule",
     "What a car has to keep: a comparison, or several joined by `and`, `or`, `not`. It names "
     "settings, what a part says, and figures.",
     "require = damper.bore <= 13 mm"},
    {"for", "key of a rule",
     "Where the rule is judged: `car`, which it is where nothing is said, `each axle` or `each "
     "corner`.",
     "for = each corner"},
    {"each", "word behind `for`", "The rule is judged at each axle, or at each corner.",
     "for = each axle"},
    {"each corner", "value of `for`",
     "The rule is judged at all four corners; a name means that corner's.",
     "for = each corner"},
    {"each axle", "value of `for`",
     "The rule is judged at the front and at the rear; `left.` and `right.` in front of a name "
     "mean that axle's sides.",
     "for = each axle; require = left.damper.bore == right.damper.bore"},
    {"tolerance", "key of a rule",
     "How far beyond the limit a value still passes; the list says where it did.",
     "tolerance = 0.1 mm"},
    {"measure", "key of a rule",
     "How the official measures it: told where a value is not declared, and on the list.",
     "measure = \"bore gauge\""},
    {"because", "key of a rule", "Why the rule is there: told where a car fails it.",
     "because = \"keeps the class on small bodies\""},
    {"when", "word behind the name of a rule",
     "The rule applies only where the condition is true.",
     "rule \"Least weight\" when class == \"2wd\" { require = total-mass >= 1.5 kg }"},
    {"edition", "key of a set of rules", "Which edition of the rules it is: a text.",
     "edition = \"2026-2\""},
    {"applies-to", "key of a set of rules",
     "The classes that the rules are for; without it they are for every entry.",
     "applies-to = [\"2wd buggy\", \"4wd buggy\"]"},
    {"count", "function of rules",
     "At how many corners something is declared, or axles where it is of an axle.",
     "require = count(damper) == 4"},
    {"min", "function", "The least of its arguments; in a rule, of one name, over all corners.",
     "require = min(ride-height) >= 15 mm"},
    {"max", "function",
     "The greatest of its arguments; in a rule, of one name, over all corners.",
     "require = max(damper.bore) <= 13 mm"},
    {"sum", "function of rules", "The sum of one name over all corners.",
     "require = sum(corner-mass) >= 1.5 kg"},
    {"in", "operator", "Is it one of a list, or within a range, both ends included?",
     "require = wheelbase in 260 mm .. 290 mm"},
    {"and", "operator", "Both conditions have to be true.",
     "require = width <= 250 mm and length <= 400 mm"},
    {"or", "operator", "One of the conditions has to be true.",
     "require = width <= 250 mm or class == \"truck\""},
    {"not", "operator", "The condition has to be false. A tolerance takes nothing away in it.",
     "require = not class == \"truck\""},
    {"meeting", "block", "A race day: what its entries have in common, and the entries.",
     "meeting \"Round 1\" { entry 7 { driver = \"Wren Alder\"; setup = \"07/wet.leaf\" } }"},
    {"box", "block", "What somebody owns, for `pitleaf choose`. `from` copies another box.",
     "box \"case\" { oils = [\"clear 300\", \"clear 400\"]; rear { springs = [\"long 0.41\"] } }"},
    {"aim", "block",
     "The figures that are wanted, each with how far it may be missed, or as a range. It may do "
     "without a name.",
     "aim { rear.damping-ratio-slow = 0.8 +- 0.05; keep = [rear.spring] }"},
    {"measured", "block of an entry",
     "What was found on the car; it goes before what its file declares.",
     "measured { total-mass = 1490 g; front { damper.bore = 12.1 mm } }"},
    {"ballast", "block of a car or a setup",
     "A piece of weight with a name, its `mass`, and the point `at` which it sits: x forward from "
     "the middle between the axles, y to the left of the centre line.",
     "ballast \"brass\" { mass = 25 g; at = (85 mm, 0 mm, 6 mm) }"},
    {"extra", "block of a car or a setup, also within a scope",
     "What no key covers: each line is a name in quotes, `=` and a text.",
     "extra { \"Wing shim\" = \"2 mm\" }"},
    {"include", "statement", "Takes in another file. It stands between blocks.",
     "include \"../library/oils.leaf\""},
    {"let", "statement", "Names a value. It stands between blocks, above its first use.",
     "let house-preload = 2 mm"},
    {"blend", "function", "An oil that is mixed of others by volume; the shares come to 100 %.",
     "oil = blend(\"clear 300\" 60 %, \"clear 400\" 40 %)"},
    {"round", "function", "To the nearest multiple of a step; a plain number to a whole one.",
     "preload = round(2.13 mm, 0.25 mm)"},
    {"wt", "unit of oils", "The bottle's weight. It means what an `oil-scale` in scope says.",
     "oil-scale \"house\" { 30 wt = 350 cSt; 40 wt = 500 cSt }"},
    {"one-way", "word behind ports", "They carry oil in `compression` or in `rebound` alone.",
     "piston = 2 x 1.5 mm one-way rebound"},
    {"opens-at", "word behind one-way ports", "The pressure that lifts them.",
     "piston = 2 x 1.5 mm one-way compression opens-at 4 kPa"}};

#define WORD_COUNT (sizeof words / sizeof words[0])

const struct word_row *rule_word_at(size_t which) {
  return which < WORD_COUNT ? &words[which] : NULL;
}

void describe_word(struct pl_buffer *out, const char *word, size_t width) {
  for (size_t i = 0; i < WORD_COUNT; i++) {
    if (strcmp(words[i].word, word) != 0) continue;
    pl_buffer_format(out, "%s   %s\n", words[i].word, words[i].kind);
    add_wrapped(out, words[i].meaning, 2, width);
    add_wrapped(out, words[i].example, 4, width);
  }
}
