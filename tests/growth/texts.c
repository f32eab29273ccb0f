// SPDX-License-Identifier: GPL-3.0-or-later
// Files that are absurd in one way each.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "growth/texts.h"

#include "support.h"

#include <stdio.h>
#include <string.h>

static void repeat(struct pl_buffer *text, const char *item, int count) {
  for (int i = 0; i < count; i++) pl_buffer_text(text, item);
}

// ---------------------------------------------------------------- names that lead to names

/// Each file brings in the two before it, twice.
static void write_ladder(struct pl_buffer *text, int count) {
  for (int i = 0; i < count; i++) {
    char name[32];
    char includes[160];
    (void)snprintf(name, sizeof name, "step-%d.leaf", i);
    const int length = i < 2 ? snprintf(includes, sizeof includes, "let at-%d = 1\n", i)
                             : snprintf(includes, sizeof includes,
                                        "include \"step-%d.leaf\"\ninclude \"step-%d.leaf\"\n"
                                        "include \"./step-%d.leaf\"\nlet at-%d = at-%d\n",
                                        i - 1, i - 2, i - 1, i, i - 1);
    pl_test_write(name, includes, (size_t)length);
  }
  pl_buffer_format(text, "include \"step-%d.leaf\"\nsetup \"s\" { preload = at-%d * 1 mm }\n",
                   count - 1, count - 1);
}

/// All files bring in all of the first ones.
static void write_diamonds(struct pl_buffer *text, int count) {
  for (int i = 0; i < count; i++) {
    char name[32];
    char includes[400] = "";
    size_t length = 0;
    (void)snprintf(name, sizeof name, "side-%d.leaf", i);
    for (int j = 0; j < 8 && j < i; j++)
      length += (size_t)snprintf(includes + length, sizeof includes - length,
                                 "include \"side-%d.leaf\"\n", j);
    pl_test_write(name, includes, length);
    pl_buffer_format(text, "include \"%s\"\n", name);
  }
}

static void write_lets_backward(struct pl_buffer *text, int count) {
  for (int i = count; i > 0; i--)
    pl_buffer_format(text, "let a%d = a%d + a%d\n", i, i - 1, i - 1);
  pl_buffer_format(text, "let a0 = 1 mm\nsetup \"s\" { preload = a%d }\n", count);
}

static void write_lets_forward(struct pl_buffer *text, int count) {
  pl_buffer_text(text, "let a0 = 1 mm\n");
  for (int i = 1; i <= count; i++)
    pl_buffer_format(text, "let a%d = a%d - a%d\n", i, i - 1, i - 1);
  pl_buffer_format(text, "setup \"s\" { preload = a%d }\n", count);
}

static void write_chain(struct pl_buffer *text, const char *kind, const char *body, int count) {
  pl_buffer_format(text, "%s \"s0\" { %s }\n", kind, body);
  for (int i = 1; i <= count; i++)
    pl_buffer_format(text, "%s \"s%d\" from \"s%d\" { }\n", kind, i, i - 1);
}

static void write_chain_of_setups(struct pl_buffer *text, int count) {
  write_chain(text, "setup", "preload = 1 mm", count);
}

static void write_chain_of_setups_backward(struct pl_buffer *text, int count) {
  for (int i = count; i > 0; i--)
    pl_buffer_format(text, "setup \"s%d\" from \"s%d\" { preload += 1 mm }\n", i, i - 1);
  pl_buffer_text(text, "setup \"s0\" { preload = 0 mm }\n");
}

static void write_chain_of_oils(struct pl_buffer *text, int count) {
  write_chain(text, "oil", "viscosity = 300 cSt", count);
}

static void write_chain_of_rules(struct pl_buffer *text, int count) {
  write_chain(text, "rules", "rule \"a\" { require = car.mass > 1 kg }", count);
}

static void write_chain_of_templates(struct pl_buffer *text, int count) {
  write_chain(text, "template", "section \"s\" { show = [camber] }", count);
}

static void write_chain_of_meetings(struct pl_buffer *text, int count) {
  write_chain(text, "meeting", "entry 1 { driver = \"a\" }", count);
}

/// Setups that all start from a long one.
static void write_star(struct pl_buffer *text, int count) {
  pl_buffer_text(text, "setup \"b\" {\n preload = 0 mm\n");
  repeat(text, " preload += 0.001 mm\n", count);
  pl_buffer_text(text, "}\n");
  for (int i = 0; i < count; i++)
    pl_buffer_format(text, "setup \"s%d\" from \"b\" { camber = -1 deg }\n", i);
}

// ---------------------------------------------------------------- names of one kind of hash

/// Two texts of five letters each for every step, after which FNV-1a stands at the same lowest
/// 20 bits: chained, they are any number of names that agree in them.
#define FORKS    14
#define LOW_BITS 0xFFFFFu

static uint64_t hash_on(uint64_t hash, const char *text) {
  for (; *text != '\0'; text++) hash = (hash ^ (unsigned char)*text) * 0x100000001b3u;
  return hash;
}

static void put_letters(char letters[6], unsigned number) {
  for (int i = 0; i < 5; i++, number /= 26) letters[i] = (char)('a' + number % 26);
  letters[5] = '\0';
}

/// Finds two texts that lead from one state to the same lowest bits, by their birthdays.
static uint64_t find_fork(uint64_t hash, char forks[2][6]) {
  static unsigned seen[LOW_BITS + 1];
  memset(seen, 0, sizeof seen);
  for (unsigned number = 1;; number++) {
    put_letters(forks[1], number);
    const uint64_t next = hash_on(hash, forks[1]);
    unsigned *const other = &seen[next & LOW_BITS];
    if (*other != 0) {
      put_letters(forks[0], *other);
      return next;
    }
    *other = number;
  }
}

static void write_names_of_one_hash(struct pl_buffer *text, int count) {
  char forks[FORKS][2][6];
  uint64_t hash = 0xcbf29ce484222325u;
  for (int i = 0; i < FORKS; i++) hash = find_fork(hash, forks[i]);
  for (int i = 0; i < count && i < 1 << FORKS; i++) {
    pl_buffer_text(text, "oil \"");
    for (int j = 0; j < FORKS; j++) pl_buffer_text(text, forks[j][(i >> j) & 1]);
    pl_buffer_text(text, "\" { viscosity = 3 cSt }\n");
  }
}

// ---------------------------------------------------------------- slips of typing

/// Names that a file brings in, and as many files with slips in them.
static void write_slips(struct pl_buffer *text, int count) {
  for (int i = 0; i < count; i++) {
    pl_buffer_format(text, "oil \"thick clear %d\" { viscosity = 300 cSt }\n", 10000 + i);
    pl_buffer_format(text, "setup \"s%d\" { oil = \"thick claer %d\" }\n", i, 10000 + i);
  }
}

static void write_slips_in_files(struct pl_buffer *text, int count) {
  for (int i = 0; i < count; i++) {
    char name[32];
    struct pl_buffer slips = {.arena = text->arena};
    (void)snprintf(name, sizeof name, "slips-%d.leaf", i);
    for (int j = 0; j < 30; j++)
      pl_buffer_format(&slips, "piston \"p%d-%d\" { thickness = thick-claer-%d * 1 mm }\n", i,
                       j, 10000 + i * 30 + j);
    pl_test_write(name, pl_buffer_string(&slips), slips.length);
    pl_buffer_format(text, "include \"%s\"\n", name);
    for (int j = 0; j < 30; j++)
      pl_buffer_format(text, "let thick-clear-%d = 1\n", 10000 + i * 30 + j);
  }
}

/// Names that are the same but for their last letters.
static void write_alike(struct pl_buffer *text, int count) {
  for (int i = 0; i < count; i++)
    pl_buffer_format(
        text, "let a-name-that-is-long-and-differs-in-the-last-letters-only-%d = 1\n", i);
  for (int i = 0; i < count; i++)
    pl_buffer_format(
        text, "let b%d = a-name-that-is-long-and-differs-in-the-last-letters-only-%d\n", i, i);
}

// ---------------------------------------------------------------- the trade's things

/// A rule is allowed two hundred operators.
static void write_conditions(struct pl_buffer *text, int count) {
  pl_buffer_text(text, "rules \"r\" {\n");
  for (int i = 0; i < count; i++) {
    pl_buffer_format(text, "rule \"b%d\" { for = each corner; require = ", i);
    repeat(text, "preload < 9 mm and ", 99);
    pl_buffer_text(text, "preload < 8 mm }\n");
  }
  pl_buffer_text(text, "}\nsetup \"s\" { preload = 1 mm }\n");
}

static void write_measured(struct pl_buffer *text, int count) {
  pl_buffer_text(text,
                 "rules \"r\" { rule \"a\" { for = each corner; require = preload < 9 mm }"
                 " }\nsetup \"s\" { preload = 1 mm }\nmeeting \"m\" {\n");
  for (int i = 0; i < count; i++)
    pl_buffer_format(text, "entry %d { driver = \"d\"; measured { preload = 2 mm } }\n", i);
  pl_buffer_text(text, "}\n");
}

/// Entries of a meeting that starts from one that has them, too.
static void write_entries_again(struct pl_buffer *text, int count) {
  for (int meeting = 0; meeting < 2; meeting++) {
    pl_buffer_text(text, meeting == 0 ? "meeting \"a\" {\n" : "meeting \"b\" from \"a\" {\n");
    for (int i = 0; i < count; i++)
      pl_buffer_format(text, "entry %d { driver = \"d\" }\n", meeting == 0 ? i : count - i);
    pl_buffer_text(text, "}\n");
  }
}

#define CAR   "setup \"s\" { wheelbase = 272 mm; track = 240 mm; corner-mass = 400 g }\n"
#define FILES (sizeof absurd_files / sizeof absurd_files[0])

const struct absurd absurd_files[] = {
    // Depth, far beyond its limit.
    {"parentheses", 500, "let a = ", "(", "1", NULL, false},
    {"parentheses, closed", 500, "let a = ", "(1) + (", "1", NULL, false},
    {"lists in lists", 500, "let a = ", "[", "1", NULL, false},
    {"blocks in blocks", 500, "setup \"s\" {\n", "all {\n", "", NULL, false},
    {"blocks on one line", 500, "setup \"s\" { ", "all { ", "", NULL, false},
    {"braces that close nothing", 500, "", "}\n", "", NULL, false},
    {"not not not", 500, "let a = ", "not ", "1 == 1\n", NULL, false},
    {"minus minus", 500, "let a = ", "- ", "1\n", NULL, false},
    {"calls in calls", 500, "let a = ", "min(1, ", "1", NULL, false},
    {"a long sum", 500, "let a = 1", " + 1", "\n", NULL, false},
    {"a long sum of tolerances", 500, "let a = 1", " + (1 +- 1)", "\n", NULL, false},
    {"lets with a tolerance", 500, "", "let a%d = 1 mm +- 1 mm\n",
     "setup \"s\" { spring = 1 N/mm; preload = a1 }\n", NULL, false},
    {"a long power", 500, "let a = 1", " ^ 1", "\n", NULL, false},
    {"a long comparison", 500, "let a = 1", " < 1", "\n", NULL, false},
    {"a long and", 500, "let a = 1 == 1", " and 1 == 1", "\n", NULL, false},
    {"a long point", 500, "let a = b", ".b", "\n", NULL, false},
    {"a long unit", 500, "let a = 1 mm", ".mm", "\n", NULL, false},
    {"a long row", 500, "let a = [1 mm", " 2 N", "]\n", NULL, false},
    // Length.
    {"one line", 500, "", "let a%d = 1; ", "\n", NULL, false},
    {"properties on one line", 500, "setup \"a\" { ", "air = 3 degC; ", "}\n", NULL, false},
    {"one line of blocks", 500, "", "oil \"o%d\" { viscosity = 3 cSt } ", "\n", NULL, false},
    {"one word", 2000, "let ", "abc", " = 1\n", NULL, false},
    {"one number", 2000, "let a = ", "123", "\n", NULL, false},
    {"a number behind a point", 2000, "let a = 0.", "123", "\n", NULL, false},
    {"an exponent", 2000, "let a = 1e", "123", "\n", NULL, false},
    {"one text", 2000, "setup \"s\" { notes = \"", "long \\u{416} ", "\" }\n", NULL, false},
    {"one text without blanks", 2000, "setup \"s\" { notes = \"", "long", "\" }\n", NULL,
     false},
    {"names of one hash", 2000, NULL, NULL, NULL, write_names_of_one_hash, false},
    {"one name", 2000, "setup \"", "lo ng", "\" { preload = 1 mm }\n", NULL, false},
    {"an extra with a long name", 2000, "setup \"s\" { extra { \"", "long ", "\" = \"a\" } }\n",
     NULL, false},
    {"arrows", 1000, "setup \"s\" { notes = \"", "1 → ", "\" }\n", NULL, false},
    {"signs", 1000, "setup \"s\" { notes = \"", "+ ", "\" }\n", NULL, false},
    {"numbers with units", 1000, "setup \"s\" { notes = \"", "1 mm → 2 mm ", "\" }\n", NULL,
     false},
    {"one comment", 2000, "let a = 1 # ", "long é", "\n", NULL, false},
    {"comments", 1000, "", "# long\n", "let a = 1\n", NULL, false},
    {"comments behind code", 500, "", "let a%d = 1 # é\n", "", NULL, false},
    {"comments in a list", 500, "let a = [\n", "1, # é\n", "1]\n", NULL, false},
    {"empty lines", 2000, "", "\r\n", "let a = 1\n", NULL, false},
    {"semicolons", 2000, "", ";", "let a = 1\n", NULL, false},
    {"one list", 300, "let a = [", "%d, ", "1]\n", NULL, false},
    {"a list too long", 3000, "let a = [", "%d, ", "1]\n", NULL, false},
    {"rows of a list", 300, "let a = [\n", "1 mm 2 N,\n", "1 mm 2 N]\n", NULL, false},
    {"quotes", 1000, "", "\"", "", NULL, false},
    {"words", 1000, "", "word ", "\n", NULL, false},
    {"foreign words", 1000, "", "漢😀 é ", "\n", NULL, false},
    {"bytes that are no text", 1000, "", "\xff\xfe ", "\n", NULL, false},
    // Many.
    {"oils", 250, "", "oil \"o%d\" { viscosity = 300 cSt }\n", CAR, NULL, false},
    {"springs", 250, "", "spring \"o%d\" { rate = 0.4 N/mm }\n", CAR, NULL, false},
    {"pistons", 250, "", "piston \"o%d\" { thickness = 2 mm; ports = 4 x 1.2 mm }\n", CAR, NULL,
     false},
    {"dampers", 250, "", "damper \"o%d\" { bore = 12 mm; stroke = 30 mm }\n", CAR, NULL, false},
    {"cars", 125, "", "car \"c%d\" { wheelbase = 272 mm }\n", "", NULL, false},
    {"setups", 75, "", "setup \"s%d\" { preload = 3 mm }\n", "", NULL, false},
    {"rule sets", 125, "", "rules \"r%d\" { rule \"a\" { require = mass < 9 kg } }\n", CAR,
     NULL, false},
    {"templates", 125, CAR, "template \"t%d\" { section \"s\" { show = [camber] } }\n", "",
     NULL, false},
    {"meetings", 125, "", "meeting \"m%d\" { entry 1 { driver = \"a\" } }\n", "", NULL, false},
    {"constants", 500, "", "let a%d = 1\n", CAR, NULL, false},
    {"changes of a setting", 250, "setup \"s\" {\npreload = 0 mm\n", "preload += 0.001 mm\n",
     "}\n", NULL, false},
    {"scopes", 250, "setup \"s\" {\npreload = 0 mm\n", "rear { preload += 0.001 mm }\n", "}\n",
     NULL, false},
    {"corners", 250, "setup \"s\" {\npreload = 0 mm\n",
     "front-left { preload += 0.001 mm }\nrear-right { camber = -%d deg * 0.0001 }\n", "}\n",
     NULL, false},
    {"extras", 125, "setup \"s\" {\n", "extra { \"n%d\" = \"v\" }\n", "}\n", NULL, false},
    {"extras in a block", 125, "setup \"s\" { extra {\n", "\"n%d\" = \"v\"\n", "} }\n", NULL,
     false},
    {"extras at corners", 125, "setup \"s\" {\n",
     "extra \"n%d\" { front = 1 mm; rear-left = 2 mm; rear-right = 1 mm }\n", "}\n", NULL,
     false},
    {"ballast", 125, "setup \"s\" {\n", "ballast \"b%d\" { mass = 1 g; at = (1, 2, 3) mm }\n",
     "}\n", NULL, false},
    {"holes", 120, "car \"c\" { all { shock-top {\n", "%d = (31 mm, 58 mm)\n", "} } }\n", NULL,
     false},
    // The same again and again.
    {"one oil", 250, "", "oil \"o\" { viscosity = 300 cSt }\n", CAR, NULL, false},
    {"one setup", 250, "", "setup \"o\" { preload = 1 mm }\n", "", NULL, false},
    {"one constant", 500, "", "let a = 1\n", CAR, NULL, false},
    {"one setting", 250, "setup \"s\" {\n", "preload = 1 mm\n", "}\n", NULL, false},
    {"one setting, in scopes", 250, "setup \"s\" {\n", "rear { preload = 1 mm }\n", "}\n", NULL,
     false},
    {"one extra", 250, "setup \"s\" {\n", "extra { \"n\" = \"v\" }\n", "}\n", NULL, false},
    {"one piece of ballast", 250, "setup \"s\" {\n", "ballast \"b\" { mass = 1 g }\n", "}\n",
     NULL, false},
    {"one entry", 250, "meeting \"m\" {\n", "entry 7 { driver = \"a\" }\n", "}\n", NULL, false},
    {"one rule", 250, "rules \"r\" {\n", "rule \"a\" { require = mass < 9 kg }\n", "}\n", NULL,
     false},
    {"one section", 250, CAR "template \"t\" {\n", "section \"s\" { show = [camber] }\n", "}\n",
     NULL, false},
    {"one weight", 250, "oil-scale \"s\" {\n", "10 wt = 100 cSt\n", "}\n", NULL, false},
    {"one include", 250, "", "include \"nowhere.leaf\"\n", "", NULL, false},
    {"cars and setups", 60, "",
     "car \"c%d\" { wheelbase = 272 mm }\nsetup \"s%d\" { preload = 3 mm }\n", "", NULL, false},
    {"templates of each other's words", 100, CAR,
     "template \"t%d\" { section \"s%d\" { show = [camber] }\nwords { \"s%d\" = \"a\" } }\n",
     "", NULL, false},
    {"uses of one oil", 125, "oil \"x\" { viscosity = 3 cSt }\n",
     "setup \"s%d\" { oil = \"x\" }\n", "", NULL, false},
    {"uses of one constant", 500, "let a = 1\n", "let b%d = a\n", "", NULL, false},
    // Mistakes.
    {"mistakes of syntax", 250, "", "let = 1\n", "", NULL, false},
    {"mistakes in a block", 250, "setup \"s\" {\n", "preload 1 mm\n", "}\n", NULL, false},
    {"unknown keys", 250, "setup \"s\" {\n", "prelaod-%d = 1 mm\n", "}\n", NULL, false},
    {"unknown units", 250, "", "let a%d = 1 mmm\n", "", NULL, false},
    {"unknown names", 250, "", "let a%d = b%d\n", "", NULL, false},
    {"unknown blocks", 250, "", "sprung \"o%d\" { rate = 1 }\n", "", NULL, false},
    {"open braces", 250, "", "setup \"a%d\" {\n", "", NULL, false},
    {"warnings", 250, "setup \"s\" {\n",
     "rear { preload = 90 mm }\nrear-left { preload = 1 mm }\n", "}\n", NULL, false},
    {"missing includes", 250, "", "include \"nowhere-%d.leaf\"\n", "", NULL, false},
    {"slips", 100, NULL, NULL, NULL, write_slips, false},
    {"slips in files", 12, NULL, NULL, NULL, write_slips_in_files, false},
    {"names that are nearly alike", 250, NULL, NULL, NULL, write_alike, false},
    // Names that lead to names.
    {"a ladder of includes", 60, NULL, NULL, NULL, write_ladder, true},
    {"diamonds of includes", 60, NULL, NULL, NULL, write_diamonds, true},
    {"lets that double", 250, NULL, NULL, NULL, write_lets_forward, false},
    {"lets that double, the last first", 250, NULL, NULL, NULL, write_lets_backward, false},
    {"a chain of setups", 130, NULL, NULL, NULL, write_chain_of_setups, false},
    {"a chain of setups, the last first", 130, NULL, NULL, NULL, write_chain_of_setups_backward,
     false},
    {"a chain of oils", 130, NULL, NULL, NULL, write_chain_of_oils, false},
    {"a chain of rules", 130, NULL, NULL, NULL, write_chain_of_rules, false},
    {"a chain of templates", 130, NULL, NULL, NULL, write_chain_of_templates, false},
    {"a chain of meetings", 130, NULL, NULL, NULL, write_chain_of_meetings, false},
    {"a star of setups", 300, NULL, NULL, NULL, write_star, false},
    // Pages, rules, meetings.
    {"sections", 60, CAR "template \"t\" {\n", "section \"s%d\" { show = [camber] }\n", "}\n",
     NULL, true},
    {"sections beyond the limit", 500, CAR "template \"t\" {\n",
     "section \"s%d\" { show = [camber] }\n", "}\n", NULL, false},
    {"sections that show much", 60, CAR "template \"t\" {\n",
     "section \"s%d\" { show = [camber, preload, wheelbase, track, corner-mass] }\n", "}\n",
     NULL, true},
    {"one section that shows much", 125, CAR "template \"t\" { section \"s\" { show = [",
     "camber, ", "camber] } }\n", NULL, false},
    {"checklists", 60, CAR "template \"t\" {\n",
     "checklist \"c%d\" { items = [\"a\", \"b\"] }\n", "}\n", NULL, true},
    {"plots", 50, CAR "template \"t\" {\n",
     "plot \"p%d\" { curve = spring-force; at = front }\n", "}\n", NULL, true},
    {"labels", 125, CAR "template \"t\" { section \"s\" { show = [camber] }\nwords {\n",
     "\"Front left %d\" = \"a\"\n", "} }\n", NULL, false},
    {"page breaks", 30, CAR "template \"t\" {\n",
     "section \"s%d\" { show = [camber] }\npage-break { }\n", "}\n", NULL, true},
    {"rules", 60, "setup \"s\" { preload = 1 mm }\nrules \"r\" {\n",
     "rule \"a%d\" { for = each corner; require = preload < 9 mm }\n", "}\n", NULL, true},
    {"rules beyond the limit", 500, "setup \"s\" { preload = 1 mm }\nrules \"r\" {\n",
     "rule \"a%d\" { for = each corner; require = preload < 9 mm }\n", "}\n", NULL, false},
    {"rules of one thing", 60, "setup \"s\" { preload = 1 mm }\nrules \"r\" {\n",
     "rule \"a%d\" { require = max(preload) in [1 mm, 2 mm] }\n", "}\n", NULL, true},
    {"rules that fail", 60, "setup \"s\" { preload = 1 mm }\nrules \"r\" {\n",
     "rule \"a%d\" when preload > 0 mm { for = each axle; require = preload > 9 mm }\n", "}\n",
     NULL, true},
    {"rules of long conditions", 20, NULL, NULL, NULL, write_conditions, false},
    {"entries", 60, NULL, NULL, NULL, write_measured, false},
    {"entries beyond the limit", 1000, NULL, NULL, NULL, write_measured, false},
    {"entries again", 60, NULL, NULL, NULL, write_entries_again, false},
};

const size_t absurd_file_count = FILES;

/// The item with its number in place of each `%d`.
static void add_item(struct pl_buffer *text, const char *item, int number) {
  for (const char *mark = strstr(item, "%d"); mark != NULL; mark = strstr(item, "%d")) {
    pl_buffer_add(text, item, (size_t)(mark - item));
    pl_buffer_format(text, "%d", number);
    item = mark + 2;
  }
  pl_buffer_text(text, item);
}

void write_absurd(struct pl_buffer *text, const struct absurd *file, int count) {
  if (file->write != NULL) {
    file->write(text, count);
    return;
  }
  pl_buffer_text(text, file->head);
  for (int i = 0; i < count; i++) add_item(text, file->item, i + 1);
  pl_buffer_text(text, file->tail);
}
