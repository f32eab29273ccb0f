// SPDX-License-Identifier: GPL-3.0-or-later
// What the files of this room share and nobody else sees.
#ifndef PITLEAF_MODEL_ROOM_H
#define PITLEAF_MODEL_ROOM_H

#include "pitleaf/model.h"

// ---------------------------------------------------------------- files and programs

/// A `let`.
struct let {
  const char *name;
  const struct pl_node *node;
};

/// A file that was read and parsed, with what it declares.
struct file {
  struct pl_arena *arena;
  const struct pl_source *source;
  struct pl_tree *tree;
  const char *shown_folder; ///< of the path as shown, for the paths of its includes
  const char *real_folder;
  struct pl_diagnostics *problems; ///< of its text and its declarations
  struct pl_block *blocks;
  size_t block_count;
  bool *sound; ///< for each block: checked without a problem, and no program will find one
  struct pl_map *by_name[PL_BLOCK_KIND_COUNT]; ///< name -> struct pl_block; null: none
  struct let *lets;
  size_t let_count;
};

/// What a `let` comes to in one program.
struct let_value {
  const struct let *let;
  struct pl_value value;
  enum { LET_FRESH, LET_BUSY, LET_DONE } state;
};

struct pl_session {
  struct pl_arena *arena;
  struct pl_guard *guard;
  struct pl_names *names;
  struct pl_map *files;   ///< real path -> struct file, of included files
  struct pl_map *by_path; ///< the same by paths that lead to one, absolute and without dots
  const char **asked;     ///< real paths of all that was to be read
  size_t asked_count;
  size_t asked_capacity;
  struct pl_map *asked_index;
  const char **libraries;
  size_t library_count;
  const char *root;
  const unsigned char *(*open_text)(void *context, const char *real_path, size_t *length);
  void *context;
  const struct pl_stand_in *stand_in;     ///< null: none
  struct pl_unit units[PL_SETTING_COUNT]; ///< of settings, read at first use; factor 0: not yet
};

/// The newest line of a setting in a scope. It holds for one layer: the program counts them, so
/// that the table need not be emptied, and a part that is collected meanwhile, for a value of
/// this layer, leaves nothing behind.
struct newest {
  const struct pl_node *node;
  size_t layer; ///< by the program's count; 0: none yet
};

/// What is done with values that have a tolerance: they are gathered, or shifted.
struct trial {
  struct pl_map *lets; ///< those asked for: name -> struct let_value, worked out in the trial
  const struct pl_shift *shifts;
  size_t shift_count;
  bool gathers;
  struct pl_arena *arena; ///< of what is gathered
  struct pl_uncertain *met;
  size_t met_count;
  size_t met_capacity;
  bool more; ///< than PL_MOST_UNCERTAIN
};

struct pl_program {
  struct pl_session *session;
  struct pl_arena *arena;
  struct pl_diagnostics *problems;
  bool unreadable;
  struct file **files; ///< the main file first
  size_t file_count;
  size_t file_capacity;
  struct pl_map *by_real_path; ///< the same files
  const char *roots[2];        ///< besides the libraries
  size_t root_count;
  bool of_entry;            ///< of a meeting: its files are somebody else's
  struct pl_arena *scratch; ///< for trials; null until the first
  struct trial *trial;      ///< null: values are as they are written
  bool has_tolerance;       ///< one above 0 was evaluated
  int depth;                ///< of the evaluation under way
  size_t names_asked;       ///< so far, of those that mean something else in another program
  struct newest *newest;    ///< [setting][scope]
  size_t layers_collected;  ///< so far
  const struct pl_block *scale; ///< the last oil scale that is declared
  size_t scale_count;           ///< of those that are
  const struct pl_block *car;   ///< the last car that is declared
  size_t car_count;             ///< likewise
  struct pl_map *lets;          ///< name -> struct let_value
  struct pl_map *setups;        ///< name -> struct pl_setup
  struct pl_map *meetings;      ///< name -> struct pl_meeting
  /// Name -> struct pl_part, of parts outside setups: used by `let`s, or by themselves.
  struct pl_map *parts[2][PL_BLOCK_KIND_COUNT];
};

/// Has a name no line ends and no tabs in it? Else that is reported.
bool is_on_one_line(struct pl_diagnostics *problems, const struct pl_node *name);
/// `folder/path` with "." and ".." worked out on the text alone, so that what lies outside is
/// turned away before anything is asked of the disk.
const char *normal_path(struct pl_arena *arena, const char *folder, const char *path);
/// The absolute path of `path`, seen from the working folder, by its text alone.
const char *absolute_path(struct pl_arena *arena, const char *path);
/// The path as it is shown: "cars/../oils.leaf" reads "oils.leaf".
const char *tidy_path(struct pl_arena *arena, const char *path);
/// Declares what a file's tree holds; problems go to the file's.
void declare_file(struct pl_arena *arena, struct file *file);
/// Notes a file that is about to be read, whether or not it can be. Null: nobody knows where
/// it is.
void note_file(struct pl_session *session, const char *real_path);
/// A program without a file, to which a folder that it may read in is added.
struct pl_program *program_new(struct pl_session *session, struct pl_arena *arena);
void add_root(struct pl_program *program, const char *folder);
/// Is that a path of the program's roots or of the session's libraries? `arena` is for what is
/// needed meanwhile.
bool inside_roots(const struct pl_program *program, struct pl_arena *arena,
                  const char *real_path);
/// Works through the main file, which lies in that folder. The roots were chosen.
void finish_program(struct pl_program *program, const struct pl_source *source,
                    const char *real_folder);
/// The program's file that was made of this source; the main file if none was.
const struct file *file_of(const struct pl_program *program, const struct pl_source *source);
/// Reads the main file's includes, and theirs, each once.
void load_includes(struct pl_program *program);
/// Joins the declarations of all files: `let`s, and names that stand twice.
void join_declarations(struct pl_program *program);
/// Checks each block of the program's files.
void check_blocks(struct pl_program *program);

// ---------------------------------------------------------------- layered values

/// The scopes in which an assignment may stand, narrow ones last.
enum written_scope {
  WRITTEN_TOP, ///< the block itself: the whole car, or all corners
  WRITTEN_ALL,
  WRITTEN_FRONT,
  WRITTEN_REAR,
  WRITTEN_LEFT,
  WRITTEN_RIGHT,
  WRITTEN_FRONT_LEFT,
  WRITTEN_FRONT_RIGHT,
  WRITTEN_REAR_LEFT,
  WRITTEN_REAR_RIGHT,
  WRITTEN_COUNT
};

extern const char *const written_scope_names[WRITTEN_COUNT];

/// A line that gives a setting.
struct assignment {
  struct assignment *next;     ///< of the same setting, in order of layers
  const struct pl_node *node;  ///< the property, or the block of holes
  const struct pl_node *value; ///< the expression, or the block of holes
  size_t layer;
  enum written_scope scope;
  enum pl_operator action;
  size_t number;  ///< of those of the setting, from 1
  bool evaluated; ///< and the same at every place: then `result` stands
  struct pl_value result;
};

struct layer {
  const struct pl_block *block;
};

/// Something made of layers of blocks of one kind: a part, or a setup with its car.
struct layered {
  struct pl_program *program;
  struct pl_diagnostics *problems;
  struct pl_setup *setup;      ///< whose oil scale counts; null outside a setup
  const struct layered *outer; ///< of a part: what asked for it while it was worked out
  enum pl_block_kind kind;
  enum pl_setting first; ///< its settings are first … first + count - 1
  size_t count;
  struct layer *layers;
  size_t layer_count;
  struct assignment **given;   ///< for each setting its assignments
  struct assignment **last;    ///< for each setting the last of them
  struct pl_resolved **values; ///< [setting][place], without scopes [setting]; at first use
  unsigned char *busy;         ///< as many: it is being worked out
  bool is_overfull;            ///< too many lines give one of its settings
  bool by_itself; ///< a car or a part without a setup: what it lacks, a setup may give
};

/// First setting and number of settings of blocks of that kind.
void settings_of_kind(enum pl_block_kind kind, enum pl_setting *first, size_t *count);
/// The kind of block that has a key which one of `lacking` does not have; within a meeting that
/// is rather the meeting's other kind than a setup. PL_BLOCK_KIND_COUNT: none.
enum pl_block_kind owner_of_key(const char *key, enum pl_block_kind lacking);
/// The keys of a kind that has few: "`driver`, `setup`, …".
const char *key_words(struct pl_arena *arena, enum pl_block_kind kind);

/// May settings stand in scopes, so that they differ from place to place? Those of a car and a
/// setup may, and some of a box.
bool has_scopes(const struct layered *layered);

/// Appends the layers of `block`: its bases, oldest first, then itself. A circle is reported.
void add_layers(struct layered *layered, const struct pl_block *block);
/// Reports what add_layers would, and adds nothing.
void check_bases(const struct layered *layered, const struct pl_block *block);
/// Goes through all layers' items and notes who gives what; unknown keys are reported.
void collect_assignments(struct layered *layered);
/// Reports what collect_assignments would about the last layer, and notes nothing.
void look_over_layer(struct layered *layered);
/// The resolved value; never null. `place` must be of the setting's own scope.
const struct pl_resolved *layered_get(struct layered *layered, enum pl_setting setting,
                                      enum pl_place place);

/// Called by collect_assignments for what only setups and cars hold.
void collect_ballast(struct pl_setup *setup, size_t layer, const struct pl_node *block);
void collect_extra(struct pl_setup *setup, size_t layer, enum written_scope scope,
                   const struct pl_node *block);
/// What extras of several layers and scopes hide, and where they disagree.
void check_extras(struct pl_setup *setup);

/// Does a scope cover a place?
bool scope_covers(enum written_scope scope, enum pl_place place);
/// 0: everything, 1: an axle or a side, 2: a corner.
int scope_narrowness(enum written_scope scope);
enum written_scope written_scope_of(const char *name);

// ---------------------------------------------------------------- setups

struct pl_setup {
  struct layered layered;
  const struct pl_block *block;
  struct pl_ballast *ballast;
  size_t ballast_count;
  size_t ballast_capacity;
  struct pl_extra *extras;
  size_t extra_count;
  size_t extra_capacity;
  struct pl_map *extra_at;                   ///< name -> its place in `extras`, a size_t
  struct pl_map *ballast_at;                 ///< the same of `ballast`
  struct pl_map *parts[PL_BLOCK_KIND_COUNT]; ///< name -> struct pl_part
  /// Name -> its line, of what one layer gives: the extras of each scope, then the places and
  /// the masses of ballast.
  struct pl_map *given[WRITTEN_COUNT + 2];
  size_t given_layer; ///< of which layer, counted from 1
};

/// A setup with its layers, whether or not it is the one to work on.
struct pl_setup *setup_of_block(struct pl_program *program, const struct pl_block *block);

// ---------------------------------------------------------------- meetings

/// Reports what is wrong with a meeting's own lines.
void check_meeting(struct pl_program *program, const struct pl_block *block);

/// Reports what is wrong with a box.
void check_box(struct pl_program *program, const struct pl_block *block);

/// The value of a setting of a meeting, an entry or a box; NONE where nothing gives it, or
/// after a report. None of them is a number: a line that would change one is reported, too.
struct pl_value value_at_place(struct layered *layered, enum pl_setting setting,
                               enum pl_place place);
struct pl_value meeting_value(struct layered *layered, enum pl_setting setting);
/// The first block `entry` from this item on, or null.
const struct pl_node *next_entry(const struct pl_node *item);
/// The number of an entry as it prints; null after a report.
const char *entry_number(struct pl_program *program, const struct pl_node *entry);
/// An entry as a block of its own, whose name is its number.
const struct pl_block *entry_block(struct pl_program *program, const struct pl_block *meeting,
                                   const struct pl_node *node, const char *number);
/// The block `measured` of an entry, or null.
const struct pl_node *measured_of(const struct pl_node *entry);
/// The path in the value of an entry's `setup`, and where it stands in the line that gives it.
struct pl_value path_of_file(const struct pl_value *file);
struct pl_span path_span(const struct assignment *line);

/// Can no file of the program's roots have this path, seen from the file `from`? That is
/// reported at `span`, without asking the disk: the path is absolute, or `..` leads outside.
bool leads_outside(struct pl_program *program, const struct pl_source *from, const char *path,
                   struct pl_span span);

// ---------------------------------------------------------------- expressions

/// Where an expression stands.
struct evaluator {
  struct pl_program *program;
  struct pl_arena *arena;
  struct pl_diagnostics *problems;
  struct layered *layered; ///< whose settings names may mean; null: none
  enum pl_place place;     ///< where in a setup
  const struct pl_name_lookup *look_up;
  const char *key; ///< what problems call the setting; null: its own key
  bool in_scale;   ///< in a row of an oil scale, where no weight has a meaning
  bool by_itself;  ///< see struct layered
  bool by_place;   ///< in a line that sets each place by itself, see pl_uncertain
  bool uses_place; ///< set when the value is not the same everywhere
};

/// The value of an expression; NONE after a report.
struct pl_value evaluate(struct evaluator *evaluator, const struct pl_node *node);
/// The children's values in one that holds them, a list or values side by side; and a range.
struct pl_value evaluate_list(struct evaluator *evaluator, const struct pl_node *node,
                              enum pl_value_kind kind);
struct pl_value evaluate_range(struct evaluator *evaluator, const struct pl_node *node);
/// Gives a number made of one or two others (`right` may be null) their tolerances: `by_left`
/// and `by_right` are its slopes for them. What both are made of counts once.
void take_tolerance(struct evaluator *evaluator, struct pl_value *result,
                    const struct pl_value *left, double by_left, const struct pl_value *right,
                    double by_right);
/// Adds a tolerance of that node's to a number.
void add_tolerance(struct evaluator *evaluator, struct pl_value *value,
                   const struct pl_node *node, double tolerance);
/// The `let` as the trial under way has it, or as it is where none is.
struct let_value *let_in_trial(struct pl_program *program, struct let_value *let);
/// A value with its tolerance, shifted where a trial asks for that.
struct pl_value evaluate_tolerance(struct evaluator *evaluator, const struct pl_node *node);
/// Warns of a tolerance that is as large as a value which is above zero.
void check_tolerance(struct evaluator *evaluator, const struct pl_node *node, double value,
                     double tolerance);
/// What a name stands for; NONE after a report.
struct pl_value evaluate_name(struct evaluator *evaluator, const struct pl_node *node);
/// Works out a `let`, unless that was done.
void evaluate_let(struct pl_program *program, struct let_value *let);
/// The value as the setting wants it; NONE after a report.
struct pl_value evaluate_setting(struct evaluator *evaluator, enum pl_setting setting,
                                 const struct pl_node *node);
/// The wanted kind beside the one that came; NONE.
struct pl_value report_wrong_kind(struct evaluator *evaluator, enum pl_setting setting,
                                  const struct pl_node *node, const char *wanted,
                                  const struct pl_value *value);
/// Ports, viscosities, groups of coils, tables of springs, parts: NONE after a report.
struct pl_value ports_for(struct evaluator *evaluator, enum pl_setting setting,
                          const struct pl_node *node);
struct pl_value viscosity_for(struct evaluator *evaluator, enum pl_setting setting,
                              const struct pl_node *node);
struct pl_value groups_for(struct evaluator *evaluator, enum pl_setting setting,
                           const struct pl_node *node);
struct pl_value table_for(struct evaluator *evaluator, enum pl_setting setting,
                          const struct pl_node *node);
struct pl_value part_for(struct evaluator *evaluator, enum pl_setting setting,
                         const struct pl_node *node);
/// Words that nobody declared, such as `damp clay`: a text or a name that lacks its quotes.
bool is_bare_words(const struct evaluator *evaluator, const struct pl_node *node);
/// A number with its unit: "16 g", "-15°", "8".
const char *text_in_unit(struct pl_arena *arena, double number, const char *unit);
/// A numbered set of holes from its block.
struct pl_value evaluate_holes(struct evaluator *evaluator, const struct pl_node *block);
/// What a line with `+=`, `-=` or `*=` makes of the value so far; NONE after it was reported.
struct pl_value changed_value(struct evaluator *evaluator, const struct pl_node *line,
                              const struct pl_value *start, const struct pl_value *operand);
/// Checks a resolved number, viscosity or set of ports against the table's span.
void check_span(struct evaluator *evaluator, enum pl_setting setting,
                const struct pl_value *value, struct pl_span span);

/// The unit that a setting prints in; dimensionless where there is none.
const struct pl_unit *setting_unit(struct pl_session *session, enum pl_setting setting);
/// The table's fallback for a setting as a value; NONE if it has none.
struct pl_value fallback_value(struct pl_session *session, enum pl_setting setting);

struct pl_value value_none(void);
struct pl_value value_number(double number, struct pl_dimension dimension);
struct pl_value value_text(const char *text);
struct pl_value value_truth(bool truth);

/// Reports that two values do not go together; NONE.
struct pl_value report_misfit(struct evaluator *evaluator, enum pl_code code,
                              const struct pl_node *node, const struct pl_value *left,
                              const struct pl_node *left_node, const struct pl_value *right,
                              const struct pl_node *right_node);
/// The result as a value, unless it left the range of numbers.
struct pl_value finite_number(struct evaluator *evaluator, const struct pl_node *node,
                              double number, struct pl_dimension dimension);
/// One function of the language: gets its evaluated arguments.
struct pl_value call_function(struct evaluator *evaluator, const struct pl_node *call);
/// "a + b" and the like on values; `node` is shown in problems.
struct pl_value combine(struct evaluator *evaluator, enum pl_operator action,
                        const struct pl_node *node, const struct pl_value *left,
                        const struct pl_node *left_node, const struct pl_value *right,
                        const struct pl_node *right_node);
/// May the expression stand for a text: numbers and days, and what joins them?
bool reads_as_written(const struct pl_node *node);
/// That text, which blanks do not change: "1/10", "35 deg", "2 + 3".
const char *text_as_written(struct pl_arena *arena, const struct pl_node *node);
/// The text of the node as it stands in the file, on one line and not too long.
const char *node_text_shown(struct evaluator *evaluator, const struct pl_node *node);
/// The same of a property's key.
const char *key_text_shown(struct evaluator *evaluator, const struct pl_node *property);
/// "a spring", "an oil".
const char *kind_words(struct pl_arena *arena, enum pl_block_kind kind);
/// "a length" and so on, of a value of any kind.
const char *value_words(struct pl_arena *arena, const struct pl_value *value);

// ---------------------------------------------------------------- parts

/// A part that has nothing but the table's fallbacks.
struct pl_part *part_new(struct evaluator *evaluator, enum pl_block_kind kind, const char *name,
                         struct pl_span span);
/// The declared part of that name; reports an unknown one at `span` and returns null.
const struct pl_part *part_named(struct evaluator *evaluator, enum pl_block_kind kind,
                                 const char *name, struct pl_span span);
/// A part given on the spot by one value of `setting`, called `name`.
const struct pl_part *part_on_the_spot(struct evaluator *evaluator, enum pl_block_kind kind,
                                       enum pl_setting setting, const struct pl_value *value,
                                       const struct pl_node *node);
/// An oil mixed of others, which may be blends themselves; null after a report of too many.
const struct pl_part *part_blended(struct evaluator *evaluator, const struct pl_share *shares,
                                   size_t count, const struct pl_node *node);
/// Springs on top of each other: all carry the same force.
const struct pl_part *part_stacked(struct evaluator *evaluator, const struct pl_share *springs,
                                   size_t count, const struct pl_node *node);
/// The part of a block, with its own checks done.
const struct pl_part *part_of_block(struct evaluator *evaluator, const struct pl_block *block);
/// Would the ports of a piston leave nothing of one with that diameter?
bool ports_fill(const struct pl_part *piston, double diameter);
/// The viscosity, with its tolerance, that an oil weight means; NONE after a report.
struct pl_value viscosity_of_weight(struct evaluator *evaluator, double weight,
                                    const struct pl_node *node);

/// Mends for names: the nearest block of a kind.
const char *nearest_block(const struct pl_program *program, enum pl_block_kind kind,
                          const char *name);

#endif
