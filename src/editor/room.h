// SPDX-License-Identifier: GPL-3.0-or-later
// What the files of this room share and nobody else sees.
#ifndef PITLEAF_EDITOR_ROOM_H
#define PITLEAF_EDITOR_ROOM_H

#include "pitleaf/editor.h"
#include "pitleaf/figures.h"
#include "pitleaf/model.h"
#include "pitleaf/rules.h"
#include "pitleaf/sheet.h"
#include "pitleaf/syntax.h"

#include "pitleaf/json.h"

// ---------------------------------------------------------------- positions

/// Where the lines of a text begin. Positions of the protocol count lines and UTF-16 code
/// units, both from 0.
struct lines {
  const unsigned char *bytes;
  size_t length;
  uint32_t *starts;
  size_t count;    ///< one at the least
  uint32_t *marks; ///< code units before every so many bytes, so that long lines are quick
};

struct lines lines_of(struct pl_arena *arena, const unsigned char *bytes, size_t length);
/// The byte at a position; a position behind a line's end, or the text's, is that end.
uint32_t byte_at(const struct lines *lines, json_int_t line, json_int_t character);
/// The position of a byte; within a line end that of its beginning.
void position_at(const struct lines *lines, uint32_t byte, uint32_t *line, uint32_t *character);
/// UTF-16 code units of the bytes from `start` to `end`.
uint32_t units_between(const unsigned char *bytes, uint32_t start, uint32_t end);

// ---------------------------------------------------------------- documents

/// A file that is open in the editor.
struct document {
  struct document *next;
  char *uri;            ///< as the client names it
  char *path;           ///< without links where the file is there; `uri` where it is no file
  struct pl_arena *own; ///< of these texts
  struct pl_arena *text_arena;
  const unsigned char *text;
  size_t length;
  struct lines lines;
  json_int_t version;
  struct pl_arena *arena;     ///< of what was made of the text
  struct pl_program *program; ///< null: not yet worked out
  bool checked;               ///< with all its setups
  bool is_given_up;           ///< a server fell over it
  bool is_unknown;            ///< it was given up, and the server that works was not told since
};

/// A file of which problems were told at some time.
struct published {
  struct published *next;
  const char *uri;
  bool stands; ///< at the client, now
};

struct pl_editor {
  struct pl_editor_options options;
  struct pl_guard *guard;
  struct pl_arena *own;     ///< as long as the server
  struct pl_arena *request; ///< of the message in hand
  struct pl_arena *scratch; ///< of a setup that is being checked
  struct pl_arena *shared;  ///< of the session
  struct pl_session *session;
  struct document *documents;
  struct pl_arena *fresh[3]; ///< of a document that is being opened or changed
  size_t fresh_count;
  struct published *published;
  const char *folder;     ///< of the workspace; null: none
  bool has_told_cut;      ///< that it has too many files
  const char **libraries; ///< the options' and the client's
  size_t library_count;
  bool is_ready;            ///< between initialize and shutdown
  bool was_asked_to_stop;   ///< shutdown
  bool is_over;             ///< exit
  bool has_watch;           ///< the client can watch files
  bool has_unpublished;     ///< something was edited since problems were told
  json_int_t next_question; ///< the id of the server's next request
  json_t *beginning;        ///< the client's first request, for replays; null: none yet
};

/// The notification's work on the documents; false where it is none of theirs.
bool take_document_note(struct pl_editor *editor, const char *method, const json_t *params);

/// Frees what a document would have got for which memory did not suffice.
void drop_fresh(struct pl_editor *editor);

/// The open document of that name, or null.
struct document *document_of(const struct pl_editor *editor, const char *uri);
/// Forgets what was made of files: one of them is another now.
void forget_files(struct pl_editor *editor);
/// The document with what it includes, worked out anew where its text changed. Never null.
struct pl_program *program_of(struct pl_editor *editor, struct document *document);
/// The same with every setup checked, so that all problems are known.
struct pl_program *checked_program_of(struct pl_editor *editor, struct document *document);

/// The path in a file's name, "" for what is no file; and the name of a path.
const char *path_of_uri(struct pl_arena *arena, const char *uri);
const char *uri_of_path(struct pl_arena *arena, const char *path);
/// The name by which the client knows a source: that of its open document where there is one.
const char *uri_of_source(struct pl_editor *editor, const struct pl_source *source);

// ---------------------------------------------------------------- JSON

// Values belong to the arena of the request, until the message in hand is dealt with.

/// Answers a request by an error.
void refuse(struct pl_editor *editor, json_t *id, const char *message);
json_t *json_of_range(struct pl_arena *arena, const struct lines *lines, uint32_t start,
                      uint32_t end);
/// The range of a span, whichever of the files it is in.
json_t *json_of_span(struct pl_editor *editor, struct pl_span span);
/// `{uri, range}`
json_t *json_of_location(struct pl_editor *editor, struct pl_span span);
/// A text of an object's member, or "".
const char *text_in(const json_t *object, const char *key);
/// Sends a notification or a request of the server's own.
void notify(struct pl_editor *editor, const char *method, json_t *params);
void ask_client(struct pl_editor *editor, const char *method, json_t *params);

// ---------------------------------------------------------------- where the cursor is

/// A block around a place, outermost first.
struct around {
  const char *kind;  ///< the word that opens it
  const char *title; ///< its first name, or ""
};

/// What is being written at a place, by the tokens alone, so that it works on half a line.
struct writing {
  struct pl_arena *arena;
  struct pl_program *program;
  const struct pl_source *source;
  struct around around[PL_MOST_NESTING + 1];
  size_t depth;
  uint32_t offset;
  uint32_t start;                  ///< of the word that ends at the place
  uint32_t end;                    ///< of the token that holds the place
  const char *prefix;              ///< from `start` to the place
  bool in_text;                    ///< the word is a text in quotes
  bool in_comment;                 ///< nothing is completed there
  const struct pl_token *line[64]; ///< the tokens of the line before the word, without blanks
  size_t count;
  size_t brackets; ///< open ones
};

void read_writing(struct writing *writing, struct pl_arena *arena, struct pl_program *program,
                  const struct pl_source *source, uint32_t offset);
/// The text of a token of the line; "" where there are not so many.
const char *word_at(const struct writing *writing, size_t which);

/// Who owns the keys of a block of that depth: a kind that has settings, or
/// PL_BLOCK_OWNER_COUNT. `*prefix` gets what stands before a key ("seal." within a seal block).
enum pl_block_kind owner_of(const struct around *around, size_t depth, const char **prefix);
/// The setting that a key means there before a value (null: none yet), or PL_SETTING_COUNT.
enum pl_setting setting_at(const struct around *around, size_t depth, const char *key,
                           const struct pl_node *value);
/// Is it the key of a page that names the template with the words of a language?
bool names_language(const struct around *around, size_t depth, const char *key);
/// Is it one of the words for places ("all", "front", "rear-left")?
bool is_scope_word(const char *word);

/// The nodes that lead to a place: blocks, then the item, then its values, the innermost last.
struct route {
  const struct pl_node *nodes[PL_MOST_NESTING * 2 + PL_MOST_STEPS + 8];
  size_t count;
  struct around around[PL_MOST_NESTING + 1];
  size_t depth;
  const struct pl_node
      *item; ///< the property, `let` or `include` that holds the place, or null
};

void find_route(struct route *route, const struct pl_tree *tree, uint32_t offset);

/// The workspace's setup files by their paths; where there is no workspace, those of `folder`.
/// `*is_cut`: there are more, which the user was told.
const char **leaf_files(struct pl_editor *editor, const char *folder, size_t *count,
                        bool *is_cut);
/// That, in words.
const char *too_many_files(struct pl_arena *arena);
/// May the file be written? Also true of one that is not there yet.
bool is_writable(const char *path);

// ---------------------------------------------------------------- names

enum name_kind { NAME_BLOCK, NAME_LET, NAME_FILE };

/// A place where a name stands.
struct mention {
  enum name_kind kind;
  enum pl_block_kind block; ///< of NAME_BLOCK
  const char *name;
  struct pl_span span; ///< with the quotes
  bool declares;
  const char *file; ///< a setup in another file: its path; else ""
};

/// Calls `visit` for each mention in a tree.
void each_mention(const struct pl_tree *tree, struct pl_program *program,
                  void (*visit)(void *context, const struct mention *mention), void *context);
/// The mention at a place; false if there is none.
bool mention_at(const struct pl_tree *tree, struct pl_program *program, uint32_t offset,
                struct mention *mention);
/// Where it is declared; nowhere if it is not.
struct pl_span declaration_of(struct pl_editor *editor, struct pl_program *program,
                              const struct mention *mention);

// ---------------------------------------------------------------- answers

/// A position in a document, as most requests name it. False where it is not open.
struct spot {
  struct document *document;
  struct pl_program *program;
  const struct pl_source *source;
  const struct pl_tree *tree;
  uint32_t offset;
};
bool read_spot(struct pl_editor *editor, const json_t *params, struct spot *spot);

/// Each answers one request; null means that there is nothing to say. `*problem` may be set to
/// a sentence that refuses the request.
typedef json_t *answer(struct pl_editor *editor, const json_t *params, const char **problem);
answer answer_completion;
answer answer_hover;
answer answer_definition;
answer answer_references;
answer answer_prepare_rename;
answer answer_rename;
answer answer_symbols;
answer answer_folds;
answer answer_hints;
answer answer_tokens;
answer answer_actions;
answer answer_formatting;

/// The kinds of semantic tokens, as the protocol's legend lists them.
json_t *token_legend(struct pl_arena *arena);

/// Tells the client the problems of all open documents and what they include.
void publish_problems(struct pl_editor *editor);

#endif
