"""YAML with slips in it, parsed without the lines that are none.

There are two ways, and what keeps more is taken. The text is taken apart by its indentation: what
stands at one depth is read entry by entry, an entry that cannot be read is gone through in the same
way, and its smallest part that cannot be read is left blank. Or, where the parser breaks off, that
line or one of the few before it is left blank, again and again. Either way all else keeps its line.
"""

import re
from collections.abc import Iterator, Sequence

import yaml
from msgspec import Struct
from yaml.events import MappingStartEvent, SequenceStartEvent, StreamEndEvent

from underfoot.reading.events import open_events
from underfoot.reading.paths import join_path, split_path
from underfoot.reading.syntax import Parsed, parse

LONGEST_TEXT = 100_000
_DEEPEST = 24
# Each round blanks the line at which the one before it broke off.
_MOST_ROUNDS = 8
# Where the syntax breaks off, the slip stands in that line or in one of the few before it.
_BEFORE = 5
# As few lines blank are all that a slip cost: the other way would not keep more.
_FEW = 2

_KEY = re.compile(
    r"(\"(?:[^\"\\]|\\.)*\"|'(?:[^']|'')*'|[^\s#:{}\[\],&*!|>'\"%@`-][^:#]*?)\s*:(?=\s|$)"
)
_HEAD = re.compile(_KEY.pattern + r"\s*(?:#.*)?$")
_ITEM = re.compile(r"-(?=\s|$)\s*")
_LONE = re.compile(r"[\w-]+$")
_WORD = re.compile(r"[A-Za-z_][\w-]*")


class Around(Struct, frozen=True, kw_only=True):
    """What was parsed of a text, and the paths of what was left blank.

    Of a word that is no entry yet that is the path which it would have.
    """

    parsed: Parsed
    blank: tuple[str, ...]


def parse_around(source: bytes) -> Around | None:
    """Parse a text without what is no YAML in it; None where nothing is left, or it is too long."""
    if len(source) > LONGEST_TEXT:
        return None
    # A byte that is no UTF-8 leaves a mark that no plan may hold: its line is left blank.
    lines = source.decode("utf-8", "replace").replace("\ufffd", "\x00").split("\n")
    first = _blank_by_entries(lines)
    found = _parse_lines(lines, first)
    if found is not None and len(first) <= _FEW:
        return found
    second = _blank_where_it_breaks(lines, source)
    other = None if second is None else _parse_lines(lines, second)
    if found is None or (other is not None and _kept(other) > _kept(found)):
        return other
    return found


def _kept(around: Around) -> int:
    return len(around.parsed.positions)


def _parse_lines(lines: Sequence[str], blank: frozenset[int]) -> Around | None:
    left = ["" if row in blank else line for row, line in enumerate(lines)]
    parsed = parse("\n".join(left).encode("utf-8"))
    if parsed.data is None:
        return None
    paths: dict[str, None] = {}
    for row in sorted(blank):
        if _says(lines[row]) and _find_above(lines, row) not in blank:
            paths.update(dict.fromkeys(_paths_at(lines, row)))
    return Around(parsed=parsed, blank=tuple(paths))


def _find_above(lines: Sequence[str], row: int) -> int | None:
    """The line that a line belongs to: the nearest above it that stands less deep."""
    depth = _indent(lines[row])
    return next(
        (
            above
            for above in range(row - 1, -1, -1)
            if _says(lines[above]) and _indent(lines[above]) < depth
        ),
        None,
    )


def _paths_at(lines: Sequence[str], row: int) -> Iterator[str]:
    """The path of what stands in a line; where its depth or word says little, of all round it."""
    yield _path_at(lines, row)
    is_astray = not _part_of(lines, row) or not _fits(lines, row)
    if is_astray:
        yield from _paths_before(lines, row)
    above = _find_above(lines, row)
    if above is not None and (not _opens(lines[above]) or (is_astray and _indent(lines[above]))):
        # What it stands below may be astray itself: both may belong to what stands before that.
        yield from _paths_before(lines, above)


def _paths_before(lines: Sequence[str], row: int) -> Iterator[str]:
    """The paths of what stands before a line, and of all that holds it."""
    before = next((above for above in range(row - 1, -1, -1) if _says(lines[above])), None)
    if before is not None:
        parts = split_path(_path_at(lines, before))
        yield from (join_path(parts[:end]) for end in range(min(2, len(parts)), len(parts) + 1))


def _opens(line: str) -> bool:
    """Whether what stands deeper below a line can belong to it."""
    words = line.strip()
    return bool(_HEAD.match(words) or _LONE.match(words) or _ITEM.match(words))


def _fits(lines: Sequence[str], row: int) -> bool:
    """Whether a line stands as deep as one above it in the same block, or opens one.

    One that goes on with what the line before it began is no entry by itself; nor is one that has
    its value, and deeper lines after it: these belong to what stands before it, as it may itself.
    """
    depth = _indent(lines[row])
    after = next((line for line in lines[row + 1 :] if _says(line)), "")
    if _indent(after) > depth and not _opens(lines[row]):
        return False
    passed_any = False
    for above in range(row - 1, -1, -1):
        if _says(lines[above]) and lines[above].rstrip().endswith((",", "{", "[")):
            return False
        if _says(lines[above]) and _indent(lines[above]) <= depth:
            return _indent(lines[above]) == depth or not passed_any
        passed_any = passed_any or _says(lines[above])
    return False


def _path_at(lines: Sequence[str], row: int) -> str:
    """The path of what stands in a line, by the lines above it that stand less deep."""
    parts = [_part_of(lines, row)]
    depth = _indent(lines[row])
    for above in range(row - 1, -1, -1):
        line = lines[above]
        is_list = _is_item(lines[row]) and not _is_item(line) and _indent(line) == depth
        if not _says(line) or (_indent(line) >= depth and not is_list):
            continue
        parts += _parts_of_head(lines, above, depth)
        depth = _indent(line)
        row = above
    return join_path(part for part in reversed(parts) if part)


def _parts_of_head(lines: Sequence[str], row: int, depth: int) -> list[str]:
    """The parts that a line above gives what stands so deep, the innermost first.

    ``- key:`` gives two to what stands deeper than its key, and one to what stands as deep.
    """
    words = lines[row].strip()
    item = _ITEM.match(words)
    if item is None:
        return [_part_of(lines, row)]
    key = _KEY.match(words, item.end()) if _indent(lines[row]) + item.end() < depth else None
    return ([key[1].strip("\"'")] if key is not None else []) + [_part_of(lines, row)]


def _part_of(lines: Sequence[str], row: int) -> str:
    words = lines[row].strip()
    if _is_item(lines[row]):
        depth = _indent(lines[row])
        number = 0
        for above in range(row - 1, -1, -1):
            line = lines[above]
            if _says(line) and (_indent(line) < depth or not _is_item(line)):
                if _indent(line) <= depth:
                    break
            elif _says(line) and _indent(line) == depth:
                number += 1
        return str(number)
    key = _KEY.match(words)
    found = key if key is not None else _WORD.match(words)
    return "" if found is None else found.group(1 if key is not None else 0).strip("\"'")


def _is_item(line: str) -> bool:
    return _ITEM.match(line.lstrip(" ")) is not None


def _says(line: str) -> bool:
    """Whether there is more in a line than a remark."""
    words = line.strip()
    return bool(words) and not words.startswith("#")


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip(" "))


def _blank_by_entries(lines: Sequence[str]) -> frozenset[int]:
    """Find the lines that are to be blank, entry by entry."""
    return frozenset(_go_through(list(lines), 0, len(lines), 0))


def _go_through(lines: list[str], start: int, end: int, level: int) -> Iterator[int]:
    """Go through the entries of one block, and into those that cannot be read."""
    first = next((row for row in range(start, end) if _says(lines[row])), None)
    if first is None:
        return
    depth = _indent(lines[first])
    for row in range(first, end):
        # Less deep than its block, or by tabs: a line that belongs to nothing.
        if _says(lines[row]) and _is_astray(lines[row], depth):
            lines[row] = ""
            yield row
    wanted = None
    for head, after in _list_entries(lines, first, end, depth):
        kind = _kind_of(lines[head:after])
        wanted = wanted or kind
        if kind is None or kind is not wanted:
            yield from _mend(lines, head, after, level)


def _is_astray(line: str, depth: int) -> bool:
    indent = _indent(line)
    return line[indent] not in "]}" and (indent < depth or line[indent] == "\t")


def _list_entries(
    lines: Sequence[str], start: int, end: int, depth: int
) -> Iterator[tuple[int, int]]:
    """List the entries at a depth: each from its first line to before the next one's."""
    is_mapping = not _is_item(lines[start])
    head = start
    for row in range(start + 1, end):
        line = lines[row]
        if not _says(line) or _indent(line) != depth or line[depth] in "]}":
            continue
        if is_mapping and _is_item(line):
            continue  # a list may stand no deeper than its key
        yield head, row
        head = row
    yield head, end


def _mend(lines: list[str], head: int, after: int, level: int) -> Iterator[int]:
    """Find what is to be blank of an entry that cannot be read."""
    line = lines[head]
    first_blank = head
    if level < _DEEPEST:
        if _is_item(line):
            yield from _mend_item(lines, head, after, level)
            return
        if after - head > 1 and _HEAD.match(line.strip()):
            yield from _go_through(lines, head + 1, after, level + 1)
            return
        if after - head > 1 and _kind_of([line]) is not None:
            first_blank = head + 1  # the line is whole: what is wrong is what follows it
    for row in range(first_blank, after):
        if lines[row]:
            lines[row] = ""
            yield row


def _mend_item(lines: list[str], head: int, after: int, level: int) -> Iterator[int]:
    """Go through an item of a list as if its dash were not there."""
    line = lines[head]
    dash = line.index("-")
    lines[head] = f"{line[:dash]} {line[dash + 1 :]}"
    yield from _go_through(lines, head if lines[head].strip() else head + 1, after, level + 1)


def _kind_of(lines: Sequence[str]) -> type | None:
    """Whether lines can be read alone, as a mapping or a list in a block; None where not."""
    try:
        next_event = open_events("\n".join(lines))
        for _ in range(2):
            next_event()
        opening = next_event()
        while next_event().__class__ is not StreamEndEvent:
            pass
    except yaml.YAMLError:
        return None
    if not isinstance(opening, MappingStartEvent | SequenceStartEvent) or opening.flow_style:
        return None
    return opening.__class__


def _blank_where_it_breaks(lines: Sequence[str], source: bytes) -> frozenset[int] | None:
    """Find the lines that are to be blank, where the parser breaks off."""
    parsed = parse(source)
    blank: frozenset[int] = frozenset()
    for _ in range(_MOST_ROUNDS):
        if parsed.data is not None:
            return blank
        if not parsed.problems:
            return None
        broken = parsed.problems[0].line
        tries = []
        for place in range(min(broken, len(lines)) - 1, max(-1, broken - _BEFORE), -1):
            without = blank | {place}
            left = "\n".join("" if row in without else line for row, line in enumerate(lines))
            found = parse(left.encode("utf-8", "replace"))
            if found.data is not None:
                return without
            tries.append((_how_far(found), without, found))
        if not tries:
            return None
        far, blank, found = max(tries, key=lambda one: one[0])
        if far <= broken:
            return None
        parsed = found
    return None


def _how_far(parsed: Parsed) -> float:
    return parsed.problems[0].line if parsed.problems else float("inf")
