// SPDX-License-Identifier: GPL-3.0-or-later
// What no file may hold: a source is looked over once before it is cut into tokens.
#include "parser.h"

#include <utf8proc.h>

/// Characters that change the direction in which others are shown (Unicode's bidirectional
/// controls): text with them can read otherwise than it works.
static bool changes_direction(utf8proc_int32_t code) {
  return (code >= 0x202A && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069) ||
         code == 0x200E || code == 0x200F || code == 0x061C;
}

static bool is_control(utf8proc_int32_t code) {
  return (code < 32 && code != '\t' && code != '\n') || (code >= 0x7F && code < 0xA0) ||
         code == 0x2028 || code == 0x2029;
}

bool is_screened(int32_t code) {
  return is_control(code) || changes_direction(code);
}

void report_screened(struct parse *parse, int32_t code, struct pl_span span) {
  const enum pl_code problem =
      changes_direction(code) ? PL_DIRECTION_CHARACTER : PL_CONTROL_CHARACTER;
  pl_report(parse->problems, problem, span,
            PL_WORDS(pl_format(parse->arena, "U+%04X", (unsigned)code)));
}

/// Looks at one character; returns its length in bytes, or 0 where reading has to end.
static size_t look_at(struct parse *parse, size_t at) {
  const struct pl_source *const source = parse->source;
  utf8proc_int32_t code = 0;
  const utf8proc_ssize_t length =
      utf8proc_iterate(source->bytes + at, (utf8proc_ssize_t)(source->length - at), &code);
  if (length <= 0) {
    pl_report(parse->problems, PL_NOT_UTF8,
              (struct pl_span){source, (uint32_t)at, (uint32_t)at + 1},
              PL_WORDS(pl_format(parse->arena, "%02X", source->bytes[at])));
    return 0;
  }
  const struct pl_span span = {source, (uint32_t)at, (uint32_t)(at + (size_t)length)};
  if (code == 0) {
    pl_report(parse->problems, PL_NUL_BYTE, span, PL_NO_WORDS);
    return 0;
  }
  if (code == '\r' && source->bytes[at + 1] == '\n') return 1;
  if (is_screened(code)) report_screened(parse, code, span);
  return (size_t)length;
}

/// Bytes that are looked at together.
#define RUN ((size_t)32)

/// Does nothing stand here but letters, signs, blanks and line ends of ASCII? (Without a branch
/// within, so that the compiler can take all bytes at once.)
static bool is_plain_run(const unsigned char *bytes) {
  unsigned char odd = 0;
  for (size_t i = 0; i < RUN; i++) {
    const unsigned char byte = bytes[i];
    odd |= (unsigned char)((byte < 32) & (byte != '\n') & (byte != '\t'));
    odd |= (unsigned char)(byte >= 127);
  }
  return odd == 0;
}

bool look_over(struct parse *parse) {
  const struct pl_source *const source = parse->source;
  for (size_t at = 0; at < source->length;) {
    if (source->length - at >= RUN && is_plain_run(source->bytes + at)) {
      at += RUN;
      continue;
    }
    const unsigned char byte = source->bytes[at];
    if (byte == '\n' || byte == '\t' || (byte >= 32 && byte < 127)) {
      at++;
      continue;
    }
    const size_t length = look_at(parse, at);
    if (length == 0) return false;
    at += length;
  }
  return true;
}
