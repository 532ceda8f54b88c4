"""YAML's own complaints in plain words, placed where the reader has to look."""

import re
from typing import Any

import yaml

from underfoot.reading.line_faults import LINE_END, find_conflict, find_line_fault, is_glued
from underfoot.reading.problem import Problem
from underfoot.reading.wording import show

# What YAML does not allow in a text, and the three marks that only YAML takes for line ends: with
# them, no editor would count the lines as YAML does.
_FOREIGN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]"
)
# Before what stands in a line: wide and narrow spaces that look like plain ones.
_ODD_INDENT = re.compile("[ \t]*([\u00a0\u2000-\u200a\u202f\u205f\u3000])")

# Plain words, whether they are placed at the parser's context, and the faults that they are for:
# what stands in the parser's message, and in its context. The first that fits is taken. PyYAML's
# two parsers word the same fault differently.
_QUOTED = "quoted scalar"
_LIST, _MAPPING = "block collection", "block mapping"
_LIST_BREAKS = (
    "this line does not fit the list above it: check its indentation, and begin each item with `- `"
)
_WORDS: tuple[tuple[str, bool, tuple[tuple[str, str], ...]], ...] = (
    ("the quote that opens here is not closed: close it where its text ends", True,
     (("unexpected end of stream", _QUOTED),)),
    ("the quote that opens here is not closed before the document ends: close it where its text "
     "ends", True, (("unexpected document indicator", _QUOTED),)),
    ("this `\\` stands before a letter that has no meaning after it: write `\\\\`, or put the "
     "text in single quotes", False, (("unknown escape character", ""),)),
    ("this `\\` sequence does not name a character: write the character itself", False,
     (("escape", ""), ("hexdecimal number", ""))),
    ("a `,` or `}` is expected here: close the `{` of line {context_line}, or put a text that "
     "holds `,`, `:`, `[` or `{` in quotes", False, (("',' or '}'", ""),)),
    ("a `,` or `]` is expected here: close the `[` of line {context_line}, or put a text that "
     "holds `,`, `:`, `[` or `{` in quotes", False, (("',' or ']'", ""),)),
    ("a colon cannot stand here: check the indentation of this line, and put a text that holds "
     "`: ` in quotes", False, (("mapping values are not allowed", ""),)),
    ("a colon cannot stand here: put a space after a key's colon, and a text that ends with one in "
     "quotes", False, (("unexpected ':'", ""),)),
    ("a colon and a value are missing after this: write `key: value`", True,
     (("could not find expected ':'", ""),)),
    ("a list's `-` cannot stand here: begin the list on a line of its own", False,
     (("sequence entries are not allowed", ""), ("block sequence entries", ""))),
    ("a key cannot stand here: begin it on a line of its own", False,
     (("mapping keys are not allowed", ""),)),
    (_LIST_BREAKS, False, ((_LIST, _LIST), ("expected '-'", ""))),
    ("this line does not fit the lines above it: check its indentation, and write `key: value`",
     False, (("expected key", _MAPPING), ("expected <block end>", _MAPPING))),
    (_LIST_BREAKS, False, (("expected <block end>", _LIST),)),
    ("this does not belong to what stands above it: a file is one mapping, `key: value` line by "
     "line", False, (("document start", ""),)),
    ("a value is expected here", False, (("node content", ""),)),
    ("`!` begins a tag, which is not read: put the text in quotes", False, (("tag", ""),)),
    ("`&` and `*` begin anchors and aliases, which are not read: put the text in quotes", False,
     (("alphabetic or numeric", ""),)),
    ("a text after `|` or `>` begins on the next line", False,
     (("indentation indicator", ""), ("comment or line break", ""))),
    ("a line that begins with `%` is not read: delete it", False,
     (("directive", ""), ("YAML document", ""))),
)  # fmt: skip


def find_foreign_character(text: str) -> Problem | None:
    """The first character that no plan may hold, or None."""
    found = _FOREIGN.search(text)
    if found is None:
        return None
    lines = LINE_END.split(text[: found.start()])
    return Problem(
        message=f"the character U+{ord(found.group()):04X}, which cannot be seen, stands here: "
        "delete it",
        path="",
        line=len(lines),
        column=len(lines[-1]) + 1,
    )


def explain_error(error: yaml.YAMLError, text: str) -> Problem:
    """Say in plain words what the YAML parser stumbled over."""
    for find in (find_conflict, _find_odd_indent, _find_late_quote, find_line_fault):
        found = find(text, error)
        if found is not None:
            return found
    mark = getattr(error, "problem_mark", None)
    context_mark = getattr(error, "context_mark", None)
    problem = str(getattr(error, "problem", None) or "")
    context = str(getattr(error, "context", None) or "")
    place = mark or context_mark
    message, at_context = _word(problem, context, _character_at(text, place))
    if at_context and context_mark is not None:
        place = context_mark
    if "{context_line}" in message:
        line = context_mark.line + 1 if context_mark is not None else 1
        message = message.replace("{context_line}", str(line))
    line, column = _clamp(text, place)
    if (
        at_context
        and "a colon and a value" in message
        and is_glued(LINE_END.split(text)[line - 1], column - 1)
    ):
        message = "a space is missing after the colon: write `key: value`"
    return Problem(message=message, path="", line=line, column=column)


def _find_odd_indent(text: str, error: yaml.YAMLError) -> Problem | None:
    """Find a line up to the one at fault that is indented by what only looks like spaces."""
    mark = getattr(error, "problem_mark", None)
    if mark is None or text.isascii():
        return None
    for number, line in enumerate(LINE_END.split(text)[: mark.line + 1], 1):
        found = _ODD_INDENT.match(line)
        if found is not None:
            return Problem(
                message=f"the character U+{ord(found[1]):04X} stands here, which looks like a "
                "space and is none: indent with spaces",
                line=number,
                column=found.start(1) + 1,
            )
    return None


def _find_late_quote(text: str, error: yaml.YAMLError) -> Problem | None:
    """Find a text in quotes that runs over lines up to what YAML stumbled over behind it."""
    mark = getattr(error, "problem_mark", None)
    if mark is None or "quoted scalar" in str(getattr(error, "context", None)):
        return None
    last: Any = None
    try:
        for event in yaml.parse(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader)):
            if isinstance(event, yaml.ScalarEvent) and event.style in ("'", '"'):
                last = event
    except yaml.YAMLError:
        pass
    if last is None or not last.start_mark.line < last.end_mark.line == mark.line:
        return None
    return Problem(
        message=f"the quote that opens here is closed only in line {last.end_mark.line + 1}: "
        "close it where its text ends",
        line=last.start_mark.line + 1,
        column=last.start_mark.column + 1,
    )


def _word(problem: str, context: str, character: str) -> tuple[str, bool]:
    if character == "\t":
        return "a tab stands here: indent with spaces", False
    if "cannot start any token" in problem:
        shown = "a backquote" if character == "`" else show(character)
        return f"no value can begin with {shown}: put the text in quotes", False
    for words, at_context, faults in _WORDS:
        if any(part in problem and around in context for part, around in faults):
            return words, at_context
    return f"this is not YAML: {problem or 'the text cannot be read'}", False


def _character_at(text: str, mark: Any) -> str:
    if mark is None:
        return ""
    lines = LINE_END.split(text)
    if mark.line >= len(lines):
        return ""
    line: str = lines[mark.line]
    return line[mark.column : mark.column + 1]


def _clamp(text: str, mark: Any) -> tuple[int, int]:
    """A place in the text, 1-based, for a mark that may lie behind the text's end."""
    if mark is None:
        return 1, 1
    lines = LINE_END.split(text)
    while len(lines) > 1 and not lines[-1].strip():
        lines.pop()
    if mark.line >= len(lines):
        return len(lines), max(1, len(lines[-1]))
    return mark.line + 1, min(mark.column, max(0, len(lines[mark.line]) - 1)) + 1
