// SPDX-License-Identifier: GPL-3.0-or-later
// Tests the rules of the layout one by one, with the exact text; when scopes are moved; and
// that the comparison which vouches for the printer sees a difference.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "layout.h"

#include <string.h>

static void check(struct pl_bench *bench, const char *text, enum pl_tidy_order order,
                  const char *expected) {
  const char *const got = pl_laid_out(bench, text, strlen(text), order);
  if (got == NULL) fail_msg("`%s` has a mistake", text);
  assert_string_equal(got, expected);
  assert_true(pl_check_layout(bench, expected, text, strlen(text)));
}

/// The text is laid out as expected.
static void lays_out(struct pl_bench *bench, const char *text, const char *expected) {
  check(bench, text, PL_TIDY_KEEPS_ORDER, expected);
}

// ---------------------------------------------------------------- lines

static void indents(struct pl_bench *bench) {
  lays_out(bench, "setup \"A\"{\n\tfront  {\n      camber=1 deg\ntoe=2 deg}\n        }",
           "setup \"A\" {\n"
           "  front {\n"
           "    camber = 1 deg\n"
           "    toe    = 2 deg\n"
           "  }\n"
           "}\n");
}

static void line_ends(struct pl_bench *bench) {
  lays_out(bench, "let a = 1  \r\n# b \t \r\nlet c = 2\t", "let a = 1\n# b\nlet c = 2\n");
  lays_out(bench, "\xef\xbb\xbflet a = 1", "let a = 1\n");
  lays_out(bench, "", "");
  lays_out(bench, " \n\n\t\n", "");
  lays_out(bench, "#", "#\n");
}

static void empty_lines(struct pl_bench *bench) {
  lays_out(bench, "\n\nlet a = 1\n\n\n\nlet b = 2\n\n", "let a = 1\n\nlet b = 2\n");
  lays_out(bench, "all {\n\n  a = 1\n\n\n  # c\n\n}\n", "all {\n  a = 1\n\n  # c\n}\n");
  lays_out(bench, "x = [\n\n  1,\n\n\n  2\n\n]\n", "x = [\n  1,\n\n  2\n]\n");
}

/// A block of several lines stands apart from what else the file has; a comment stays with what
/// follows it.
static void blocks_are_parted(struct pl_bench *bench) {
  lays_out(bench,
           "include \"a\"\ncar \"A\" {\n  mass = 1 kg\n}\n# of B\noil \"B\" { a = 1 }\n"
           "oil \"C\" { a = 1 }\n",
           "include \"a\"\n"
           "\n"
           "car \"A\" {\n"
           "  mass = 1 kg\n"
           "}\n"
           "\n"
           "# of B\n"
           "oil \"B\" { a = 1 }\n"
           "oil \"C\" { a = 1 }\n");
  lays_out(bench, "car \"A\" {\n  a = 1\n}\n# of A\n\ncar \"B\" {\n  a = 1\n}\n# the end\n",
           "car \"A\" {\n  a = 1\n}\n# of A\n\ncar \"B\" {\n  a = 1\n}\n# the end\n");
  lays_out(bench, "setup \"A\" {\n  front {\n    a = 1\n  }\n  rear {\n    a = 1\n  }\n}\n",
           "setup \"A\" {\n  front {\n    a = 1\n  }\n  rear {\n    a = 1\n  }\n}\n");
}

// ---------------------------------------------------------------- blanks

static void blanks(struct pl_bench *bench) {
  lays_out(bench, "a=21mm\nb = 60%\nc = -1.5deg\nd=9.6e-4 1/K\ne=9 /K\n",
           "a = 21 mm\nb = 60 %\nc = -1.5 deg\nd = 9.6e-4 1/K\ne = 9 /K\n");
  lays_out(bench, "a=b -c*( d+ - 3 )/e^ -2\n", "a = b - c * (d + -3) / e ^ -2\n");
  lays_out(bench, "a = + -2\nb=- -2\n", "a = + -2\nb = - -2\n");
  lays_out(bench, "a = 10 mm/track\nb = 10/half\n", "a = 10 mm / track\nb = 10 / half\n");
  lays_out(bench, "a = 1/10\nb = 1 / 10\n", "a = 1/10\nb = 1 / 10\n");
  lays_out(bench, "a=blend ( \"x\" 60%,\"y\" 40% )\nb = [ 1,2 , 3, ]\n",
           "a = blend(\"x\" 60 %, \"y\" 40 %)\nb = [1, 2, 3,]\n");
}

static void words_and_signs(struct pl_bench *bench) {
  lays_out(bench, "a = 6 x 1.3mm+2 \u00d7 1.6mm to 1.4mm\nb = 6 coils gap 2mm\n",
           "a = 6 x 1.3 mm + 2 \u00d7 1.6 mm to 1.4 mm\nb = 6 coils gap 2 mm\n");
  lays_out(bench, "a = 6x1.3mm+2x1mm\n", "a = 6 x 1.3 mm + 2 x 1 mm\n");
  lays_out(bench, "a = 2 x 1mm one-way rebound opens-at 4kPa\nb = 350cSt at 25degC\n",
           "a = 2 x 1 mm one-way rebound opens-at 4 kPa\nb = 350 cSt at 25 degC\n");
  lays_out(bench, "a = 10 mm..13 mm\nb = 1.3mm+-0.02mm\nc = 2\u00b11\n",
           "a = 10 mm .. 13 mm\nb = 1.3 mm +- 0.02 mm\nc = 2 \u00b1 1\n");
  lays_out(bench, "a = damper . bore<=13mm and not(b>=c)or d!= e\n",
           "a = damper.bore <= 13 mm and not (b >= c) or d != e\n");
  lays_out(bench, "a = 3 in[1,2]\nb = (3)in ok\nc = at -1\nd = x (2)\n",
           "a = 3 in [1, 2]\nb = (3) in ok\nc = at - 1\nd = x(2)\n");
}

// ---------------------------------------------------------------- what stands beneath each
// other

static void equals_signs(struct pl_bench *bench) {
  lays_out(bench, "a = 1\nlong-key = 2\n\nb = 3\n# c\nlonger = 4\ne = 5\n",
           "a        = 1\nlong-key = 2\n\nb = 3\n# c\nlonger = 4\ne      = 5\n");
  lays_out(bench, "preload += 1\nbar = 2\nx -= 3\n",
           "preload += 1\nbar      = 2\nx       -= 3\n");
  lays_out(bench, "bump-spacer = 1\noil += 2\n", "bump-spacer = 1\noil        += 2\n");
  lays_out(bench, "let a = 1\nlet bcd = 2\n", "let a   = 1\nlet bcd = 2\n");
  lays_out(bench, "30 wt=350 cSt\n5wt = 1 cSt\n", "30 wt = 350 cSt\n5 wt  = 1 cSt\n");
  lays_out(bench, "\"\u00d6l\" = 1\n\"abc\" = 2\n", "\"\u00d6l\"  = 1\n\"abc\" = 2\n");
  // Lists of several lines take part; a key that is wider than others are does not.
  lays_out(bench, "a = [1,\n2]\nbcd = 3\n", "a   = [1,\n       2]\nbcd = 3\n");
  lays_out(bench, "\"a key that is wider than most others\" = 1\nb = 2\nccc = 3\n",
           "\"a key that is wider than most others\" = 1\nb   = 2\nccc = 3\n");
}

static void second_texts(struct pl_bench *bench) {
  lays_out(bench, "a = \"Mass\" \"mass\"\nbc = \"Damping\" \"damping\"\nd = \"Camber\"\n",
           "a  = \"Mass\"    \"mass\"\nbc = \"Damping\" \"damping\"\nd  = \"Camber\"\n");
}

static void trailing_comments(struct pl_bench *bench) {
  lays_out(bench, "a = 1 # one\nbcd = 22 #two\n",
           "a   = 1                          # one\nbcd = 22                         #two\n");
  lays_out(bench, "a = \"a text that reaches far beyond\" # one\nb = 2 # two\n",
           "a = \"a text that reaches far beyond\"  # one\n"
           "b = 2                                 # two\n");
  // Where the line would be too long they stand further left.
  lays_out(
      bench,
      "a = 1 # a comment of a length that leaves no room for blanks in front of it, or only a "
      "few\n",
      "a = 1  # a comment of a length that leaves no room for blanks in front of it, or only "
      "a few\n");
  lays_out(bench, "front { # one\n} # two\n", "front {  # one\n}  # two\n");
  lays_out(bench, "front{a=1} # one\nrear{a=1}\n",
           "front { a = 1 }                  # one\nrear  { a = 1 }\n");
}

// ---------------------------------------------------------------- blocks on one line

static void short_blocks(struct pl_bench *bench) {
  lays_out(bench, "front{a=1;b=2;}\n", "front { a = 1; b = 2 }\n");
  lays_out(bench, "front{rear{a=1}b=2;}\n", "front { rear { a = 1 }; b = 2 }\n");
  lays_out(bench, "notes{}\nchanges{\n}\n", "notes { }\nchanges { }\n");
  lays_out(bench, "front{a=1;b=2\n}\n", "front {\n  a = 1\n  b = 2\n}\n");
  lays_out(bench, "a=1;b=2 ; ccc = 3\n", "a   = 1\nb   = 2\nccc = 3\n");
}

static void long_blocks(struct pl_bench *bench) {
  lays_out(
      bench,
      "front { spring = \"tenth short 0.46\"; oil = \"clear 300\"; tyre = \"spikes, soft\"; "
      "camber = -1 deg; a = 1 }\n",
      "front {\n"
      "  spring = \"tenth short 0.46\"\n"
      "  oil    = \"clear 300\"\n"
      "  tyre   = \"spikes, soft\"\n"
      "  camber = -1 deg\n"
      "  a      = 1\n"
      "}\n");
  // 100 columns fit, 101 do not.
  const char *const fits =
      "f { a = \"123456789012345678901234567890123456789012345678901234567890123"
      "4567890123456789012345678\" }\n";
  assert_int_equal(strlen(fits), 101);
  lays_out(bench, fits, fits);
  const char *const longer = pl_format(bench->arena, "f%s", fits);
  assert_string_equal(pl_laid_out(bench, longer, strlen(longer), PL_TIDY_KEEPS_ORDER),
                      pl_format(bench->arena, "ff {\n  %.*s\n}\n", 94, fits + 4));
}

/// What shares a line with a comment stays together: it may speak of all of it.
static void joined_lines(struct pl_bench *bench) {
  lays_out(bench, "pinion=22;spur=81 # both\nmotor = 3\n",
           "pinion = 22; spur = 81  # both\nmotor = 3\n");
  lays_out(bench, "front { a=1 } rear { a = 1 } # both\n",
           "front { a = 1 }; rear { a = 1 }  # both\n");
  lays_out(bench, "front { a=1; b=2 # both\nc=3 }\n",
           "front {\n  a = 1; b = 2  # both\n  c = 3\n}\n");
}

static void tables(struct pl_bench *bench) {
  lays_out(bench,
           "oil \"a\" { viscosity = 1 cSt }\noil \"bcd\" from \"a\" { viscosity = 1 cSt }\n"
           "oil \"efgh\" from \"bcd\" { viscosity = 1 cSt }\n",
           "oil \"a\" { viscosity = 1 cSt }\n"
           "oil \"bcd\"  from \"a\"   { viscosity = 1 cSt }\n"
           "oil \"efgh\" from \"bcd\" { viscosity = 1 cSt }\n");
  lays_out(bench,
           "entry 2 { driver = \"Avens\"; class = \"a\"; group = \"A\" }\n"
           "entry 17 { driver = \"Pip Tidewrack\"; class = \"abc\"; transponder = 3 } # fast\n"
           "entry 3 { driver = \"Teal\" }\n",
           "entry 2  { driver = \"Avens\";         class = \"a\"; group = \"A\" }\n"
           "entry 17 { driver = \"Pip Tidewrack\"; class = \"abc\"; transponder = 3 }  # fast\n"
           "entry 3  { driver = \"Teal\" }\n");
  lays_out(bench, "rule \"A\" { a = 1 }\noil \"bcd\" { a = 1 }\n\noil \"efghi\" { a = 1 }\n",
           "rule \"A\" { a = 1 }\noil \"bcd\" { a = 1 }\n\noil \"efghi\" { a = 1 }\n");
}

/// Three rows or more may be longer than other lines; two may not.
static void wide_tables(struct pl_bench *bench) {
  static const char row[] = "entry 1 { driver = \"Avens Whimbrel\"; class = \"2wd buggy\"; "
                            "group = \"A\"; setup = \"entries/02/smooth-morning.leaf\" }\n";
  const char *const three = pl_format(bench->arena, "%s%s%s", row, row, row);
  lays_out(bench, three, three);
  const char *const two = pl_format(bench->arena, "%s%s", row, row);
  const char *const got = pl_laid_out(bench, two, strlen(two), PL_TIDY_KEEPS_ORDER);
  assert_non_null(strstr(got, "entry 1 {\n  driver = \"Avens Whimbrel\"\n"));
}

// ---------------------------------------------------------------- brackets

static void lists_over_lines(struct pl_bench *bench) {
  lays_out(bench, "show = [a,b,\nc,\nd]\n", "show = [a, b,\n        c,\n        d]\n");
  lays_out(bench, "show = [\na,b,\n c\n]\n", "show = [\n  a, b,\n  c\n]\n");
  lays_out(bench, "front {\nshow = [\na, (\n1,2\n)\n]\n}\n",
           "front {\n  show = [\n    a, (\n      1, 2\n    )\n  ]\n}\n");
  lays_out(bench, "a = (1 +\n2)\n", "a = (1 +\n     2)\n");
  lays_out(bench, "rule \"A\" when (a and\nb) { c = 1 }\n",
           "rule \"A\" when (a and\n               b) {\n  c = 1\n}\n");
}

static void comments_in_lists(struct pl_bench *bench) {
  lays_out(bench, "show = [ # what\na, # one\n# own\n\n b # last\n# end\n ] # list\n",
           "show = [                         # what\n"
           "  a,                             # one\n"
           "  # own\n"
           "\n"
           "  b                              # last\n"
           "  # end\n"
           "]                                # list\n");
}

static void long_lists(struct pl_bench *bench) {
  lays_out(
      bench,
      "heading = [driver, entry, transponder, class, car, track-name, event, date, surface, "
      "grip, air, ground]\n",
      "heading = [driver, entry, transponder, class, car, track-name, event, date, surface, "
      "grip, air,\n"
      "           ground]\n");
  // A line within brackets must not begin like a property.
  lays_out(
      bench,
      "a = [\"a long text that takes up the line on which it stands, nearly all of it\", 2, "
      "name \"a text behind a name\"]\n",
      "a = [\"a long text that takes up the line on which it stands, nearly all of it\", 2, "
      "name \"a text behind a name\"]\n");
}

static void measured_rows(struct pl_bench *bench) {
  lays_out(bench, "table = [0 mm 0 N,\n5 mm 2.9N,\n10mm 13.9 N]\n",
           "table = [ 0 mm    0 N,\n          5 mm  2.9 N,\n         10 mm 13.9 N]\n");
  lays_out(bench, "table = [\n-5 mm 2 N, # a\n10mm 13.9 N, # b\n]\n",
           "table = [\n"
           "  -5 mm    2 N,                  # a\n"
           "  10 mm 13.9 N,                  # b\n"
           "]\n");
  // Rows that are none: one is longer than the first, one is longer than any table.
  lays_out(bench, "a = [0 mm 0 N,\n5 mm 2 N 3 N,\n10 mm 6 N]\n",
           "a = [0 mm 0 N,\n     5 mm 2 N 3 N,\n     10 mm 6 N]\n");
  lays_out(bench, "a = [1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17,\n10 6]\n",
           "a = [1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17,\n     10 6]\n");
  lays_out(bench, "a = [1 mm 2 N, 10 mm 3 N,\n4 mm 5 N]\n",
           "a = [1 mm 2 N, 10 mm 3 N,\n     4 mm 5 N]\n");
}

// ---------------------------------------------------------------- order of scopes

static void orders(struct pl_bench *bench, const char *text, const char *expected) {
  check(bench, text, PL_TIDY_ORDERS_SCOPES, expected);
}

static void stays(struct pl_bench *bench, const char *text) {
  orders(bench, text, text);
}

static void scopes_in_order(struct pl_bench *bench) {
  orders(bench,
         "setup \"A\" {\n  rear-left { a = 1 }  # c\n  rear { a = 1 }\n  all {\n    # of all\n"
         "    a = 1\n  }\n  front { a = 1 }\n}\n",
         "setup \"A\" {\n  all {\n    # of all\n    a = 1\n  }\n  front     { a = 1 }\n"
         "  rear      { a = 1 }\n  rear-left { a = 1 }            # c\n}\n");
  orders(bench, "car \"A\" {\n  rear {\n    a = 1\n  }\n\n  front {\n    a = 1\n  }\n}\n",
         "car \"A\" {\n  front {\n    a = 1\n  }\n\n  rear {\n    a = 1\n  }\n}\n");
}

static void scopes_that_stay(struct pl_bench *bench) {
  stays(bench, "setup \"A\" {\n  rear { a = 1 }\n  b = 2\n  front { a = 1 }\n}\n");
  stays(bench, "setup \"A\" {\n  rear { a = 1 }\n  # of the front\n  front { a = 1 }\n}\n");
  stays(bench, "setup \"A\" {\n  # of the rear\n  rear  { a = 1 }\n  front { a = 1 }\n}\n");
  stays(bench, "setup \"A\" {\n  rear  { a = 1 }\n  front { a = 1 }\n  # of the front\n}\n");
  stays(bench, "setup \"A\" {\n  rear  { a = 1 }\n  front { a = 1 }\n\n  all { a = 1 }\n}\n");
  stays(bench, "setup \"A\" {\n  rear { a = 1 }; front { a = 1 }  # both\n}\n");
  stays(bench, "setup \"A\" { rear { a = 1 }; front { a = 1 } }\n");
  stays(bench, "template \"A\" {\n  rear  { a = 1 }\n  front { a = 1 }\n}\n");
  // What shares a line now and gets one of its own is put in order at once.
  orders(bench, "setup \"A\" {\n  rear { a = 1 }\n  front { a = 1 } b = 2\n}\n",
         "setup \"A\" {\n  front { a = 1 }\n  rear  { a = 1 }\n  b = 2\n}\n");
  orders(bench, "setup \"A\" {\n  b = 2; rear { a = 1 } front { a = 1 }\n}\n",
         "setup \"A\" {\n  b = 2\n  front { a = 1 }\n  rear  { a = 1 }\n}\n");
  // Of two with one name the first stays the first: a mistake is told at the second.
  orders(bench, "setup \"A\" {\n  rear  { a = 1 }\n  front { a = 1 }\n  rear  { b = 2 }\n}\n",
         "setup \"A\" {\n  front { a = 1 }\n  rear  { a = 1 }\n  rear  { b = 2 }\n}\n");
}

// ---------------------------------------------------------------- comparison

static bool is_same(struct pl_bench *bench, const char *one, const char *other,
                    enum pl_tidy_order order) {
  const struct pl_tree *trees[2];
  const char *const texts[] = {one, other};
  for (size_t i = 0; i < 2; i++) {
    const struct pl_source *const source = pl_source_of_bytes(
        bench->arena, "test.leaf", (const unsigned char *)texts[i], strlen(texts[i]));
    trees[i] = pl_parse(bench->arena, pl_session_names(bench->session),
                        pl_diagnostics_new(bench->arena), source);
  }
  return pl_tree_same(trees[0], trees[1], order);
}

static void differences_are_seen(struct pl_bench *bench) {
  static const char *const pairs[][2] = {
      {"a = 1\n", "a = 2\n"},
      {"a = 1\n", "b = 1\n"},
      {"a = 1\n", "a += 1\n"},
      {"a = 1 mm\n", "a = 1 cm\n"},
      {"a = 1 mm\n", "a = 1\n"},
      {"a = 1 K\n", "a = 1 degC\n"},
      {"a = 1 wt\n", "a = 1\n"},
      {"a = b + c\n", "a = b - c\n"},
      {"a = b - c\n", "a = c - b\n"},
      {"a = (b)\n", "a = b\n"},
      {"a = [1, 2]\n", "a = [1]\n"},
      {"a = [1]\n", "a = [1, 2]\n"},
      {"a = \"b\"\n", "a = b\n"},
      {"a = 1\n", "a = 1\nb = 2\n"},
      {"a = 1\nb = 2\n", "b = 2\na = 1\n"},
      {"front { a = 1 }\n", "rear { a = 1 }\n"},
      {"oil \"a\" { }\n", "oil \"b\" { }\n"},
      {"oil \"a\" from \"b\" { }\n", "oil \"a\" from \"c\" { }\n"},
      {"oil \"a\" from \"b\" { }\n", "oil \"a\" { }\n"},
      {"rule \"a\" when b { }\n", "rule \"a\" when c { }\n"},
      {"front { a = 1 }\n", "front { }\na = 1\n"},
      {"include \"a\"\n", "include \"b\"\n"},
      {"let a = 1\n", "a = 1\n"},
      {"# a\n", "# b\n"},
      {"# a\n", ""},
      {"# a\n# b\n", "# b\n# a\n"},
      {"a = 2 x 1 mm one-way rebound\n", "a = 2 x 1 mm one-way compression\n"},
      {"setup \"A\" { rear { a = 1 }; front { } }\n",
       "setup \"A\" { front { }; rear { a = 1 } }\n"}};
  for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
    assert_true(is_same(bench, pairs[i][0], pairs[i][0], PL_TIDY_KEEPS_ORDER));
    if (is_same(bench, pairs[i][0], pairs[i][1], PL_TIDY_KEEPS_ORDER))
      fail_msg("`%s` is no `%s`", pairs[i][0], pairs[i][1]);
  }
  assert_true(is_same(bench, "a=1;b=2 # c\t\r\n", "a = 1\nb = 2  # c\n", PL_TIDY_KEEPS_ORDER));
}

static void moved_scopes_are_seen(struct pl_bench *bench) {
  const char *const text = "setup \"A\" { b = 1; rear { a = 1 }; front { a = 2 } } # c\n# d\n";
  static const char *const same[] = {
      "setup \"A\" { b = 1; front { a = 2 }; rear { a = 1 } } # c\n# d\n",
      "setup \"A\" { b = 1; front { a = 2 }; rear { a = 1 } } # d\n# c\n"};
  static const char *const others[] = {
      "setup \"A\" { b = 1; front { a = 1 }; rear { a = 2 } } # c\n# d\n",
      "setup \"A\" { front { a = 2 }; b = 1; rear { a = 1 } } # c\n# d\n",
      "setup \"A\" { b = 1; front { a = 2 } } # c\n# d\n",
      "setup \"A\" { b = 1; front { a = 2 }; rear { a = 1 }; rear { a = 1 } } # c\n# d\n",
      "setup \"A\" { b = 1; front { a = 2 }; left { a = 1 } } # c\n# d\n",
      "setup \"A\" { b = 1; front { a = 2 }; rear { a = 1 } } # c\n# c\n",
      "setup \"A\" { b = 1; front { a = 2 }; rear { a = 1 } } # c\n"};
  for (size_t i = 0; i < 2; i++)
    assert_true(is_same(bench, text, same[i], PL_TIDY_ORDERS_SCOPES));
  for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
    if (is_same(bench, text, others[i], PL_TIDY_ORDERS_SCOPES))
      fail_msg("`%s` is no `%s`", text, others[i]);
  }
  // Only in a car and a setup.
  assert_false(is_same(bench, "rules \"A\" { rear { }; front { } }\n",
                       "rules \"A\" { front { }; rear { } }\n", PL_TIDY_ORDERS_SCOPES));
}

int main(void) {
  const struct CMUnitTest tests[] = {PL_BENCH_TEST(indents),
                                     PL_BENCH_TEST(line_ends),
                                     PL_BENCH_TEST(empty_lines),
                                     PL_BENCH_TEST(blocks_are_parted),
                                     PL_BENCH_TEST(blanks),
                                     PL_BENCH_TEST(words_and_signs),
                                     PL_BENCH_TEST(equals_signs),
                                     PL_BENCH_TEST(second_texts),
                                     PL_BENCH_TEST(trailing_comments),
                                     PL_BENCH_TEST(short_blocks),
                                     PL_BENCH_TEST(long_blocks),
                                     PL_BENCH_TEST(joined_lines),
                                     PL_BENCH_TEST(tables),
                                     PL_BENCH_TEST(wide_tables),
                                     PL_BENCH_TEST(lists_over_lines),
                                     PL_BENCH_TEST(comments_in_lists),
                                     PL_BENCH_TEST(long_lists),
                                     PL_BENCH_TEST(measured_rows),
                                     PL_BENCH_TEST(scopes_in_order),
                                     PL_BENCH_TEST(scopes_that_stay),
                                     PL_BENCH_TEST(differences_are_seen),
                                     PL_BENCH_TEST(moved_scopes_are_seen)};
  return cmocka_run_group_tests_name("layout", tests, NULL, NULL);
}
