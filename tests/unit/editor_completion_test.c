// SPDX-License-Identifier: GPL-3.0-or-later
// Tests completion: what is offered by the place, that nothing is offered which the language
// does not take there, and that what stands in the demo's files would have been offered.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "client.h"

#include "pitleaf/figures.h"
#include "pitleaf/rules.h"
#include "pitleaf/syntax.h"

#include <string.h>
#include <unistd.h>

static const json_t *offer_in(const json_t *items, const char *label) {
  for (size_t i = 0; i < json_array_size(items); i++) {
    const json_t *const item = json_array_get(items, i);
    if (strcmp(json_string_value(json_object_get(item, "label")), label) == 0) return item;
  }
  return NULL;
}

static const json_t *offers_at(struct pl_client *client, const char *name, size_t byte) {
  json_t *const params = pl_client_document(client, name);
  json_object_set_new(params, "position", pl_position_of(pl_client_text(client, name), byte));
  const json_t *const result = pl_client_ask(client, "textDocument/completion", params);
  return json_object_get(result, "items");
}

/// Opens the text without its `|`, which is where the cursor is.
static const json_t *offers_of(struct pl_client *client, const char *text) {
  const char *const cursor = strchr(text, '|');
  assert_non_null(cursor);
  const size_t at = (size_t)(cursor - text);
  pl_client_open(client, "a.leaf",
                 pl_format(client->bench->own, "%.*s%s", (int)at, text, cursor + 1));
  return offers_at(client, "a.leaf", at);
}

/// The text with an offer taken, as an editor does that.
static const char *taken(struct pl_client *client, const json_t *items, const char *label) {
  const json_t *const item = offer_in(items, label);
  if (item == NULL) fail_msg("`%s` is not offered", label);
  json_t *const edits = json_pack("[O]", json_object_get(item, "textEdit"));
  const char *const text = pl_edited(client, pl_client_text(client, "a.leaf"), edits);
  json_decref(edits);
  return text;
}

// ---------------------------------------------------------------- by place

#define OILS "oil \"clear 300\" { viscosity = 300 cSt }\noil \"dark\" { viscosity = 1 Pa.s }\n"

/// Labels are parted by commas; those behind a slash may not be offered.
static const struct {
  const char *name;
  const char *text;
  const char *labels;
} places[] = {
    {"top", "|", "include,let,oil,spring,piston,damper,car,setup,rules,meeting,template/air"},
    {"top, half a word", "let a = 1\nse|", "setup,let"},
    {"behind a block", "setup \"a\" { }\n|\n", "setup/air"},
    {"setup", "setup \"a\" {\n  |\n}\n",
     "air,surface,preload,front,rear-left,all,extra,ballast,ride-height/viscosity,bore,setup"},
    {"setup, a line", "setup \"a\" { air = 3 degC; | }\n", "surface/air"},
    {"box", "box \"b\" { | }",
     "oils,springs,pistons,blends,preload-step,front,rear/keep,preload,entry"},
    {"an axle of a box", "box \"b\" { rear { | } }",
     "springs,pistons/oils,blends,preload-step,front"},
    {"springs of an axle of a box",
     "spring \"soft\" { rate = 1 N/mm }\n" OILS "box \"b\" { rear { springs = [|] } }",
     "soft/clear 300"},
    {"oils of a box", OILS "box \"b\" { oils = [\"clear 300\", | ] }", "clear 300,dark/blend"},
    {"blends of a box", "box \"b\" { blends = | }", "none,halves,quarters/let"},
    {"aim", "aim { | }",
     "keep,rear.damping-ratio-slow,front.ride-frequency,car.total-mass/oils,rear.preload,"
     "rear.first-to-stop,rear.total-mass"},
    {"aim, behind a place", "aim { rear.| }", "ride-frequency,damping-ratio-slow/keep,preload"},
    {"aim, within a place", "aim { rear { | } }", "ride-frequency/keep,rear.ride-frequency"},
    {"what an aim keeps", "aim { keep = [front, | ] }",
     "rear,rear.spring,front.oil/rear.camber"},
    {"a unit in an aim", "aim { rear.ride-frequency = 3 | }", "Hz/let"},
    {"given keys", "setup \"a\" {\n  air = 3 degC\n  |\n  surface = \"clay\"\n}\n",
     "track,date/air,surface"},
    {"a key that is given by its other name", "setup \"a\" { track = \"here\"; | }\n",
     "air/track-name"},
    {"the same in a meeting", "meeting \"a\" { track = \"here\"; | }\n", "date/track-name"},
    {"a key half written stays", "setup \"a\" {\n  ai|r = 3 degC\n}\n", "air"},
    {"a scope", "setup \"a\" { front { preload = 3 mm; | } }\n",
     "camber,extra/preload,air,front,ballast"},
    {"a corner has no key of an axle", "setup \"a\" { rear-left { | } }\n",
     "camber/bar-wire,air"},
    {"an axle has", "setup \"a\" { rear { | } }\n", "camber,bar-wire/air"},
    {"a car", "car \"a\" {\n|\n}\n", "wheelbase,front"},
    {"an oil", "oil \"a\" { | }\n", "viscosity,density/bore,front,extra"},
    {"a damper", "damper \"a\" { | }\n", "bore,seal/seal.friction"},
    {"a seal", "damper \"a\" { seal { | } }\n", "/bore,seal"},
    {"no keys in extra", "setup \"a\" { extra { | } }\n", "/air,camber"},
    {"rules", "rules \"a\" {\n|\n}\n", "rule,edition,applies-to/for,air"},
    {"a rule", "rules \"a\" {\n rule \"b\" { | }\n}\n",
     "for,require,tolerance,measure,because/rule,edition"},
    {"a rule's given keys", "rules \"a\" {\n rule \"b\" { for = car; | }\n}\n", "require/for"},
    {"a rule's scope", "rules \"a\" {\n rule \"b\" { for = | }\n}\n",
     "car,each axle,each corner/camber"},
    {"a rule's condition", "rules \"a\" {\n rule \"b\" { require = | }\n}\n",
     "camber,damper.bore,total-mass,wheel-rate,count,sum,min,and,not,in/viscosity"},
    {"a template", "template \"a\" {\n|\n}\n", "section,paper/air"},
    {"a page's language", "template \"words\" { }\ntemplate \"b\" { language = \"|\" }\n",
     "words,race sheet/camber"},
    {"a meeting", "meeting \"a\" {\n|\n}\n", "entry,date/air"},
    {"an entry", "meeting \"a\" {\n entry 1 { | }\n}\n", "setup,driver,measured/air"},
    {"measured", "meeting \"a\" {\n entry 1 { measured { | } }\n}\n",
     "ride-height,front,damper.bore,total-mass/measured,rules"},
    {"a name of a part", OILS "setup \"a\" { oil = | }\n", "clear 300,dark,blend/a,mm"},
    {"a name in quotes", OILS "setup \"a\" { oil = \"cl|\n}\n", "clear 300,dark/blend,a"},
    {"a name in a whole text", OILS "setup \"a\" { oil = \"cl|ear 300\" }\n", "clear 300,dark"},
    {"a name of another kind", OILS "setup \"a\" { spring = | }\n", "/clear 300,dark"},
    {"a base", OILS "setup \"b\" { }\nsetup \"a\" from |", "b/a,dark"},
    {"a base, not the block itself", "setup \"b\" { }\nsetup \"a\" from | { }\n", "b/a"},
    {"a base in quotes, not the block itself", "setup \"b\" { }\nsetup \"a\" from \"|\" { }\n",
     "b/a"},
    {"a base in place of another, not the block itself",
     "setup \"b\" { }\nsetup \"a\" from \"b|\" { }\n", "b/a"},
    {"a meeting's rules", "rules \"a\" { }\nmeeting \"m\" { rules = | }\n", "a/mm,m"},
    {"a meeting's template", "template \"t\" { }\nmeeting \"m\" { template = | }\n",
     "t,race sheet/mm"},
    {"an entry's file", "meeting \"m\" {\n entry 1 { setup = | }\n}\n", "/mm,min"},
    {"what a page shows", "template \"a\" {\n section \"s\" { show = [|] }\n}\n",
     "preload,wheel-rate/mm"},
    {"from", "setup \"a\" |", "from/air"},
    {"a unit", "setup \"a\" { preload = 3 | }\n", "mm,in,cm/g,degC,N,blend,min"},
    {"a unit half written", "setup \"a\" { air = 9 de| }\n", "degC,degF,K/deg,mm"},
    {"a unit at the number", "setup \"a\" { camber = -1.5d| }\n", "deg,rad/degC,mm"},
    {"any unit in a let", "let a = 3 |", "mm,degC,N,kg,cSt/a,abs"},
    {"any unit in a rule", "rules \"a\" {\n rule \"b\" { require = damper.bore <= 13 | }\n}\n",
     "mm,in,g/camber"},
    {"a rule's tolerance", "rules \"a\" {\n rule \"b\" { tolerance = 5 | }\n}\n",
     "g,mm/camber"},
    {"a choice", "spring \"a\" { ends = | }\n", "/mm,min"},
    {"values", "let grams = 3 g\nsetup \"a\" { preload = | }\n", "grams,min,max,sqrt/mm,blend"},
    {"a value of a let", "let a = 1\nlet b = |\n", "a,min,abs,round"},
    {"no completion in a comment", "setup \"a\" { # |\n}\n", "/air,mm"},
    {"no completion in a text", "setup \"a\" { track = \"|\" }\n", "/air,min"},
    {"behind wide letters", "setup \"漢😀é\" { air = 9 | }\n", "degC/mm"},
    {"in a mistake", "setup \"a\" {\n  air = = 3\n  front {\n    |\n", "camber/air"},
};

static void offered_by_place(struct pl_bench *bench) {
  size_t which = 0;
  while (strcmp(places[which].name, bench->subject) != 0) which++;
  struct pl_client *const client = pl_client_start(bench);
  const json_t *const items = offers_of(client, places[which].text);
  bool wanted = true;
  for (const char *at = places[which].labels; *at != '\0';) {
    const size_t length = strcspn(at, ",/");
    const char *const label = pl_copy_text(bench->arena, at, length);
    if (length > 0 && (offer_in(items, label) != NULL) != wanted)
      fail_msg("`%s` is %soffered", label, wanted ? "not " : "");
    if (at[length] == '/') wanted = false;
    at += length + (at[length] == '\0' ? 0 : 1);
  }
  // Nothing twice.
  for (size_t i = 0; i < json_array_size(items); i++) {
    const json_t *const item = json_array_get(items, i);
    assert_ptr_equal(offer_in(items, json_string_value(json_object_get(item, "label"))), item);
  }
  pl_client_end(client);
}

// ---------------------------------------------------------------- taking an offer

static void taking(struct pl_bench *bench) {
  static const struct {
    const char *text;
    const char *label;
    const char *result;
  } cases[] = {
      {"setup \"a\" {\n  surf|\n}\n", "surface", "setup \"a\" {\n  surface = \n}\n"},
      {OILS "setup \"é😀\" { oil = \"cl|ea\" }\n", "dark",
       OILS "setup \"é😀\" { oil = \"dark\" }\n"},
      {OILS "setup \"a\" { oil = \"cl|\n}\n", "clear 300",
       OILS "setup \"a\" { oil = \"clear 300\"\n}\n"},
      {"setup \"a\" { air = 9 de| }\n", "degC", "setup \"a\" { air = 9 degC }\n"},
      {"setup \"a\" { air = 9de| }\n", "degF", "setup \"a\" { air = 9degF }\n"},
      {"oil \"a \\\"b\\\" \\\\\" { }\nsetup \"a\" { oil = | }\n", "a \"b\" \\",
       "oil \"a \\\"b\\\" \\\\\" { }\nsetup \"a\" { oil = \"a \\\"b\\\" \\\\\" }\n"},
      {"rules \"a\" { rule \"b\" { req| } }\n", "require",
       "rules \"a\" { rule \"b\" { require =  } }\n"},
  };
  struct pl_client *const client = pl_client_start(bench);
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const json_t *const items = offers_of(client, cases[i].text);
    assert_string_equal(taken(client, items, cases[i].label), cases[i].result);
  }
  pl_client_end(client);
}

static void files(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_test_write_text("oils.leaf", "oil \"x\" { viscosity = 300 cSt }\n");
  pl_test_write_text("notes.txt", "none");
  const json_t *const items = offers_of(client, "include \"|\"\n");
  assert_non_null(offer_in(items, "oils.leaf"));
  assert_null(offer_in(items, "a.leaf"));
  assert_null(offer_in(items, "notes.txt"));
  assert_string_equal(taken(client, items, "oils.leaf"), "include \"oils.leaf\"\n");
  pl_client_end(client);
}

// ---------------------------------------------------------------- soundness

static const char *const heads[] = {"oil \"a\" {\n",
                                    "spring \"a\" {\n",
                                    "piston \"a\" {\n",
                                    "damper \"a\" {\n",
                                    "damper \"a\" {\n seal {\n",
                                    "car \"a\" {\n",
                                    "setup \"a\" {\n",
                                    "setup \"a\" {\n all {\n",
                                    "setup \"a\" {\n rear {\n",
                                    "setup \"a\" {\n left {\n",
                                    "setup \"a\" {\n front-left {\n",
                                    "car \"a\" {\n front {\n",
                                    "car \"a\" {\n right {\n",
                                    "rules \"a\" {\n",
                                    "rules \"a\" {\n rule \"b\" {\n",
                                    "meeting \"a\" {\n",
                                    "meeting \"a\" {\n entry 1 {\n",
                                    "meeting \"a\" {\n entry 1 {\n measured {\n",
                                    "template \"a\" {\n",
                                    "template \"a\" {\n section \"b\" {\n"};

/// Codes that say that something has no place there.
static const char *const misplaced[] = {"unknown-key", "unknown-block", "belongs-to",
                                        "part-key",    "outside-block", "unknown-kind",
                                        "scope-in",    "key-of"};

/// Whatever is offered as the beginning of a line is one that the language takes there.
static void every_offer_is_taken(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  size_t count = 0;
  for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++) {
    const char *const ends = strchr(strchr(heads[i], '\n') + 1, '{') == NULL ? "" : "}\n";
    const char *const more = strstr(heads[i], "measured") == NULL ? "" : "}\n";
    const json_t *const items =
        offers_of(client, pl_format(bench->own, "%s|\n}\n%s%s", heads[i], ends, more));
    if (json_array_size(items) == 0) fail_msg("nothing is offered in\n%s", heads[i]);
    for (size_t j = 0; j < json_array_size(items); j++) {
      const json_t *const item = json_array_get(items, j);
      const char *const label = json_string_value(json_object_get(item, "label"));
      const char *const text = taken(client, items, label);
      const char *const behind = strstr(text + strlen(heads[i]), label) + strlen(label);
      const bool is_key = strncmp(behind, " = ", 3) == 0;
      const size_t at = (size_t)(behind - text) + (is_key ? 3 : 0);
      pl_client_write(
          client, "a.leaf",
          pl_format(bench->own, "%.*s%s%s", (int)at, text, is_key ? "1" : " { }", text + at));
      const char *const codes = pl_codes(client, pl_client_problems(client, "a.leaf"));
      for (size_t k = 0; k < sizeof misplaced / sizeof misplaced[0]; k++)
        if (strstr(codes, misplaced[k]) != NULL)
          fail_msg("in\n%s`%s` is offered, and then there is %s", heads[i], label, codes);
      pl_client_write(client, "a.leaf",
                      pl_format(bench->own, "%s\n}\n%s%s", heads[i], ends, more));
      count++;
    }
  }
  print_message("  %zu offers were taken\n", count);
  assert_true(count > 500);
  pl_client_end(client);
}

/// All functions, keys of rules and figures are offered where they may stand.
static void nothing_is_left_out(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  const json_t *items = offers_of(client, "setup \"a\" { preload = | }\n");
  for (size_t i = 0; pl_function_name(i) != NULL; i++) {
    const bool is_blend = strcmp(pl_function_name(i), "blend") == 0; // makes an oil
    assert_true((offer_in(items, pl_function_name(i)) != NULL) != is_blend);
  }
  items = offers_of(client, "rules \"a\" {\n rule \"b\" { | }\n}\n");
  for (size_t i = 0; pl_rules_key(true, i) != NULL; i++)
    assert_non_null(offer_in(items, pl_rules_key(true, i)));
  items = offers_of(client, "rules \"a\" {\n|\n}\n");
  for (size_t i = 0; pl_rules_key(false, i) != NULL; i++)
    assert_non_null(offer_in(items, pl_rules_key(false, i)));
  items = offers_of(client, "rules \"a\" {\n rule \"b\" { require = | }\n}\n");
  for (int i = 0; i < PL_FIGURE_COUNT; i++)
    assert_non_null(offer_in(items, pl_figure_rows[i].key));
  pl_client_end(client);
}

// ---------------------------------------------------------------- the demo's own files

struct looking {
  struct pl_client *client;
  const char *name;
  const char *text;
  size_t count;
};

static void look_at_property(struct looking *looking, const struct pl_node *item) {
  // In the middle of a word it is whole: it may be the one that is meant.
  const uint32_t middle = pl_name_span(item).start + 1;
  const json_t *items = offers_at(looking->client, looking->name, middle);
  // The venue's name is offered by its other key.
  const bool is_venue = strcmp(item->name, "track") == 0 && item->children != NULL &&
                        item->children->kind == PL_NODE_TEXT;
  if (offer_in(items, is_venue ? "track-name" : item->name) == NULL)
    fail_msg("%s: `%s` is not offered at %u", looking->name, item->name, middle);
  looking->count++;
  const struct pl_node *const value = item->children;
  if (value != NULL && value->kind == PL_NODE_NUMBER && value->unit != NULL) {
    items = offers_at(looking->client, looking->name, value->span.end);
    bool found = false;
    for (size_t i = 0; i < json_array_size(items); i++) {
      const char *const label =
          json_string_value(json_object_get(json_array_get(items, i), "label"));
      const size_t length = strlen(label);
      found = found || (length <= value->span.end &&
                        strncmp(looking->text + value->span.end - length, label, length) == 0);
    }
    if (!found)
      fail_msg("%s: no unit of `%s` is offered at %u", looking->name, item->name,
               value->span.end);
    looking->count++;
  }
}

static void look_at_items(struct looking *looking, const struct pl_node *items, bool has_keys) {
  for (const struct pl_node *item = items; item != NULL; item = item->next) {
    static const char *const free_keys[] = {"extra", "ballast", "template", "oil-scale"};
    bool has_own_keys = has_keys;
    if (item->kind == PL_NODE_BLOCK) {
      for (size_t i = 0; i < sizeof free_keys / sizeof free_keys[0]; i++)
        if (strcmp(item->name, free_keys[i]) == 0) has_own_keys = false;
      // Mounting holes: their keys are their names.
      if (item->children != NULL && item->children->kind == PL_NODE_PROPERTY &&
          item->children->children != NULL && item->children->children->kind == PL_NODE_GROUP &&
          pl_titles(item) == NULL && strcmp(item->name, "shock-top") == 0)
        has_own_keys = false;
      look_at_items(looking, item->children, has_own_keys);
    }
    if (item->kind == PL_NODE_PROPERTY && has_keys && item->name[0] != '\0')
      look_at_property(looking, item);
  }
}

static void demo(struct pl_bench *bench) {
  assert_int_equal(chdir(pl_test_root()), 0);
  struct pl_client *const client = pl_client_start(bench);
  static const char *const names[] = {"sheets/sluice-lane/plover-dry.leaf",
                                      "sheets/cars/plover/car.leaf",
                                      "sheets/cars/plover/baseline.leaf",
                                      "sheets/rules/saltmarsh-tenth.leaf",
                                      "sheets/library/oils.leaf",
                                      "sheets/library/springs.leaf",
                                      "sheets/library/dampers.leaf",
                                      "sheets/library/pistons.leaf",
                                      "sheets/sluice-lane/round-3/round-3.leaf"};
  size_t count = 0;
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    size_t length = 0;
    const char *const text = pl_test_read_there(bench->own, names[i], &length);
    pl_client_open(client, names[i], text);
    struct pl_diagnostics *const problems = pl_diagnostics_new(bench->own);
    const struct pl_tree *const tree =
        pl_parse(bench->own, pl_names_new(bench->own), problems,
                 pl_source_of_bytes(bench->own, names[i], (const unsigned char *)text, length));
    struct looking looking = {client, names[i], text, 0};
    look_at_items(&looking, tree->items, true);
    count += looking.count;
  }
  print_message("  %zu places were looked at\n", count);
  assert_true(count > 200);
  pl_client_end(client);
}

#define PLACE_COUNT (sizeof places / sizeof places[0])

int main(void) {
  static struct CMUnitTest all[PLACE_COUNT + 5];
  static struct pl_bench_case cases[PLACE_COUNT];
  size_t count = 0;
  for (; count < PLACE_COUNT; count++) {
    cases[count] = (struct pl_bench_case){offered_by_place, places[count].name};
    all[count] = (struct CMUnitTest){places[count].name, pl_bench_run, pl_folder_new,
                                     pl_folder_free, &cases[count]};
  }
  const struct CMUnitTest others[] = {
      PL_FOLDER_TEST(taking), PL_FOLDER_TEST(files), PL_FOLDER_TEST(every_offer_is_taken),
      PL_FOLDER_TEST(nothing_is_left_out), PL_FOLDER_TEST(demo)};
  for (size_t i = 0; i < 5; i++) all[count++] = others[i];
  return cmocka_run_group_tests_name("completion", all, NULL, NULL);
}
