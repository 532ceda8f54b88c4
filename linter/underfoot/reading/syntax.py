"""YAML -> plain data and a table from path to line and column; the input limits live here."""

import gc
import math
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import yaml
from msgspec import Struct
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
)

from underfoot.reading.events import find_first_key, open_events
from underfoot.reading.paths import write_component
from underfoot.reading.problem import Problem, problem_at
from underfoot.reading.source_text import ReadingEndedError, decode
from underfoot.reading.surrogates import join_surrogates
from underfoot.reading.wording import show
from underfoot.reading.yaml_errors import explain_error

__all__ = ["Parsed", "Position", "collector_paused", "find_first_key", "parse"]

MOST_NODES = 300_000
MOST_LEVELS = 64
_MOST_DIGITS = 17
_SHORT = 24

Position = tuple[int, int]

_JSON_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(\.[0-9]+)?([eE][+-]?[0-9]+)?")
_JSON_WORDS: dict[str, bool | None] = {"true": True, "false": False, "null": None, "": None}
_NUMBER_STARTS = frozenset("-0123456789")
_TOO_LARGE = object()
# Marks the inside of what is left out of the data (the second of two equal keys): nothing in
# there may take the place of a position in the data. Keys that hold it are written as JSON text.
_DEAD = "\x00"


class Parsed(Struct, frozen=True, kw_only=True):
    """What the text says, read as JSON reads it.

    `data` holds dicts, lists, text, numbers, true and false; keys whose value is null are left
    out, nulls in lists stay. It is None where reading ended early. `positions` gives line and
    column, 1-based, of each path: of the key of a mapping's entry, of a list's item itself; "" is
    the document. `broken` are the paths whose value could not be read, so that nothing complains
    that they are missing.
    """

    data: Any
    positions: dict[str, Position]
    problems: tuple[Problem, ...]
    broken: frozenset[str] = frozenset()


@dataclass(slots=True)
class _Findings:
    positions: dict[str, Position] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    broken: set[str] = field(default_factory=set)

    def report(self, message: str, path: str, position: Position) -> None:
        self.problems.append(problem_at(message, path.split(_DEAD)[0].removesuffix("."), position))


def parse(source: bytes, *, pure: bool = False) -> Parsed:
    """Read YAML into plain data with positions and all problems that are seen on the way.

    `pure` takes PyYAML's Python parser even where its C parser is there.
    """
    try:
        text = decode(source)
    except ReadingEndedError as failure:
        return Parsed(data=None, positions={}, problems=(failure.problem,))
    data, findings = _read_text(text, pure=pure)
    if data is None and findings.problems:
        joined = join_surrogates(text)
        if joined.text != text:
            data, findings = _read_text(joined.text, pure=pure)
            joined.set_back(findings.positions, findings.problems)
    positions = findings.positions
    if findings.problems:
        positions = {path: at for path, at in positions.items() if _DEAD not in path}
    return Parsed(
        data=data,
        positions=positions,
        problems=tuple(findings.problems),
        broken=frozenset(findings.broken),
    )


def _read_text(text: str, *, pure: bool) -> tuple[Any, _Findings]:
    findings = _Findings()
    try:
        with collector_paused():
            return _read_events(open_events(text, pure=pure), findings), findings
    except ReadingEndedError as failure:
        findings.problems.append(failure.problem)
    except yaml.YAMLError as error:
        findings.problems.append(explain_error(error, text))
    return None, findings


@contextmanager
def collector_paused() -> Iterator[None]:
    """Keep the cyclic collector from walking the growing data again and again."""
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.enable()


def _read_events(next_event: Callable[[], Any], findings: _Findings) -> Any:
    event: Event = next_event()
    while event.__class__ is not DocumentStartEvent:
        if event.__class__ is StreamEndEvent:
            raise ReadingEndedError(Problem(message="the file is empty"))
        event = next_event()
    data = _read_document(next_event, findings)
    next_event()
    event = next_event()
    if event.__class__ is DocumentStartEvent:
        findings.report(
            "a second document begins here: write one document in a file",
            "",
            _position_of(event),
        )
    if data is None and not findings.problems:
        raise ReadingEndedError(Problem(message="the file is empty"))
    return data


def _read_document(next_event: Callable[[], Any], findings: _Findings) -> Any:
    """Build the data of one document from its events."""
    positions = findings.positions
    root: list[Any] = []
    stack: list[tuple[Any, bool, str, str | None]] = []
    holder: Any = root  # what is being filled,
    is_mapping = False
    prefix = ""  # the start of its entries' paths,
    key: str | None = None  # and the key that waits for its value
    path = ""
    nodes = 0
    while True:
        event = next_event()
        kind = event.__class__
        if kind is ScalarEvent:
            plain = event.anchor is None and event.tag is None
            if is_mapping and key is None:
                key = event.value
                if plain and key and key != "<<":
                    # The way of nearly every key: a word that is new in its mapping.
                    path = prefix + write_component(key)
                    if path not in positions:
                        mark = event.start_mark
                        positions[path] = (mark.line + 1, mark.column + 1)
                        nodes += 1
                        continue
                key, path = _read_key(event, kind, prefix, findings)
                nodes += 1
                continue
        elif kind is MappingEndEvent or kind is SequenceEndEvent:
            holder, is_mapping, prefix, key = stack.pop()
            if not stack:
                return root[0]
            continue
        else:
            plain = kind is not AliasEvent and event.anchor is None and event.tag is None
            if is_mapping and key is None:
                key, path = _read_key(event, kind, prefix, findings)
                nodes += 1
                if kind is not AliasEvent:
                    # A key that is a mapping or a list: its inside goes nowhere.
                    stack.append((holder, True, prefix, key))
                    holder, key = _open_holder(kind), None
                    is_mapping, prefix = kind is MappingStartEvent, path + "."
                continue
        nodes += 1
        if nodes > MOST_NODES:
            raise ReadingEndedError(_too_many_nodes(event))
        if not is_mapping:
            path = f"{prefix}{len(holder)}" if stack else ""
            mark = event.start_mark
            positions[path] = (mark.line + 1, mark.column + 1)
        if not plain:
            _refuse_properties(event, kind, path, findings)
        if kind is ScalarEvent:
            value = event.value
            if not event.style:
                value = read_plain(value)
                if value is _TOO_LARGE:
                    value = None
                    _report_too_large(event, path, findings)
        elif kind is AliasEvent:
            value = None
        else:
            value = _open_holder(kind)
        if not is_mapping:
            holder.append(value)
        else:
            if value is not None and _DEAD not in path:
                holder[key] = value
            elif value is None and kind is ScalarEvent:
                _refuse_decimal_comma(event, str(key), holder, prefix, path, findings)
            key = None
        if kind is MappingStartEvent or kind is SequenceStartEvent:
            stack.append((holder, is_mapping, prefix, None))
            if len(stack) > MOST_LEVELS:
                raise ReadingEndedError(_too_deep(event, path))
            holder, is_mapping = value, kind is MappingStartEvent
            prefix = path + "." if path else ""
        elif not stack:
            return value


def _open_holder(kind: type[Event]) -> dict[str, Any] | list[Any]:
    return {} if kind is MappingStartEvent else []


def _read_key(event: Any, kind: type[Event], prefix: str, findings: _Findings) -> tuple[str, str]:
    """The key's text and its path; a key that cannot be taken has a path that is dead."""
    parent = prefix[:-1]
    position = _position_of(event)
    if kind is AliasEvent or event.anchor is not None or event.tag is not None:
        _refuse_properties(event, kind, parent, findings)
    if kind is not ScalarEvent:
        if kind is not AliasEvent:
            findings.report("a key is a single word of text", parent, position)
        findings.broken.add(parent)
        return "", f"{prefix}{_DEAD}{position}"
    key: str = event.value
    if key == "<<" and not event.style:
        findings.report("`<<` (a merge key) is not read: write the keys out here", parent, position)
        findings.broken.add(parent)
        return key, f"{prefix}{_DEAD}{position}"
    if not key:
        findings.report("the key before this colon is missing", parent, position)
        return key, f"{prefix}{_DEAD}{position}"
    path = prefix + write_component(key)
    first = findings.positions.setdefault(path, position)
    if first is not position:
        findings.report(
            f"{show(key)} stands here twice, first in line {first[0]}: keep one of the two",
            path,
            position,
        )
        return key, f"{path}{_DEAD}{position}"
    return key, path


def read_plain(text: str) -> Any:
    """An unquoted scalar as JSON would read it; all that is no JSON is text."""
    if text[:1] not in _NUMBER_STARTS:
        return _JSON_WORDS.get(text, text)
    return _read_short(text) if len(text) <= _SHORT else _read_number(text)


def _read_number(text: str) -> Any:
    """A number as JSON would read it, `_TOO_LARGE`, or the text that is none."""
    number = _JSON_NUMBER.fullmatch(text)
    if number is None:
        return text
    if number.group(1) is None and number.group(2) is None and len(text) <= _MOST_DIGITS:
        return int(text)
    value = float(text)
    return _TOO_LARGE if math.isinf(value) else value


# The same few numbers stand in nearly every plan.
_read_short = lru_cache(maxsize=4096)(_read_number)


def _refuse_decimal_comma(
    event: Any, key: str, holder: dict[str, Any], prefix: str, path: str, findings: _Findings
) -> None:
    """Refuse a number's end that a comma in braces has made a key: `{thickness: 2,5 mm}`."""
    line, column = findings.positions.get(path, (0, 0))
    mark = event.start_mark
    has_colon = (mark.line + 1, mark.column + 1) != (line, column + len(key))
    if has_colon or not key[:1].isdecimal() or not holder:
        return
    before, number = next(reversed(holder.items()))
    if isinstance(number, int) and not isinstance(number, bool):
        findings.report(
            f"a comma parts entries here, so {show(str(number))} stands without {show(',' + key)}: "
            f"write {show(f'{before}: {number}.{key}')} with a point",
            prefix + write_component(before),
            (line, column),
        )


def _report_too_large(event: Any, path: str, findings: _Findings) -> None:
    findings.report(
        f"the number {show(event.value)} is too large to be read", path, _position_of(event)
    )
    findings.broken.add(path)


def _refuse_properties(event: Any, kind: type[Event], path: str, findings: _Findings) -> None:
    """Report an alias, an anchor or a tag."""
    position = _position_of(event)
    if kind is AliasEvent:
        findings.report(
            f"{show('*' + event.anchor)} (an alias) is not read: write the values out here",
            path,
            position,
        )
        findings.broken.add(path)
        return
    if event.anchor is not None:
        findings.report(
            f"{show('&' + event.anchor)} (an anchor) is not read: delete it, and write the values "
            "out where they are needed",
            path,
            position,
        )
    if event.tag is not None:
        tag = event.tag
        if tag.startswith("tag:yaml.org,2002:"):
            tag = tag.replace("tag:yaml.org,2002:", "!!")
        findings.report(f"{show(tag)} (a tag) is not read: delete it", path, position)


def _position_of(event: Any) -> Position:
    return (event.start_mark.line + 1, event.start_mark.column + 1)


def _too_many_nodes(event: Any) -> Problem:
    return problem_at(
        f"the file holds more than {MOST_NODES:,} keys and values: divide it into several files",
        "",
        _position_of(event),
    )


def _too_deep(event: Any, path: str) -> Problem:
    return problem_at(
        f"more than {MOST_LEVELS} levels stand inside one another here: nothing in the format "
        "goes so deep",
        ".".join(path.split(_DEAD)[0].split(".")[:8]),
        _position_of(event),
    )
