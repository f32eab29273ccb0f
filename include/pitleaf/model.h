// SPDX-License-Identifier: GPL-3.0-or-later
// model: from trees to a checked setup in which every value remembers where it came from.
#ifndef PITLEAF_MODEL_H
#define PITLEAF_MODEL_H

#include "pitleaf/base.h"
#include "pitleaf/syntax.h"
#include "pitleaf/units.h"

// ---------------------------------------------------------------- places

/// Where a value of a car holds.
enum pl_place {
  PL_FRONT_LEFT,
  PL_FRONT_RIGHT,
  PL_REAR_LEFT,
  PL_REAR_RIGHT,
  PL_FRONT,
  PL_REAR,
  PL_CAR,
  PL_PLACE_COUNT
};

/// The kinds of places that a setting or a figure may have.
enum pl_scope { PL_SCOPE_CORNER, PL_SCOPE_AXLE, PL_SCOPE_CAR, PL_SCOPE_PART };

/// The two axles, front first.
#define PL_AXLES 2

/// The name of a place ("front-left", "rear", "car").
const char *pl_place_name(enum pl_place place);
/// The place of that name, or PL_PLACE_COUNT.
enum pl_place pl_place_of(const char *name);
/// The place of scope `scope` that holds `place`: front-left is on the axle front, of the car.
/// A wider place has no narrower one: then PL_PLACE_COUNT.
enum pl_place pl_place_at(enum pl_place place, enum pl_scope scope);
/// First and last place of a scope, for loops (PART counts as none: first > last).
enum pl_place pl_first_place(enum pl_scope scope);
enum pl_place pl_last_place(enum pl_scope scope);

// ---------------------------------------------------------------- the settings table

/// The kinds of blocks that stand in a file by themselves and, behind their count, those of
/// blocks that stand within another one and own settings all the same.
enum pl_block_kind {
  PL_BLOCK_OIL,
  PL_BLOCK_OIL_SCALE,
  PL_BLOCK_SPRING,
  PL_BLOCK_PISTON,
  PL_BLOCK_DAMPER,
  PL_BLOCK_CAR,
  PL_BLOCK_SETUP,
  PL_BLOCK_RULES,
  PL_BLOCK_MEETING,
  PL_BLOCK_TEMPLATE,
  PL_BLOCK_BOX,
  PL_BLOCK_AIM,
  PL_BLOCK_KIND_COUNT,
  PL_BLOCK_ENTRY, ///< of a meeting
  PL_BLOCK_OWNER_COUNT
};

/// The word for a kind ("oil-scale"), and the kind of a word that opens a block in a file (or
/// PL_BLOCK_KIND_COUNT).
const char *pl_block_kind_name(enum pl_block_kind kind);
enum pl_block_kind pl_block_kind_of(const char *name);

enum pl_setting_type {
  PL_TYPE_NUMBER,
  PL_TYPE_COUNT,
  PL_TYPE_TEXT,
  PL_TYPE_TEXTS,
  PL_TYPE_CHOICE,
  PL_TYPE_DATE,
  PL_TYPE_FILE,
  PL_TYPE_POINT,
  PL_TYPE_HOLE,
  PL_TYPE_HOLES,
  PL_TYPE_PORTS,
  PL_TYPE_VISCOSITY,
  PL_TYPE_GROUPS,
  PL_TYPE_TABLE,
  PL_TYPE_PART
};

enum pl_setting {
#define PL_SETTING(id, ...) PL_SETTING_##id,
#include "pitleaf/settings.def"
#undef PL_SETTING
  PL_SETTING_COUNT
};

/// One row of the settings table; the columns are explained there.
struct pl_setting_row {
  const char *key;
  enum pl_block_kind owner;
  enum pl_scope scope;
  enum pl_setting_type type;
  const char *of;
  int digits;
  const char *imperial;
  int imperial_digits;
  double least;    ///< in the unit `of`; NaN: none
  double greatest; ///< likewise
  double fallback; ///< likewise
  const char *label;
  const char *meaning;
};

extern const struct pl_setting_row pl_settings[PL_SETTING_COUNT];

/// The setting of that key in blocks of that kind (a car's are a setup's), or PL_SETTING_COUNT.
enum pl_setting pl_setting_of(const char *key, enum pl_block_kind owner);
/// The same for a key in front of a value (null: none is written yet): `track` before a text is
/// the venue's name, and in a meeting, which has no axles, it always is.
enum pl_setting pl_setting_meant(const char *key, enum pl_block_kind owner,
                                 const struct pl_node *value);
/// The nearest key of that kind of block, or null.
const char *pl_setting_nearest(const char *key, enum pl_block_kind owner);
/// What is called by another word of the trade ("weight", "shock.bore"), or is the key of a
/// part without its part ("bore"): "damper.bore", or null.
const char *pl_key_meant(struct pl_arena *arena, const char *path);
/// Is `word` one of a choice's words, which are parted by `|`?
bool pl_choice_has(const char *choices, const char *word);
/// "bladder, vented or none"
const char *pl_choice_words(struct pl_arena *arena, const char *choices);

/// The functions of expressions by number, from 0; null behind the last. Rules have more.
const char *pl_function_name(size_t which);

// ---------------------------------------------------------------- values

enum pl_value_kind {
  PL_VALUE_NONE, ///< nothing, or what was reported as a mistake
  PL_VALUE_NUMBER,
  PL_VALUE_TRUTH,
  PL_VALUE_TEXT, ///< also choices and dates
  PL_VALUE_POINT,
  PL_VALUE_PORTS,
  PL_VALUE_VISCOSITY,
  PL_VALUE_COILS, ///< count of coils, gap
  PL_VALUE_LIST,
  PL_VALUE_ROW, ///< values side by side
  PL_VALUE_RANGE,
  PL_VALUE_HOLES,
  PL_VALUE_PART
};

enum pl_one_way { PL_BOTH_WAYS, PL_ONE_WAY_COMPRESSION, PL_ONE_WAY_REBOUND };

/// Equal holes of a piston.
struct pl_ports {
  double count;
  double cap_diameter;   ///< m, at the face toward the body's cap
  double shaft_diameter; ///< m, at the face toward the shaft; equal: straight
  double tolerance;      ///< m, of the diameters; 0: not given
  enum pl_one_way one_way;
  double opens_at; ///< Pa, of a one-way set
};

/// A viscosity in m^2/s at a temperature in K.
struct pl_viscosity_point {
  double viscosity;
  double temperature;
  double tolerance; ///< of the viscosity; 0: none given
};

struct pl_hole {
  int number;
  double x, y, z; ///< m
};

struct pl_part;

/// By how much the whole tolerance of a value that is written with one moves a number made of
/// it, to the first order.
struct pl_term {
  const struct pl_node *node; ///< the value with its tolerance; null: of many
  enum pl_place place;        ///< as of pl_uncertain
  double half_width;          ///< SI
};

/// A value. Which members count depends on the kind.
struct pl_value {
  enum pl_value_kind kind;
  bool absolute; ///< a temperature on a scale, not a difference
  bool has_x;    ///< of a point: x was given
  struct pl_dimension dimension;
  double number;    ///< SI; of a truth 0 or 1; of coils their count; of a list all its values
  double tolerance; ///< SI; 0: none given
  double x, y, z;   ///< m; of coils x is the gap
  const char *text;
  const struct pl_part *part;
  size_t count; ///< of the array that the kind has
  union {
    const struct pl_value *items; ///< list, row, range (least, greatest)
    const struct pl_ports *ports;
    const struct pl_viscosity_point *viscosity;
    const struct pl_hole *holes;
    const struct pl_term *terms; ///< of a number: what its tolerance comes from
  } many;
};

/// A place that touched a value.
struct pl_touch {
  struct pl_span span;
  const char *scope; ///< as it was written ("rear-left", "all", "car")
  const char *layer; ///< the block that holds it
  enum pl_operator action;
  struct pl_value result; ///< the value after it
};

/// A value with all places that touched it, the last one last.
struct pl_resolved {
  struct pl_value value;
  bool given;   ///< false: nothing gave it (then `value` may be the fallback)
  bool assumed; ///< the value is the table's fallback
  struct pl_touch *touches;
  size_t touch_count;
};

/// A share of a blend.
struct pl_share {
  const struct pl_part *part;
  double share; ///< of 1
};

/// What a weight of an oil scale means, in m^2/s.
struct pl_scale_row {
  double weight;
  double viscosity;
  double tolerance; ///< 0: none given
};

/// An oil, a spring, a piston, a shock, an oil scale: declared with a name, or given on the
/// spot.
struct pl_part {
  enum pl_block_kind kind;
  const char *name; ///< as the user wrote it; for a part given on the spot its value
  bool named;
  struct pl_span span;
  struct pl_resolved *settings; ///< one for each row of the owner, see pl_part_get
  struct pl_share *shares;      ///< of a blended oil; of stacked springs, each with share 1
  size_t share_count;
  struct pl_scale_row *rows; ///< of an oil scale, by weight
  size_t row_count;
  const struct pl_block *block; ///< null for one given on the spot
};

/// The part's value of a setting of its kind; never null.
const struct pl_resolved *pl_part_get(const struct pl_part *part, enum pl_setting setting);

// ---------------------------------------------------------------- loading

/// One run: files that were read, names, options. Shared includes are read once.
struct pl_session;

/// What stands in the place of a folder of the disk, with all below it: a commit's tree. What
/// it does not have is not there, whatever the disk has.
struct pl_stand_in {
  const char *folder; ///< its real path
  /// Says whether there is a plain file at `path`, which is absolute, without links above
  /// `folder`, without "." and "..", and inside `folder`. `*real_path` is where it is found:
  /// the same path, or, where links of the stand-in's own lead, another one.
  enum pl_file_status (*find)(void *context, struct pl_arena *arena, const char *path,
                              const char **real_path);
  /// Reads what `find` found there; the bytes must stand as long as `arena`.
  enum pl_file_status (*read)(void *context, struct pl_arena *arena, const char *real_path,
                              const unsigned char **bytes, size_t *length);
  void *context;
};

struct pl_session_options {
  const char *const *libraries; ///< folders searched for includes, in order
  size_t library_count;
  const char *root; ///< null: the work tree, or the folder (see the language reference)
  /// What goes before the file on the disk (an editor's open document): its bytes, which must
  /// stand as long as the session, or null to read the file. May be null.
  const unsigned char *(*open_text)(void *context, const char *real_path, size_t *length);
  void *context;
  /// Null: everything is read from the disk. Otherwise it must stand as long as the session; it
  /// counts for main files, includes and what they name, not for the entries of a meeting.
  const struct pl_stand_in *stand_in;
};

/// A new session in an arena of its own guard. `options` is copied.
struct pl_session *pl_session_new(struct pl_arena *arena, struct pl_guard *guard,
                                  const struct pl_session_options *options);
/// Did a program of the session include the file of that real path?
bool pl_session_has(const struct pl_session *session, const char *real_path);
/// The real paths of the files that were to be read in this session, whether or not they could
/// be, counted from 0; null behind the last. No output may take their place.
const char *pl_session_file(const struct pl_session *session, size_t which);
/// The session's interned names.
struct pl_names *pl_session_names(struct pl_session *session);

/// A block with a name, as declared in a file.
struct pl_block {
  enum pl_block_kind kind;
  const char *name;
  const struct pl_node *node;
  const struct pl_source *source;
};

/// A main file with all that it includes.
struct pl_program;

/// Reads the file (`-`: standard input) and what it includes, and checks every block of it.
/// `arena` owns the program; what is included belongs to the session. Never null: problems,
/// also that the file cannot be read, are in `pl_program_problems`.
struct pl_program *pl_program_load(struct pl_session *session, struct pl_arena *arena,
                                   const char *path);
/// The same for a source in memory; includes are relative to `folder`, which need not be there.
/// A source whose real path is set stands in the place of that file, also where an include
/// names it.
struct pl_program *pl_program_of_source(struct pl_session *session, struct pl_arena *arena,
                                        struct pl_source *source, const char *folder);
/// The same of a stranger's file: it may include what lies in its own folder and in the
/// session's libraries, whatever the session's root or a work tree would allow. Nor may the
/// file itself be a link to something elsewhere.
struct pl_program *pl_program_load_alone(struct pl_session *session, struct pl_arena *arena,
                                         const char *path);
struct pl_diagnostics *pl_program_problems(const struct pl_program *program);
/// The main file's source; null if it could not be read.
const struct pl_source *pl_program_source(const struct pl_program *program);
/// The program's files, counted from 0: the main file, then what it includes. Null behind the
/// last.
const struct pl_source *pl_program_file(const struct pl_program *program, size_t which);

/// A value that a setting is tried with, all of it as somebody would write it.
struct pl_variation {
  const char *scope; ///< "front", "rear-left", "all"; "car": it stands in no scope
  const char *key;
  const char *value; ///< an expression without mistakes of syntax
};

/// The main file of a program once more, with a further setup at its end that is made from the
/// one of the name `setup` and has the values of the variations; its name, which no other has,
/// is in `*name`. Includes, roots and library are those of the program, which must have been
/// read without errors and must stand as long as the new one; that is owned by `arena`, which
/// may be reset for the next variation. Problems of the variations are in the new program's
/// list, with those of the file (see `pl_is_varied`).
struct pl_program *pl_program_varied(const struct pl_program *program, struct pl_arena *arena,
                                     const char *setup, const struct pl_variation *variations,
                                     size_t count, const char **name);
/// The same with any text at its end, such as several setups.
struct pl_program *pl_program_extended(const struct pl_program *program, struct pl_arena *arena,
                                       const char *more);
/// The setup of that name, checked, with what is wrong with it in a list of its own, so that no
/// other setup of the file takes its room there. Null if there is none. It must not have been
/// asked for before.
const struct pl_setup *pl_program_setup_apart(struct pl_program *program, const char *name,
                                              struct pl_diagnostics **problems);
/// Does the span lie in what was put behind the main file's text?
bool pl_is_varied(const struct pl_program *program, const struct pl_program *varied,
                  struct pl_span span);

/// Reads a file that is no setup (a logo) and is named by the program's file `beside`: it is
/// looked for as an include is, within the same roots. Owned by the program's arena.
enum pl_file_status pl_program_beside(struct pl_program *program,
                                      const struct pl_source *beside, const char *path,
                                      const struct pl_source **file);
/// The tree of one of the program's files, with its tokens; null for a source that is none of
/// them.
const struct pl_tree *pl_program_tree(const struct pl_program *program,
                                      const struct pl_source *source);
struct pl_arena *pl_program_arena(const struct pl_program *program);
/// True if the main file itself could not be read.
bool pl_program_unreadable(const struct pl_program *program);

/// The block of that kind and name in the main file and its includes, or null.
const struct pl_block *pl_program_find(const struct pl_program *program,
                                       enum pl_block_kind kind, const char *name);
/// Calls `visit` for each block of that kind: the main file's first, then the includes'.
void pl_program_each(const struct pl_program *program, enum pl_block_kind kind,
                     void (*visit)(void *context, const struct pl_block *block, bool in_main),
                     void *context);

/// The block of that kind that a command works on: the one of that name, or, with null, the
/// only one of the main file that no other of its blocks starts from. Null with the problem
/// reported if there is none. For setups, meetings and rules.
const struct pl_block *pl_program_block(struct pl_program *program, enum pl_block_kind kind,
                                        const char *name);

/// Is there a `let` of that name?
bool pl_program_has_let(const struct pl_program *program, const char *name);
/// The expression behind that `let`, or null.
const struct pl_node *pl_program_let(const struct pl_program *program, const char *name);

/// The declared part of that block, with its values worked out; what is wrong with it was
/// reported when the program was loaded.
const struct pl_part *pl_program_part(struct pl_program *program, const struct pl_block *block);

// ---------------------------------------------------------------- setups

/// A piece of ballast.
struct pl_ballast {
  const char *name;
  struct pl_resolved mass;
  struct pl_resolved at;
};

/// A setting without a key of its own.
struct pl_extra {
  const char *name;
  struct pl_resolved at[PL_PLACE_COUNT]; ///< the car, or the corners
};

struct pl_setup;

/// The setup to work on: the one of that name, or, with null, the only one of the main file
/// that no other of its setups is based on. Null with the problem reported if there is none.
const struct pl_setup *pl_program_setup(struct pl_program *program, const char *name);

/// Resolves every setting everywhere and checks what belongs together, so that all problems of
/// the setup are in the program's list.
void pl_setup_check(const struct pl_setup *setup);

/// Calls `work(context)` with all that the program works out meanwhile in `scratch`: setups,
/// parts and figures that are asked for in `work` must not be used after it. Problems stay.
void pl_program_aside(struct pl_program *program, struct pl_arena *scratch,
                      void (*work)(void *context), void *context);

// ---------------------------------------------------------------- uncertain values

/// A value that is written with a tolerance. In a part, a `let`, an oil scale or a piece of
/// ballast it is one thing, alike wherever it is used; in a line of a setup or a car that gives
/// a setting, each place is set by itself.
struct pl_uncertain {
  const struct pl_node *node; ///< the value with its tolerance
  enum pl_place place;        ///< PL_PLACE_COUNT: all places alike
  double tolerance;           ///< SI, above 0
};

/// That value read as if it were larger by `amount` (SI) than it is written.
struct pl_shift {
  const struct pl_node *node;
  enum pl_place place;
  double amount;
};

/// The program's arena for working aside, emptied: it serves one at a time.
struct pl_arena *pl_program_scratch(struct pl_program *program);

/// Did the program come upon a tolerance above 0 so far? What nobody asked for yet may have
/// one.
bool pl_program_has_tolerance(const struct pl_program *program);
/// Calls `work(context)` aside (see above) and gathers the uncertain values that it comes upon,
/// in that order, at most PL_MOST_UNCERTAIN; `*more` says whether there were more. Problems are
/// not kept. The array is owned by `arena`.
const struct pl_uncertain *pl_program_uncertain(struct pl_program *program,
                                                struct pl_arena *arena,
                                                struct pl_arena *scratch,
                                                void (*work)(void *context), void *context,
                                                size_t *count, bool *more);
/// Calls `work(context)` aside with values shifted. Problems are not kept.
void pl_program_shifted(struct pl_program *program, struct pl_arena *scratch,
                        const struct pl_shift *shifts, size_t count,
                        void (*work)(void *context), void *context);

const char *pl_setup_name(const struct pl_setup *setup);
struct pl_program *pl_setup_program(const struct pl_setup *setup);
struct pl_span pl_setup_span(const struct pl_setup *setup);
/// The name of the setup that it is based on, or "".
const char *pl_setup_base(const struct pl_setup *setup);

/// The value of a setting at a place; a wider place is used where the setting is of the axle or
/// the car; another block's is given nowhere. Resolved at the first call. Never null.
const struct pl_resolved *pl_setup_get(const struct pl_setup *setup, enum pl_setting setting,
                                       enum pl_place place);
/// A number in SI units; NaN if nothing gives it (fallbacks of the table do).
double pl_setup_number(const struct pl_setup *setup, enum pl_setting setting,
                       enum pl_place place);
/// The part at a place, or null.
const struct pl_part *pl_setup_part(const struct pl_setup *setup, enum pl_setting setting,
                                    enum pl_place place);
/// A point, whether given as such or as the number of a hole; false if there is none.
bool pl_setup_point(const struct pl_setup *setup, enum pl_setting setting, enum pl_place place,
                    double *x, double *y, double *z);

const struct pl_ballast *pl_setup_ballast(const struct pl_setup *setup, size_t *count);
const struct pl_extra *pl_setup_extras(const struct pl_setup *setup, size_t *count);

// ---------------------------------------------------------------- meetings

/// An entry of a meeting. Texts are as they were written, and "" where they are not given.
struct pl_entry {
  const char *number;  ///< as printed: "7", "7B"
  struct pl_span span; ///< of the number, in the newest of the meeting's layers that has it
  const char *driver;  ///< who drives
  const char *class_name;
  const char *group;
  const char *transponder;
  const char *setup_path;    ///< from the folder of the file that names it; "": brings nothing
  const char *setup_name;    ///< one of several setups in that file; null: the only one
  struct pl_span setup_span; ///< of the path; nowhere where there is none
  const struct pl_node *measured;      ///< the block `measured`; null: none
  const struct pl_node *const *blocks; ///< that it is made of, the oldest first
  size_t block_count;
};

/// Where in an entry a problem of its meeting lies.
enum pl_entry_part { PL_NOT_IN_ENTRY, PL_IN_ENTRY, PL_IN_MEASURED };

/// A meeting with the entries that it copies from its bases. Texts as in an entry.
struct pl_meeting {
  const char *name;
  struct pl_span span; ///< of the name
  const char *date;    ///< year-month-day
  const char *track_name;
  const char *event;
  const char *const *rules; ///< names of rules, which may not exist
  size_t rule_count;
  const char *const *templates; ///< names of templates, likewise
  size_t template_count;        ///< 0: none named
  /// In the order of printing: by group or class where `sort` says so, those without one last;
  /// then by number, 7 before 7B before 12, then those that begin with no digit; then as in the
  /// file.
  struct pl_entry *entries;
  size_t entry_count;
};

/// The meeting of that name, or, with null, the only one of the main file that no other of its
/// meetings is based on. Null with the problem reported if there is none. Owned by the program.
const struct pl_meeting *pl_program_meeting(struct pl_program *program, const char *name);

/// Does the problem of a meeting's program lie within the entry, so that all else of the
/// meeting can be relied on? What may have swallowed lines of others, as a brace that is not
/// closed, lies in none.
enum pl_entry_part pl_entry_part_of(const struct pl_entry *entry,
                                    const struct pl_diagnostic *problem);
/// Reports the entries of a meeting's block whose files are not there: a warning, since they
/// may yet be handed in.
void pl_entries_check(struct pl_program *program, const struct pl_block *block);

/// Counts the files of the meeting's entries among those that are to be read in the session.
void pl_entries_note(struct pl_program *program, const struct pl_meeting *meeting);

/// Loads the file of an entry that brings one (`setup_path` is not ""), in `arena`, which owns
/// the program. `meeting` is the program that the entry is from; it and its session must stand
/// as long as the entry's program is used. The path counts from the folder of the file that
/// names it and leads, also by links, nowhere outside the meeting's roots; a link in place of
/// the file itself leads nowhere outside its folder. What the file includes lies in that folder
/// or in the session's libraries, whatever the session's root or a work tree would allow.
/// Never null: problems, also that the file cannot be read (then at the path, in the meeting's
/// file), are in the entry's program.
struct pl_program *pl_entry_load(struct pl_program *meeting, struct pl_arena *arena,
                                 const struct pl_entry *entry);

// ---------------------------------------------------------------- boxes

/// How the oils of a box may be mixed.
enum pl_blends { PL_BLENDS_NONE, PL_BLENDS_HALVES, PL_BLENDS_QUARTERS };

/// Names of parts that are there, in the order of the file, each once.
struct pl_owned {
  const char *const *names;
  size_t count;
};

/// What somebody owns.
struct pl_parts_box {
  const char *name;
  struct pl_span span; ///< of the name
  struct pl_owned oils;
  struct pl_owned springs[PL_AXLES], pistons[PL_AXLES]; ///< that fit the axle
  enum pl_blends blends;
  double preload_step; ///< m
};

/// The box of a block; what is wrong with it was reported when the file was loaded. Owned by
/// the program.
const struct pl_parts_box *pl_program_box(struct pl_program *program,
                                          const struct pl_block *block);

// ---------------------------------------------------------------- expressions

/// Evaluates an expression that stands in no setup (templates, rules): names are `let`s, then
/// whatever `look_up` finds. `look_up` may be null.
struct pl_name_lookup {
  bool (*find)(void *context, const struct pl_node *name, struct pl_value *value);
  /// Works out a call of a function that the asker knows, before the language's own; false
  /// leaves it to those. May be null.
  bool (*call)(void *context, const struct pl_node *call, struct pl_value *value);
  void *context;
};
struct pl_value pl_evaluate(struct pl_program *program, const struct pl_node *expression,
                            const struct pl_name_lookup *look_up);

/// Equal in kind and content (numbers to 1e-9 of their size, parts by their settings).
bool pl_value_equal(const struct pl_value *a, const struct pl_value *b);

// ---------------------------------------------------------------- printing

enum pl_unit_system { PL_METRIC, PL_IMPERIAL };

/// How a value prints: the number part alone and the unit alone, so that columns can align.
struct pl_printed {
  const char *text; ///< digits, or the whole text
  const char *unit; ///< "" if there is none
};

/// A setting's value in the table's unit and digits (more digits where the value has them and
/// they would be lost: at most two more).
struct pl_printed pl_print_setting(struct pl_arena *arena, enum pl_setting setting,
                                   const struct pl_value *value, enum pl_unit_system system);
/// Any value as a text ("3.00 mm"), as in messages.
const char *pl_value_text(struct pl_arena *arena, const struct pl_value *value);
/// A number in SI units in that unit with these digits.
struct pl_printed pl_print_number(struct pl_arena *arena, double value, const char *unit,
                                  int digits);
/// The unit as it is shown on paper and screen ("mm2/s" reads "mm²/s", "degC" reads "°C").
const char *pl_unit_shown(const char *unit);

#endif
