"""What is amiss with a line that YAML stumbles over, or with the one above it that is to blame."""

import re
from typing import Any

import yaml

from underfoot.reading.problem import Problem

LINE_END = re.compile(r"\r\n|\r|\n")
_GLUED = re.compile(r"[^\s:#]+:[^\s:]")
# What begins a line: its indentation, and the `- ` of an item.
_BEGIN = re.compile(r"( *)(?:- +)*")
_KEY = re.compile(r"[^\s:#'\"][^:#'\"]*:(?:\s|$)")
_VALUE = re.compile(r":\s+[^\s#]")
# What looks like a colon and is none.
_ODD_COLON = re.compile("[\ua789\ufe55\uff1a]")
_QUOTES = ("'", '"')
_ALIASES = ("&", "*")
_BRACKETS = ("[", "]", "{", "}")
_IN_BRACKETS = re.compile(r"[][{},]")
# A word right before a bracket, at a line's begin or as an item of other brackets.
_FIRST_BEFORE_BRACKET = re.compile(r" *(?:- +)*([\w-][\w.-]*) +(?=[\[{])")
_ITEM_BEFORE_BRACKET = re.compile(r"[,{\[] *([\w-][\w.-]*) +(?=[\[{])")
# A longer text is not written out in what is advised.
_LONGEST_TEXT = 60


def find_line_fault(text: str, error: yaml.YAMLError) -> Problem | None:
    """Say what a line lacks or has too much; None where nothing is sure."""
    mark = getattr(error, "problem_mark", None)
    said = f"{getattr(error, 'problem', None)}"
    lines = LINE_END.split(text)
    if mark is None or mark.line >= len(lines):
        return None
    bare = _find_key_before_bracket(lines, mark, said)
    if bare is not None:
        return bare
    if "mapping values are not allowed" in said:
        return _find_missing_colon(lines, mark)
    if "expected key" in said or "expected <block end>" in said:
        return _find_misplaced(lines, mark, str(getattr(error, "context", None)))
    return None


def find_conflict(text: str, error: yaml.YAMLError) -> Problem | None:
    """Find what git leaves in a file of which two branches changed the same lines."""
    lines = LINE_END.split(text)
    begins = [number for number, line in enumerate(lines, 1) if line.startswith("<<<<<<< ")]
    if not begins or not any(line.startswith(">>>>>>> ") for line in lines):
        return None
    return Problem(
        message="two branches changed these lines, and git has left both (`<<<<<<<` to `>>>>>>>`): "
        "keep what is right, and delete the lines of marks",
        line=begins[0],
        column=1,
    )


def is_glued(line: str, column: int) -> bool:
    """Tell whether a key's colon has its value right behind it."""
    return _GLUED.match(line, column) is not None


def _find_key_before_bracket(lines: list[str], mark: Any, said: str) -> Problem | None:
    """Find the word before a `{` or `[` that was to be a key and has no colon."""
    if not any(
        words in said for words in ("mapping values", "expected key", "expected <", "',' or")
    ):
        return None
    number, line = mark.line, lines[mark.line]
    found = _FIRST_BEFORE_BRACKET.match(line, 0, mark.column + 1)
    if found is None and "',' or" in said:
        items = _ITEM_BEFORE_BRACKET.finditer(line)
        found = next((each for each in items if each.end() == mark.column), None)
    above = _line_above(lines, number)
    if found is None and above is not None and _is_unclosed(lines[above]):
        number, line = above, lines[above]
        found = _FIRST_BEFORE_BRACKET.match(line)
    if found is None:
        return None
    key, bracket = found[1], line[found.end()]
    return Problem(
        message=f"a colon is missing between `{key}` and `{bracket}`: write `{key}: {bracket}`",
        line=number + 1,
        column=found.start(1) + 1,
    )


def _find_missing_colon(lines: list[str], mark: Any) -> Problem | None:
    """Find a text that holds a colon, or the line above a key that was to be one, too."""
    line = lines[mark.line]
    here = _begin(line)
    key = _KEY.match(line, here)
    if key is None:
        return None
    if key.end() <= mark.column:
        said = _say_quoted(line[here : key.end()].strip(), line[key.end() :])
        return Problem(message=said, line=mark.line + 1, column=mark.column + 1)
    above = _line_above(lines, mark.line)
    if above is None:
        return None
    told, there = lines[above], _begin(lines[above])
    if _is_no_key(told, there):
        return Problem(message=_say_key(told, there), line=above + 1, column=there + 1)
    if here > there and _VALUE.search(told, there):
        return Problem(
            message=f"this line is indented by {_spaces(here)}, the line above it by {there}, "
            "which has a value already: indent what belongs together alike",
            line=mark.line + 1,
            column=here + 1,
        )
    return None


def _say_quoted(key: str, text: str) -> str:
    said = "a colon cannot stand here, in a text without quotes"
    text = text.partition(" #")[0].strip()
    if _IN_BRACKETS.search(text) or '"' in text or "\\" in text or len(text) > _LONGEST_TEXT:
        return f"{said}: put the text in quotes, or begin the key on a line of its own"
    return f'{said}: write `{key} "{text}"`, or begin the key on a line of its own'


def _say_key(line: str, begin: int) -> str:
    if is_glued(line, begin):
        return "a space is missing after the colon: write `key: value`"
    odd = _ODD_COLON.search(line, begin)
    if odd is not None:
        return (
            f"the character U+{ord(odd.group()):04X} stands here, which looks like a colon and is "
            "none: write `key: value`"
        )
    if "=" in line[begin:]:
        return "a `=` stands here in a colon's place: write `key: value`"
    return "a colon and a value are missing after this: write `key: value`"


def _find_misplaced(lines: list[str], mark: Any, context: str) -> Problem | None:
    """Find what follows a value on its own line, or a line that is indented like none above."""
    line, above = lines[mark.line], _line_above(lines, mark.line)
    before = line[: mark.column].rstrip()
    said = None
    if before.strip(" -"):
        said = _say_left_over(before, line[mark.column : mark.column + 1])
    elif "mapping" not in context:
        pass
    elif line[mark.column : mark.column + 2] in ("- ", "-"):
        said = "a list's `-` stands here among keys: delete it, or indent the list below its key"
    elif above is not None:
        told = lines[above]
        there = _begin(told)
        if there == mark.column and _is_no_key(told, there):
            return Problem(message=_say_key(told, there), line=above + 1, column=there + 1)
        said = _say_indent(lines, above, mark.column)
    if said is None:
        return None
    return Problem(message=said, line=mark.line + 1, column=mark.column + 1)


def _say_left_over(before: str, sign: str) -> str | None:
    if sign and sign in "}]":
        return f"this `{sign}` closes nothing: delete it"
    if before.endswith(_QUOTES):
        twice = f", and write a {before[-1]} in it twice" if before.endswith("'") else ""
        return f"the quote is closed before this: put the whole text in quotes{twice}"
    if before.split()[-1].startswith(_ALIASES):
        return "`&` and `*` begin anchors and aliases, which are not read: put the text in quotes"
    return None


def _say_indent(lines: list[str], above: int, column: int) -> str:
    """Name the line above, and the last one that is indented less: either may be to blame."""
    there = _indent(lines[above])
    told = f"line {above + 1} is indented by {there}"
    while there >= column:
        less = _line_above(lines, above)
        if less is None:
            break
        above, there = less, _indent(lines[less])
    if there < column and not told.endswith(f" {there}"):
        told += f", line {above + 1} by {there}"
    return (
        f"this line, indented by {_spaces(column)}, does not fit the lines above it ({told}): "
        "indent what belongs together alike, and write `key: value`"
    )


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip(" "))


def _is_no_key(line: str, begin: int) -> bool:
    """Tell whether a line was to be a key and is none, and no part of what stands in brackets."""
    text = line[begin:].rstrip()
    is_part = text.startswith(_BRACKETS) or text.endswith(",") or _is_unclosed(text)
    return _KEY.match(line, begin) is None and not is_part


def _is_unclosed(text: str) -> bool:
    """Tell whether brackets open or close in a text that do the other elsewhere."""
    return any(text.count(opened) != text.count(closed) for opened, closed in ("[]", "{}"))


def _line_above(lines: list[str], number: int) -> int | None:
    """Return the last line above that says something."""
    for above in range(number - 1, -1, -1):
        said = lines[above].strip()
        if said and not said.startswith("#"):
            return above
    return None


def _begin(line: str) -> int:
    found = _BEGIN.match(line)
    return found.end() if found is not None else 0


def _spaces(number: int) -> str:
    return f"{number} space" if number == 1 else f"{number} spaces"
