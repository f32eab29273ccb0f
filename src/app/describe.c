// SPDX-License-Identifier: GPL-3.0-or-later
// The describe command: what the tables say, for a reader, for man, and for a shell.
#include "completion.h"

#include <string.h>

/// Without a key: everything there is.
static void describe_all(struct run *run) {
  const struct pl_text_style style = style_of(run, NULL);
  switch (run->options->format) {
  case AS_TEXT: put_text(run, pl_describe_all(run->arena, &style)); return;
  case AS_MARKDOWN: put_text(run, pl_describe_markdown(run->arena)); return;
  case AS_MAN:
    put_text(run, pl_describe_man(run->arena, PITLEAF_VERSION, PITLEAF_VERSION_DATE));
    return;
  default: complain(run, "a shell's script is that of `pitleaf describe completion`");
  }
}

static void describe_commands(struct run *run) {
  if (run->options->format == AS_MAN) {
    put_text(run, manual_of_commands(run->arena));
    return;
  }
  if (run->options->format != AS_TEXT) {
    complain(run, "`describe commands` is text, or with --as man a manual page");
    return;
  }
  for (size_t i = 0; i < command_count; i++) {
    if (i > 0) put_text(run, "\n");
    print_help(&commands[i]);
  }
}

static void describe_completion(struct run *run) {
  switch (run->options->format) {
  case AS_BASH: put_text(run, completion_for_bash(run->arena)); return;
  case AS_ZSH: put_text(run, completion_for_zsh(run->arena)); return;
  case AS_FISH: put_text(run, completion_for_fish(run->arena)); return;
  default: complain(run, "say for which shell: --as bash, --as zsh or --as fish");
  }
}

static void describe_key(struct run *run, const char *key) {
  const struct pl_text_style style = style_of(run, NULL);
  const char *const text = strcmp(key, "physics") == 0
                               ? pl_describe_physics(run->arena, &style)
                               : pl_describe_key(run->arena, key, &style);
  const char *const meant = pl_key_meant(run->arena, key);
  if (text == NULL)
    complain_unknown(run, "nothing is called", key,
                     meant != NULL ? meant : pl_describe_nearest(key));
  else if (run->options->format != AS_TEXT)
    complain(run, "what `%s` means is told as text alone; leave out --as", key);
  else
    put_text(run, text);
}

void command_describe(struct run *run) {
  const char *const key = run->options->word_count == 0 ? NULL : run->options->words[0];
  if (key == NULL)
    describe_all(run);
  else if (strcmp(key, "commands") == 0)
    describe_commands(run);
  else if (strcmp(key, "completion") == 0)
    describe_completion(run);
  else
    describe_key(run, key);
}
