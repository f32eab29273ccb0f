// SPDX-License-Identifier: GPL-3.0-or-later
// Text for man, by the macros of man(7): every sign stands for itself, and nothing but ASCII
// goes out, so that it reads alike under groff and mandoc.
#include "pitleaf/report.h"

#include <ctype.h>
#include <string.h>
#include <utf8proc.h>

const char *const pl_manual_cautions[] = {
    "Computed figures are estimates for tuning. They are not for the safety of anything that "
    "carries a person.",
    "Springs, clips and hot shocks under load, spinning drivetrains and lithium packs hurt "
    "people: wear eye protection when a spring or a clip comes off, and keep fingers and sleeves "
    "from what turns.",
    "The rules of the class and the officials of the event decide what is allowed.", NULL};

/// Adds one character that starts at `at`; the bytes that it takes.
static size_t add_character(struct pl_buffer *out, const char *at) {
  utf8proc_int32_t code = 0;
  const utf8proc_ssize_t size = utf8proc_iterate((const utf8proc_uint8_t *)at, -1, &code);
  switch (*at) {
  case '\\': pl_buffer_text(out, "\\e"); return 1;
  case '-': pl_buffer_text(out, "\\-"); return 1;
  case '"': pl_buffer_text(out, "\\(dq"); return 1;
  case '\'': pl_buffer_text(out, "\\(aq"); return 1;
  case '`': pl_buffer_text(out, "\\(ga"); return 1;
  case '^': pl_buffer_text(out, "\\(ha"); return 1;
  case '~': pl_buffer_text(out, "\\(ti"); return 1;
  default: break;
  }
  if (size <= 1) {
    pl_buffer_add(out, at, 1);
    return 1;
  }
  pl_buffer_format(out, "\\[u%04X]", (unsigned)code);
  return (size_t)size;
}

/// Adds text within a line.
static void add_inline(struct pl_buffer *out, const char *text) {
  // A point or a quote at the start of a line would be a request.
  if (*text == '.' || *text == '\'') pl_buffer_text(out, "\\&");
  for (const char *at = text; *at != '\0';) at += add_character(out, at);
}

/// Longest line that goes out, in bytes: what mandoc's own check asks for.
#define LINE_LIMIT ((size_t)76)

/// Does a sentence end with this word? The next then begins with a capital.
static bool ends_sentence(const char *word, size_t length) {
  const char *const next = word + length + 1;
  return word[length] == ' ' && length > 1 && word[length - 1] == '.' &&
         isupper((unsigned char)*next);
}

void pl_man_text(struct pl_buffer *out, const char *text) {
  size_t start = out->length;
  for (const char *at = text; *at != '\0';) {
    const size_t length = strcspn(at, " ");
    struct pl_buffer word = {.arena = out->arena};
    add_inline(&word, pl_copy_text(out->arena, at, length));
    const bool first = out->length == start;
    if (!first && out->length - start + word.length > LINE_LIMIT) {
      pl_buffer_text(out, "\n");
      start = out->length;
    } else if (!first) {
      pl_buffer_text(out, " ");
    }
    pl_buffer_text(out, pl_buffer_string(&word));
    // Each sentence begins on a line of its own, which is how man tells its end.
    if (ends_sentence(at, length)) {
      pl_buffer_text(out, "\n");
      start = out->length;
    }
    at += length;
    at += strspn(at, " ");
  }
  if (out->length > start) pl_buffer_text(out, "\n");
}

void pl_man_line(struct pl_buffer *out, const char *macro, const char *text) {
  pl_buffer_format(out, "%s \"", macro);
  add_inline(out, text);
  pl_buffer_text(out, "\"\n");
}

void pl_man_item(struct pl_buffer *out, const char *word, const char *second,
                 const char *text) {
  pl_buffer_text(out, ".TP\n\\fB");
  add_inline(out, word);
  pl_buffer_text(out, "\\fR");
  if (second[0] != '\0') {
    pl_buffer_text(out, " ");
    add_inline(out, second);
  }
  pl_buffer_text(out, "\n");
  pl_man_text(out, text);
}

void pl_man_head(struct pl_buffer *out, const char *section, const char *version,
                 const char *date, const char *about) {
  pl_buffer_format(out, ".\\\" SPDX-License-Identifier: GPL-3.0-or-later\n");
  pl_buffer_format(out, ".TH PITLEAF %s %s \"pitleaf %s\"\n.SH NAME\npitleaf \\- ", section,
                   date, version);
  add_inline(out, about);
  pl_buffer_text(out, "\n");
}

void pl_man_cautions(struct pl_buffer *out) {
  pl_man_line(out, ".SH", "CAUTIONS");
  for (size_t i = 0; pl_manual_cautions[i] != NULL; i++) {
    if (i > 0) pl_buffer_text(out, ".PP\n");
    pl_man_text(out, pl_manual_cautions[i]);
  }
}
