// SPDX-License-Identifier: GPL-3.0-or-later
// Tests names in an editor: where each kind is declared and used, and what it is renamed to, in
// all files; what is refused; and what is told of the word under the cursor.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "client.h"

#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char *text_of(const json_t *object, const char *key) {
  const char *const text = json_string_value(json_object_get(object, key));
  return text == NULL ? "" : text;
}

// ---------------------------------------------------------------- a workspace with every name

static const char library[] = "oil \"clear 300\" { viscosity = 300 cSt }\n"
                              "oil \"dark \\\"é😀\\\"\" from \"clear 300\" { }\n"
                              "oil-scale \"ours\" { 30 wt = 300 cSt }\n"
                              "spring \"soft\" { rate = 0.4 N/mm }\n"
                              "piston \"three\" { ports = 3 x 1.2 mm }\n"
                              "damper \"small\" { bore = 12 mm }\n"
                              "let grams = 300 g\n";
static const char car[] = "include \"library.leaf\"\n"
                          "car \"Heron\" { front { corner-mass = grams } }\n"
                          "setup \"Base\" {\n"
                          "  car = \"Heron\"; damper = \"small\"; oil-scale = \"ours\"\n"
                          "  oil = \"clear 300\"; spring = \"soft\"; piston = \"three\"\n"
                          "}\n";
static const char wet[] =
    "include \"car.leaf\"\n"
    "setup \"Wet 😀\" from \"Base\" {\n"
    "  rear { oil = blend(\"clear 300\" 50 %, \"dark \\\"é😀\\\"\" 50 %); corner-mass = grams * 2 }\n"
    "}\n";
static const char rules[] =
    "rules \"Club\" { rule \"Bore\" { require = damper.bore <= 13 mm } }\n"
    "rules \"Cup\" from \"Club\" { }\n"
    "template \"page\" from \"race sheet\" { language = \"words\" }\n"
    "template \"words\" { language = \"words\" }\n";
static const char day[] = "include \"rules.leaf\"\n"
                          "meeting \"Round 3\" {\n"
                          "  rules = \"Cup\"; template = \"page\"\n"
                          "  entry 7 { driver = \"A\"; setup = \"wet.leaf\" \"Wet 😀\" }\n"
                          "}\n";

static struct pl_client *workspace(struct pl_bench *bench, bool all_open) {
  static const struct {
    const char *name;
    const char *text;
  } files[] = {{"library.leaf", library},
               {"car.leaf", car},
               {"wet.leaf", wet},
               {"rules.leaf", rules},
               {"day.leaf", day}};
  struct pl_client *const client = pl_client_start(bench);
  for (size_t i = 0; i < 5; i++) {
    pl_test_write_text(files[i].name, files[i].text);
    if (all_open) pl_client_open(client, files[i].name, files[i].text);
  }
  return client;
}

/// What names in it: a place that uses a name, where that is declared, and how often it stands.
static const struct {
  const char *kind;
  const char *file;
  const char *mark; ///< the place begins with it
  size_t after;     ///< so many bytes on
  const char *declared_in;
  const char *declared; ///< "" for a whole file
  size_t mentions;      ///< with the declaration
} names[] = {
    {"oil", "wet.leaf", "\"clear 300\"", 3, "library.leaf", "\"clear 300\"", 4},
    {"odd oil", "wet.leaf", "\"dark ", 9, "library.leaf", "\"dark \\\"é😀\\\"\"", 2},
    {"oil's base", "library.leaf", "\"clear 300\" { }", 3, "library.leaf", "\"clear 300\"", 4},
    {"oil-scale", "car.leaf", "\"ours\"", 1, "library.leaf", "\"ours\"", 2},
    {"spring", "car.leaf", "\"soft\"", 2, "library.leaf", "\"soft\"", 2},
    {"piston", "car.leaf", "\"three\"", 7, "library.leaf", "\"three\"", 2},
    {"damper", "car.leaf", "\"small\"", 3, "library.leaf", "\"small\"", 2},
    {"car", "car.leaf", "\"Heron\"; damper", 3, "car.leaf", "\"Heron\"", 2},
    {"base", "wet.leaf", "\"Base\"", 3, "car.leaf", "\"Base\"", 2},
    {"setup in another file", "day.leaf", "\"Wet 😀\"", 3, "wet.leaf", "\"Wet 😀\"", 2},
    {"constant", "wet.leaf", "grams", 2, "library.leaf", "grams", 3},
    {"rules", "day.leaf", "\"Cup\"", 2, "rules.leaf", "\"Cup\"", 2},
    {"rules' base", "rules.leaf", "\"Club\" { }", 2, "rules.leaf", "\"Club\"", 2},
    {"template", "day.leaf", "\"page\"", 2, "rules.leaf", "\"page\"", 2},
    {"language", "rules.leaf", "\"words\"", 2, "rules.leaf", "\"words\"", 3},
    {"meeting", "day.leaf", "\"Round 3\"", 2, "day.leaf", "\"Round 3\"", 1},
    {"include", "wet.leaf", "\"car.leaf\"", 2, "car.leaf", "", 1},
    {"entry's file", "day.leaf", "\"wet.leaf\"", 2, "wet.leaf", "", 1},
};
#define NAME_COUNT (sizeof names / sizeof names[0])

static void definition(struct pl_bench *bench) {
  struct pl_client *const client = workspace(bench, true);
  for (size_t i = 0; i < NAME_COUNT; i++) {
    const json_t *const place =
        pl_client_ask(client, "textDocument/definition",
                      pl_client_at(client, names[i].file, names[i].mark, names[i].after));
    if (!json_is_object(place)) fail_msg("%s: no definition", names[i].kind);
    assert_string_equal(text_of(place, "uri"), pl_client_uri(client, names[i].declared_in));
    assert_string_equal(pl_text_in(client, pl_client_text(client, names[i].declared_in),
                                   json_object_get(place, "range")),
                        names[i].declared);
  }
  pl_client_end(client);
}

static json_t *with_declaration(json_t *params, bool included) {
  json_object_set_new(params, "context", json_pack("{s:b}", "includeDeclaration", included));
  return params;
}

static void references(struct pl_bench *bench) {
  struct pl_client *const client = workspace(bench, true);
  for (size_t i = 0; i < NAME_COUNT; i++) {
    for (int included = 0; included < 2; included++) {
      json_t *const params = with_declaration(
          pl_client_at(client, names[i].file, names[i].mark, names[i].after), included == 1);
      const json_t *const places = pl_client_ask(client, "textDocument/references", params);
      // A file's beginning is no place that mentions it.
      const bool is_file = names[i].declared[0] == '\0';
      const size_t wanted = names[i].mentions - (included == 1 || is_file ? 0 : 1);
      if (json_array_size(places) != wanted)
        fail_msg("%s: %zu references, not %zu", names[i].kind, json_array_size(places), wanted);
    }
  }
  pl_client_end(client);
}

/// What every file's problems are, in a text.
static const char *all_codes(struct pl_client *client) {
  struct pl_buffer out = {.arena = client->bench->own};
  for (size_t i = 0; i < client->file_count; i++)
    pl_buffer_format(&out, "%s: %s\n", client->files[i].name,
                     pl_codes(client, pl_client_problems(client, client->files[i].name)));
  return pl_buffer_string(&out);
}

/// Every name is changed to another and back: no new problem comes of it, the old name stands
/// nowhere, and in the end every file reads as it did.
static void renaming(struct pl_bench *bench) {
  struct pl_client *const client = workspace(bench, true);
  const char *const before = all_codes(client);
  for (size_t i = 0; i < NAME_COUNT; i++) {
    if (names[i].declared[0] == '\0') continue;
    const bool is_let = names[i].declared[0] != '"';
    json_t *params = pl_client_at(client, names[i].file, names[i].mark, names[i].after);
    const json_t *const prepared =
        pl_client_ask(client, "textDocument/prepareRename", json_incref(params));
    const char *const old = text_of(prepared, "placeholder");
    assert_true(old[0] != '\0');
    const char *const name = is_let ? "other-mass" : "Ein \"neuer\" \\ 漢😀";
    json_t *const there = json_incref(params);
    json_object_set_new(params, "newName", json_string(name));
    pl_client_apply(client, pl_client_ask(client, "textDocument/rename", params));
    assert_string_equal(all_codes(client), before);
    size_t found = 0;
    for (size_t j = 0; j < client->file_count; j++) {
      const char *const written = is_let ? name : "\"Ein \\\"neuer\\\" \\\\ 漢😀\"";
      const char *at = client->files[j].text;
      while ((at = strstr(at, written)) != NULL) {
        found++;
        at++;
      }
      if (strstr(client->files[j].text, names[i].declared) != NULL)
        fail_msg("%s: %s still has the old name", names[i].kind, client->files[j].name);
    }
    assert_int_equal(found, names[i].mentions);
    json_object_set_new(there, "newName", json_string(old));
    pl_client_apply(client, pl_client_ask(client, "textDocument/rename", there));
  }
  assert_string_equal(pl_client_text(client, "library.leaf"), library);
  assert_string_equal(pl_client_text(client, "car.leaf"), car);
  assert_string_equal(pl_client_text(client, "wet.leaf"), wet);
  assert_string_equal(pl_client_text(client, "rules.leaf"), rules);
  assert_string_equal(pl_client_text(client, "day.leaf"), day);
  pl_client_end(client);
}

/// Files that are not open are changed, too; names that another file declares are not.
static void files_that_are_closed(struct pl_bench *bench) {
  struct pl_client *const client = workspace(bench, false);
  pl_test_write_text("stranger.leaf", "oil \"clear 300\" { viscosity = 3 cSt }\n"
                                      "setup \"s\" { oil = \"clear 300\" }\n");
  pl_client_open(client, "wet.leaf", wet);
  json_t *const params = pl_client_at(client, "wet.leaf", "\"clear 300\"", 3);
  json_object_set_new(params, "newName", json_string("light"));
  const json_t *const changes =
      json_object_get(pl_client_ask(client, "textDocument/rename", params), "changes");
  assert_int_equal(json_object_size(changes), 3);
  const json_t *const there = json_object_get(changes, pl_client_uri(client, "library.leaf"));
  assert_int_equal(json_array_size(there), 2);
  const char *const edited = pl_edited(client, library, there);
  assert_non_null(strstr(edited, "oil \"light\" {"));
  assert_non_null(strstr(edited, "from \"light\" {"));
  assert_null(json_object_get(changes, pl_client_uri(client, "stranger.leaf")));
  pl_client_end(client);
}

// ---------------------------------------------------------------- refusals

static void refused(struct pl_client *client, const char *file, const char *mark, size_t after,
                    const char *name, const char *sentence) {
  json_t *const params = pl_client_at(client, file, mark, after);
  json_object_set_new(params, "newName", json_string(name));
  const char *message = NULL;
  // "Request failed" of the protocol.
  const json_int_t code = pl_client_refusal(client, "textDocument/rename", params, &message);
  assert_int_equal(code, -32803);
  if (strstr(message, sentence) == NULL) fail_msg("`%s` was refused with: %s", name, message);
}

static void names_that_are_none(struct pl_bench *bench) {
  struct pl_client *const client = workspace(bench, true);
  static const char *const bad_texts[] = {"", "a\nb", "a\tb", "a\rb", "a\x01"};
  for (size_t i = 0; i < sizeof bad_texts / sizeof bad_texts[0]; i++)
    refused(client, "wet.leaf", "\"clear 300\"", 3, bad_texts[i], "name is a text");
  static const char *const bad_words[] = {"", "Grams", "two words", "3g", "\"grams\"",
                                          "a = 1 let b", "漢", "-", "and", "let",
                                          // A key's own value would be meant in a setup.
                                          "preload", "corner-mass"};
  for (size_t i = 0; i < sizeof bad_words / sizeof bad_words[0]; i++)
    refused(client, "wet.leaf", "grams", 2, bad_words[i], "");
  refused(client, "wet.leaf", "\"car.leaf\"", 2, "other.leaf", "no name here");
  refused(client, "wet.leaf", "rear", 2, "front", "no name here");
  refused(client, "wet.leaf", "50 %", 1, "60", "no name here");
  pl_client_end(client);
}

static void names_that_are_taken(struct pl_bench *bench) {
  struct pl_client *const client = workspace(bench, true);
  refused(client, "wet.leaf", "\"clear 300\"", 3, "dark \"é😀\"", "already");
  // A spring may be called like an oil.
  json_t *const params = pl_client_at(client, "wet.leaf", "\"clear 300\"", 3);
  json_object_set_new(params, "newName", json_string("soft"));
  const json_t *const result = pl_client_ask(client, "textDocument/rename", params);
  assert_true(json_object_size(json_object_get(result, "changes")) == 3);
  // Also where only a file that includes both has it.
  pl_client_write_open(client, "more.leaf", "oil \"heavy\" { viscosity = 900 cSt }\n");
  pl_client_write_open(client, "both.leaf",
                       "include \"library.leaf\"\ninclude \"more.leaf\"\n");
  refused(client, "wet.leaf", "\"clear 300\"", 3, "heavy", "both.leaf");
  pl_client_end(client);
}

/// Built-in templates, names that no file declares, files that may not be written.
static void names_that_stay(struct pl_bench *bench) {
  struct pl_client *const client = workspace(bench, true);
  const char *message = NULL;
  json_t *const params = pl_client_at(client, "rules.leaf", "\"race sheet\"", 3);
  (void)pl_client_refusal(client, "textDocument/prepareRename", params, &message);
  refused(client, "rules.leaf", "\"race sheet\"", 3, "mine", "");
  pl_client_edit(client, "wet.leaf", 0, strlen("include \"car.leaf\"\n"), "");
  refused(client, "wet.leaf", "\"clear 300\"", 3, "mine", "");
  pl_client_end(client);
}

/// A file may declare a template that is called like one of the program's: who does not take
/// that file in means the program's, and so does the template itself where it starts from it.
static void template_like_a_built_in(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_write_open(client, "own.leaf", "template \"curves\" from \"curves\" { }\n");
  pl_client_write_open(client, "user.leaf",
                       "include \"own.leaf\"\ntemplate \"mine\" from \"curves\" { }\n");
  pl_client_write_open(client, "other.leaf", "template \"mine\" from \"curves\" { }\n");
  json_t *const params = pl_client_at(client, "own.leaf", "\"curves\"", 1);
  json_object_set_new(params, "newName", json_string("ours"));
  pl_client_apply(client, pl_client_ask(client, "textDocument/rename", params));
  assert_string_equal(pl_client_text(client, "own.leaf"),
                      "template \"ours\" from \"curves\" { }\n");
  assert_non_null(strstr(pl_client_text(client, "user.leaf"), "from \"ours\""));
  assert_non_null(strstr(pl_client_text(client, "other.leaf"), "from \"curves\""));
  const json_t *const places = pl_client_ask(
      client, "textDocument/references",
      with_declaration(pl_client_at(client, "other.leaf", "\"curves\"", 1), true));
  assert_int_equal(json_array_size(places), 2); // and what own.leaf starts from
  pl_client_end(client);
}

static void library_that_is_read_only(struct pl_bench *bench) {
  struct pl_client *const client = workspace(bench, false);
  pl_client_open(client, "wet.leaf", wet);
  assert_int_equal(chmod("library.leaf", 0444), 0);
  refused(client, "wet.leaf", "\"clear 300\"", 3, "light", "library.leaf");
  json_t *const params = pl_client_at(client, "wet.leaf", "\"Base\"", 3);
  json_object_set_new(params, "newName", json_string("Dry"));
  (void)pl_client_ask(client, "textDocument/rename", params); // it is not in there
  pl_client_end(client);
}

/// What is already called so changes nothing.
static void the_same_name_again(struct pl_bench *bench) {
  struct pl_client *const client = workspace(bench, true);
  json_t *const params = pl_client_at(client, "wet.leaf", "\"Base\"", 3);
  json_object_set_new(params, "newName", json_string("Base"));
  const json_t *const answer = pl_client_ask(client, "textDocument/rename", params);
  assert_int_equal(json_object_size(json_object_get(answer, "changes")), 0);
  pl_client_end(client);
}

/// Names of what is nowhere lead nowhere.
static void names_that_lead_nowhere(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_test_write_text("other.leaf", "setup \"there\" { }\n");
  pl_client_open(client, "a.leaf",
                 "include \"absent.leaf\"\n"
                 "setup \"s\" { all { preload = none-such; oil = \"none\" } }\n"
                 "meeting \"m\" {\n"
                 "  entry 1 { setup = \"absent.leaf\" \"x\" }\n"
                 "  entry 2 { setup = \"other.leaf\" \"elsewhere\" }\n"
                 "}\n"
                 "setup \"t\" { let inside = 3 mm\n preload = inside }\n");
  static const char *const marks[] = {"inside = 3", "inside }",     "\"absent.leaf\"\nsetup",
                                      "none-such",  "\"none\"",     "\"absent.leaf\" \"x\"",
                                      "\"x\"",      "\"elsewhere\""};
  for (size_t i = 0; i < sizeof marks / sizeof marks[0]; i++) {
    const json_t *const answer = pl_client_ask(client, "textDocument/definition",
                                               pl_client_at(client, "a.leaf", marks[i], 2));
    if (json_typeof(answer) != JSON_NULL && json_array_size(answer) != 0)
      fail_msg("`%s` leads somewhere", marks[i]);
  }
  pl_client_end(client);
}

// ---------------------------------------------------------------- meanings

/// Texts that hovering tells, parted by `|`; "" for nothing at all.
static const struct {
  const char *file;
  const char *mark;
  size_t after;
  const char *told;
} meanings[] = {
    {"wet.leaf", "corner-mass", 3,
     "corner-mass|front: `300 g`|car.leaf:2|rear: `600 g`|wet.leaf:3"},
    {"wet.leaf", "\"clear 300\"", 3, "oil|clear 300|300 cSt"},
    {"wet.leaf", "grams", 1, "grams|300 g"},
    {"wet.leaf", "\"Base\"", 2, "setup|Base|Ride frequency"},
    {"wet.leaf", "\"car.leaf\"", 2, "car.leaf"},
    {"library.leaf", "viscosity", 2, "viscosity|300 cSt"},
    {"library.leaf", "N/mm", 1, "N/mm"},
    {"library.leaf", "cSt", 1, "cSt"},
    {"rules.leaf", "bore", 1, "bore"},
    {"day.leaf", "\"Cup\"", 1, "rules|Cup|Club"},
    {"day.leaf", "\"Wet 😀\"", 3, "setup|Wet 😀"},
    {"wet.leaf", "}", 0, ""},
    {"day.leaf", "\n}", 2, ""},
};

static void hovering(struct pl_bench *bench) {
  struct pl_client *const client = workspace(bench, true);
  for (size_t i = 0; i < sizeof meanings / sizeof meanings[0]; i++) {
    const json_t *const hover = pl_client_ask(
        client, "textDocument/hover",
        pl_client_at(client, meanings[i].file, meanings[i].mark, meanings[i].after));
    if (meanings[i].told[0] == '\0') {
      assert_int_equal(json_typeof(hover), JSON_NULL);
      continue;
    }
    const char *const said = text_of(json_object_get(hover, "contents"), "value");
    for (const char *at = meanings[i].told; *at != '\0';) {
      const size_t length = strcspn(at, "|");
      const char *const part = pl_copy_text(bench->own, at, length);
      if (strstr(said, part) == NULL)
        fail_msg("`%s` of %s lacks `%s`:\n%s", meanings[i].mark, meanings[i].file, part, said);
      at += length + (at[length] == '|' ? 1 : 0);
    }
    // The range holds the place that was asked about.
    const char *const within = pl_text_in(client, pl_client_text(client, meanings[i].file),
                                          json_object_get(hover, "range"));
    assert_true(strncmp(within, meanings[i].mark, strlen(within)) == 0 ||
                strstr(meanings[i].mark, within) != NULL);
  }
  pl_client_end(client);
}

static void meanings_of_words(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "a.leaf",
                 "setup \"s\" { track = \"Sluice\"; rear { track = 170 mm } }\n"
                 "rules \"r\" { rule \"b\" { require = wheel-rate > 1 N/mm } }\n"
                 "meeting \"m\" { track = \"Sluice\" }\n"
                 "box \"b\" { rear { springs = [] } }\n");
  const char *const text = pl_client_text(client, "a.leaf");
  const json_t *hover = pl_client_ask(client, "textDocument/hover",
                                      pl_client_at(client, "a.leaf", "wheel-rate", 2));
  const char *said = text_of(json_object_get(hover, "contents"), "value");
  assert_non_null(strstr(said, "**Wheel rate**"));
  assert_non_null(strstr(said, "“s”"));
  hover =
      pl_client_ask(client, "textDocument/hover", pl_client_at(client, "a.leaf", "springs", 2));
  said = text_of(json_object_get(hover, "contents"), "value");
  assert_non_null(strstr(said, "**Springs** `springs`, names of a `spring` each"));
  // One word for two things.
  static const char *const marks[] = {"track = \"Sluice\"; rear", "track = 170",
                                      "track = \"Sluice\" }"};
  static const char *const told[] = {"**Venue**", "**Track**", "**Venue**"};
  for (size_t i = 0; i < 3; i++) {
    hover = pl_client_ask(client, "textDocument/hover",
                          pl_client_at(client, "a.leaf", marks[i], 2));
    said = text_of(json_object_get(hover, "contents"), "value");
    if (strstr(said, told[i]) == NULL) fail_msg("%s: %s", marks[i], said);
    assert_string_equal(pl_text_in(client, text, json_object_get(hover, "range")), "track");
  }
  pl_client_end(client);
}

/// Hovering over one word of a file, which is told in so many words.
static void meanings_in_many_places(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(
      client, "a.leaf",
      "setup \"s\" {\n"
      "  all { preload = 2 mm; damper = \"none\" }\n"
      "  damper = \"small\"\n"
      "}\n"
      "damper \"small\" { compensation = bladder }\n"
      "setup \"t\" { front-left { ride-height = 20 mm }\n"
      "  front-right { ride-height = 20 mm }\n"
      "  front { camber = -1 deg }; rear-left { camber = -2 deg }; rear-right { camber = -1 deg }\n"
      "}\n");
  pl_client_open(client, "b.leaf",
                 "rules \"r\" { rule \"b\" { require = wheel-rate > 1 N/mm } }\n"
                 "rules \"q\" { rule \"t\" { require = shock-temperature > 1 degC } }\n"
                 "rules \"w\" { rule \"h\" when total-mass > 1 kg { require = mass > 1 kg } }\n"
                 "template \"t\" { list \"x\" { show = [ride-height] } }\n");
  static const char *const cases[][4] = {
      // file, mark, and what is told
      {"a.leaf", "preload", "all corners: `2.00 mm`", ""},
      {"a.leaf", "ride-height", "front-left: `20.0 mm` — a.leaf:6",
       "front-right: `20.0 mm` — a.leaf:7"},
      {"a.leaf", "camber", "front: `-1.0 °` — a.leaf:8", "rear-left: `-2.0 °` — a.leaf:8"},
      {"a.leaf", "compensation", "one of `bladder`, `", "`emulsion`"},
      {"a.leaf", "none\"", "damper “none”", "no file in reach declares it"},
      {"b.leaf", "wheel-rate", "in “s”", "needs `"},
      {"b.leaf", "total-mass", "**Total mass**", "in “s”"},
      {"b.leaf", "shock-temperature", "in “s”", "front-left: 25 °C"},
      {"b.leaf", "ride-height", "**Ride height**", ""},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const json_t *const hover = pl_client_ask(
        client, "textDocument/hover", pl_client_at(client, cases[i][0], cases[i][1], 2));
    const char *const said = text_of(json_object_get(hover, "contents"), "value");
    if (strstr(said, cases[i][2]) == NULL || strstr(said, cases[i][3]) == NULL)
      fail_msg("`%s`: %s", cases[i][1], said);
  }
  pl_client_end(client);
}

/// A figure that lacks nothing and is not there all the same: the piston lets the shaft in
/// alone.
static void figures_that_are_not_known(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "a.leaf",
                 "damper \"d\" { bore = 12 mm; shaft = 3.5 mm }\n"
                 "setup \"s\" { air = 20 degC; all { damper = \"d\"; oil = 300 cSt }\n"
                 "  all { piston = 2 x 1.6 mm one-way compression } }\n"
                 "rules \"r\" { rule \"b\" { require = damping-slow-rebound > 1 N.s/m } }\n");
  const json_t *const hover = pl_client_ask(
      client, "textDocument/hover", pl_client_at(client, "a.leaf", "damping-slow-rebound", 2));
  const char *const said = text_of(json_object_get(hover, "contents"), "value");
  if (strstr(said, "- front-left: not known") == NULL) fail_msg("%s", said);
  pl_client_end(client);
}

// A figure is told with its tolerance, which is the same each time it is asked for.
static void tolerances_of_figures(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "a.leaf",
                 "setup \"s\" { all { spring = 0.62 N/mm +- 0.03 N/mm } }\n"
                 "rules \"r\" { rule \"b\" { require = spring-rate > 1 N/mm } }\n");
  for (int i = 0; i < 3; i++) {
    const json_t *const hover = pl_client_ask(client, "textDocument/hover",
                                              pl_client_at(client, "a.leaf", "spring-rate", 2));
    const char *const said = text_of(json_object_get(hover, "contents"), "value");
    if (strstr(said, "- front-left: 0.620 ± 0.030 N/mm") == NULL) fail_msg("%s", said);
  }
  pl_client_end(client);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_FOLDER_TEST(tolerances_of_figures),
      PL_FOLDER_TEST(figures_that_are_not_known),
      PL_FOLDER_TEST(definition),
      PL_FOLDER_TEST(references),
      PL_FOLDER_TEST(renaming),
      PL_FOLDER_TEST(files_that_are_closed),
      PL_FOLDER_TEST(names_that_are_none),
      PL_FOLDER_TEST(names_that_are_taken),
      PL_FOLDER_TEST(names_that_stay),
      PL_FOLDER_TEST(template_like_a_built_in),
      PL_FOLDER_TEST(library_that_is_read_only),
      PL_FOLDER_TEST(the_same_name_again),
      PL_FOLDER_TEST(names_that_lead_nowhere),
      PL_FOLDER_TEST(hovering),
      PL_FOLDER_TEST(meanings_in_many_places),
      PL_FOLDER_TEST(meanings_of_words),
  };
  return cmocka_run_group_tests_name("names in an editor", tests, NULL, NULL);
}
