"""What an editor offers to do about what is marked: put in a key, write a waiver.

What is put in stays blank: facts, reasons and names are for whoever writes the plan.
"""

import re
from collections.abc import Iterator

from msgspec import Struct

from underfoot.checking.report import ReportedFinding
from underfoot.editor.declared import thing_at
from underfoot.editor.diagnostics import Mark
from underfoot.editor.judgement import Judgement
from underfoot.editor.mends import Offered
from underfoot.editor.outline import Outline, outline
from underfoot.editor.scan import Entry, Parts
from underfoot.editor.text_places import Place, Span, place_of
from underfoot.plan_format.declaration import Thing
from underfoot.plan_format.yaml_line import write_inline
from underfoot.reading.paths import split_path

_KEY_NAMED = re.compile(r"`([a-z_]+)`")
_MOST_KEYS = 6
# Looking for mends takes its time: of no more findings at once.
MOST_MENDED = 8


class Change(Struct, frozen=True, kw_only=True):
    """A part of the text with what is to stand in its place."""

    span: Span
    text: str


class Action(Struct, frozen=True, kw_only=True):
    """Something to do: in words, and the changes to the text. `about` is what it is an answer to.

    A mend was tried and clears its finding; other actions leave something to be filled in.
    """

    says: str
    changes: tuple[Change, ...]
    about: Mark | None = None
    is_mend: bool = False


def list_actions(
    told: Judgement, marks: tuple[Mark, ...], text: str, within: Span
) -> tuple[Action, ...]:
    """List what can be done about what is marked in a part of the text, mends apart."""
    actions: list[Action] = []
    findings = {each.number: each for each in told.findings}
    for mark in marks:
        if not _meets(mark.span, within):
            continue
        actions += _put_in_keys(mark, text)
        finding = findings.get(mark.number) if mark.number is not None else None
        if finding is not None and finding.waiver is None and finding.rule in told.waivable:
            action = _write_waiver(finding, mark, text)
            if action is not None:
                actions.append(action)
    return tuple(actions)


def as_action(mend: Offered, mark: Mark, text: str) -> Action:
    """A mend as something to do."""
    changes = tuple(
        Change(span=Span(place_of(text, each.start), place_of(text, each.end)), text=each.text)
        for each in mend.edits
    )
    return Action(says=mend.says, changes=changes, about=mark, is_mend=True)


def list_mendable(marks: tuple[Mark, ...], within: Span) -> tuple[Mark, ...]:
    """List the findings marked in a part of the text, the gravest first; of many not all."""
    met = [each for each in marks if each.number is not None and _meets(each.span, within)]
    return tuple(met[:MOST_MENDED])


def _meets(one: Span, other: Span) -> bool:
    return one.start <= other.end and other.start <= one.end


def _put_in_keys(mark: Mark, text: str) -> Iterator[Action]:
    """Keys that the thing marked lacks, and that are needed or that the words name."""
    path = split_path(mark.path)
    thing = thing_at(path)
    while thing is None and path:
        path = path[:-1]
        thing = thing_at(path)
    if thing is None:
        return
    lines = outline(text)
    there = {each.path[-1] for each in lines.below(path)}
    named = set(_KEY_NAMED.findall(mark.message))
    wanted = list(_list_wanted(thing, there, named, is_unread=mark.code == "unreadable"))
    for key in wanted[:_MOST_KEYS]:
        change = put_in(lines, path, f"{key}: ")
        if change is not None:
            where = ".".join(path) or "the plan"
            yield Action(says=f"Put in `{key}` of {where}", changes=(change,), about=mark)


def _list_wanted(
    thing: Thing, there: set[str], named: set[str], *, is_unread: bool
) -> Iterator[str]:
    either = {name for lot in thing.needs for name in (*lot.one, *lot.other)}
    for key in thing.keys:
        if key.name in there:
            continue
        if key.name in named and (key.needed or key.name in either or not is_unread):
            yield key.name


def put_in(lines: Outline, path: Parts, words: str) -> Change | None:
    """Put a key into a thing, in the style in which the thing is written."""
    inside = lines.below(path)
    if not path:
        return _at_the_end(lines, words)
    entry = lines.find(path)
    if entry is None:
        return None
    if entry.value is not None and not entry.text:
        close = entry.value.end
        if not _closes(lines, entry, "}"):
            return None
        last = max((each.whole.end for each in inside), default=None)
        place = last or (close[0], close[1] - 1)
        return Change(span=Span(place, place), text=f", {words}" if inside else words)
    if entry.text or (entry.inline and not inside):
        return None
    column = inside[0].whole.start[1] if inside else _indent_of(lines, entry) + 2
    end = max(each.whole.end for each in (entry, *inside))
    return Change(span=Span(end, end), text=f"\n{' ' * column}{words}")


def _indent_of(lines: Outline, entry: Entry) -> int:
    line = lines.lines[entry.whole.start[0]]
    return len(line) - len(line.lstrip(" "))


def _closes(lines: Outline, entry: Entry, sign: str) -> bool:
    assert entry.value is not None
    row, column = entry.value.end
    return lines.lines[row][column - 1 : column] == sign


def _at_the_end(lines: Outline, words: str) -> Change:
    last = len(lines.lines) - 1
    while last > 0 and not lines.lines[last].strip():
        last -= 1
    end: Place = (last, len(lines.lines[last]))
    return Change(span=Span(end, end), text=f"\n{words}")


def _write_waiver(finding: ReportedFinding, mark: Mark, text: str) -> Action | None:
    """A waiver of a finding, whose reason and name are to be filled in."""
    lines = outline(text)
    item = finding.items[0] if finding.items else finding.room
    blank: dict[str, object] = {"rule": finding.rule}
    if item is not None:
        blank["item"] = item
    words = write_inline({**blank, "reason": '""', "agreed_by": '""'})
    there = lines.find(("waivers",))
    if there is None:
        change = _at_the_end(lines, f"\nwaivers:\n  - {words}")
    elif there.value is not None:
        if there.text or not _closes(lines, there, "]"):
            return None
        row, column = there.value.end
        place = (row, column - 1)
        change = Change(
            span=Span(place, place), text=f", {words}" if lines.below(("waivers",)) else words
        )
    else:
        items = lines.below(("waivers",))
        column = items[0].whole.start[1] if items else 2
        end = max(each.whole.end for each in (there, *items))
        change = Change(span=Span(end, end), text=f"\n{' ' * column}- {words}")
    return Action(
        says=f"Write a waiver of {finding.rule}, with reason and name to be filled in",
        changes=(change,),
        about=mark,
    )
