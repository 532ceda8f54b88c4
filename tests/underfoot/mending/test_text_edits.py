"""Edits of a plan's text: the data is as patched, and all else stands as it did."""

import json
import re
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import astuple

from tests.demo_plans import PLANS
from tests.effort import examples
from tests.there import there
from tests.underfoot.mending.edits_at_random import list_paths, patches, value_at
from underfoot.checking.mend import Edit
from underfoot.mending.patch import is_same, patch_data, patch_document
from underfoot.mending.text_edits import Edited, edit_text, locate_edits
from underfoot.reading.source_text import locate_end
from underfoot.reading.syntax import parse

TEXTS = tuple(
    place.read_text("utf-8")
    for place in sorted(PLANS.glob("*.yaml"))
    if not parse(place.read_bytes()).problems
)


def _data(text: str) -> Any:
    parsed = parse(text.encode())
    assert not parsed.problems, parsed.problems
    return parsed.data


def _make(text: str, edited: Edited) -> str:
    """Make the edits by themselves, from the last to the first, each apart from the next."""
    made = text
    before = len(text) + 1
    for edit in reversed(edited.edits):
        assert 0 <= edit.start <= edit.end < before
        made = made[: edit.start] + edit.text + made[edit.end :]
        before = edit.start
    return made


def _without_null(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: _without_null(value) for key, value in data.items() if value is not None}
    return [_without_null(value) for value in data] if isinstance(data, list) else data


def _as_block(text: str) -> str:
    return str(
        yaml.safe_dump(_data(text), default_flow_style=False, allow_unicode=True, sort_keys=False)
    )


def _as_flow(text: str) -> str:
    return str(yaml.safe_dump(_data(text), default_flow_style=True, allow_unicode=True, width=60))


def _as_json(text: str) -> str:
    return json.dumps(_data(text), indent=1)


def _with_crlf(text: str) -> str:
    return "\ufeff" + text.replace("\n", "\r\n")


def _with_remarks(text: str) -> str:
    """A remark behind every line, and one on a line of its own above it, where that may be."""
    lines = []
    for line in text.split("\n"):
        blank = line[: len(line) - len(line.lstrip())]
        lines.append(f"{blank}# above é")
        lines.append(f"{line}  # behind \U0001f600" if line.strip() else line)
    return "\n".join(lines)


def _with_gaps(text: str) -> str:
    """Keys whose value is left out, in brackets and not."""
    return re.sub(r"(?<=\w)}", ", gap: }", text).replace("circuits:\n", "circuits:\n  gap:\n")


WAYS = (str, _with_gaps, _as_block, _as_flow, _as_json, _with_crlf, _with_remarks)


@pytest.mark.oracle
@examples(120)
@given(st.data())
def test_the_text_says_what_the_patched_data_says(draw: st.DataObject) -> None:
    text = draw.draw(st.sampled_from(WAYS))(draw.draw(st.sampled_from(TEXTS)))
    data = _data(text)
    patch = draw.draw(patches(data))
    edited = edit_text(text, patch)
    assert edited is not None, patch
    assert _make(text, edited) == edited.text
    assert is_same(_data(edited.text), _without_null(patch_data(data, patch)))
    if "\r\n" in text:
        assert edited.text.count("\n") == edited.text.count("\r\n")
        assert edited.text.startswith("\ufeff")


@pytest.mark.oracle
@examples(60)
@given(st.data())
def test_a_changed_value_is_one_changed_line(draw: st.DataObject) -> None:
    text = draw.draw(st.sampled_from((str, _as_json, _with_crlf, _with_remarks)))(
        draw.draw(st.sampled_from(TEXTS))
    )
    data = _data(text)
    figures = [path for path in list_paths(data) if isinstance(value_at(data, path), int | float)]
    path = draw.draw(st.sampled_from(figures))
    edited = there(edit_text(text, [Edit(op="replace", path=path, value=77_777)]))
    before, after = text.splitlines(keepends=True), edited.text.splitlines(keepends=True)
    assert len(before) == len(after)
    differing = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert len(differing) == 1
    ((was, now),) = differing
    assert was.rpartition("#")[2] == now.rpartition("#")[2] or "#" not in was
    assert "77777" in now


PLAN = """\
# head
a:
  at: [60,  60]   # where
  lengths: [1, 2,
            3, 4]  # c
  n:
leads:   # in the border
  W1: {c: C1, route: [box, [30, 1500]]}   # first
                                          # goes on
  # about W2
  W2: {c: C1}

# about l
l:
- a: 1     # one
  b: 2
# two
- {a: 2}
empty: {}   # nothing
date: "2026-01-01"
one: 'it''s'
end: x  # the last
"""
JSON = """\
{
  "a": {"b": [1, 2], "c": "x"},
  "d": [
    1,
    2
  ],
  "e": {}
}
"""


def _edit(op: Any, path: str, value: Any = None) -> Edit:
    parts = [int(part) if part.isdigit() else part for part in path.split(".")]
    return Edit(op=op, path=tuple(parts), value=value)


# What is taken out of the text, and what stands there then.
@pytest.mark.parametrize(
    ("patch", "was", "now"),
    [
        ([_edit("replace", "a.at", [60, 70.0])], "[60,  60]", "[60,  70]"),
        ([_edit("replace", "a.at", [60.0, 60.0])], "", ""),
        ([_edit("add", "a.lengths.-", 5)], "3, 4]", "3, 4, 5]"),
        ([_edit("add", "a.lengths.2", 9)], "3, 4]", "9, 3, 4]"),
        ([_edit("remove", "a.lengths.2")], "3, 4]", "4]"),
        ([_edit("remove", "a.lengths.3")], "3, 4]", "3]"),
        ([_edit("remove", "a.lengths.0")], "[1, 2,", "[2,"),
        ([_edit("replace", "a.lengths", [1, 2, 4])], "3, 4]", "4]"),
        ([_edit("replace", "a.lengths", [])], "[1, 2,\n            3, 4]", "[]"),
        ([_edit("add", "a.n", "5 mm")], "  n:\n", "  n: 5 mm\n"),
        ([_edit("add", "a.n", {"x": {"y": 1}})], "  n:\n", "  n:\n    x: {y: 1}\n"),
        ([_edit("add", "a.z", 1)], "  n:\n", "  n:\n  z: 1\n"),
        ([_edit("add", "leads.W3", {"c": "C2"})], "C1}\n\n", "C1}\n  W3: {c: C2}\n\n"),
        (
            [_edit("remove", "leads.W1")],
            "  W1: {c: C1, route: [box, [30, 1500]]}   # first\n"
            "                                          # goes on\n",
            "",
        ),
        ([_edit("remove", "leads.W2")], "  W2: {c: C1}\n", ""),
        ([_edit("add", "leads.W1.size", "1.5 mm2")], "1500]]}", "1500]], size: 1.5 mm2}"),
        ([_edit("add", "leads.W1.route.1", [30, 30])], "[box, [30,", "[box, [30, 30], [30,"),
        ([_edit("remove", "leads.W2.c")], "{c: C1}\n\n", "{}\n\n"),
        ([_edit("add", "l.1", {"q": 1})], "  b: 2\n", "  b: 2\n- {q: 1}\n"),
        ([_edit("add", "l.0", {"q": 1})], "- a: 1 ", "- {q: 1}\n- a: 1 "),
        ([_edit("add", "l.0.c", "yes")], "  b: 2\n", '  b: 2\n  c: "yes"\n'),
        ([_edit("remove", "l.0")], "- a: 1     # one\n  b: 2\n", ""),
        ([_edit("remove", "l.0.a")], "- a: 1     # one\n  b: 2\n", "- b: 2\n"),
        ([_edit("remove", "l.0.b")], "  b: 2\n", ""),
        (
            [_edit("add", "empty.A", {"q": 2})],
            "empty: {}   # nothing\n",
            "empty:   # nothing\n  A: {q: 2}\n",
        ),
        ([_edit("add", "empty.A", 2)], "{}   #", "{A: 2}   #"),
        ([_edit("replace", "date", "2026-02-02")], '"2026-01-01"', '"2026-02-02"'),
        ([_edit("replace", "date", 5)], '"2026-01-01"', "5"),
        ([_edit("replace", "one", "that's")], "it''s", "that''s"),
        ([_edit("replace", "one", "a\u202eb")], "'it''s'", '"a\\u202eb"'),
        ([_edit("replace", "end", "2026-02-02")], "end: x", 'end: "2026-02-02"'),
        ([_edit("replace", "end", "a: b")], "end: x", 'end: "a: b"'),
        ([_edit("replace", "end", "-5 degC")], "end: x", "end: -5 degC"),
        ([_edit("replace", "end", "5")], "end: x", 'end: "5"'),
        ([_edit("replace", "a", 5)], PLAN[PLAN.index("a:\n") : PLAN.index("leads")], "a: 5\n"),
        ([_edit("remove", "end")], "end: x  # the last\n", ""),
        (
            [_edit("add", "new", {"k": {"z": [1, {"u": 1}]}})],
            "# the last\n",
            "# the last\nnew:\n  k: {z: [1, {u: 1}]}\n",
        ),
        (
            [_edit("remove", "leads.W1"), _edit("remove", "leads.W2")],
            PLAN[PLAN.index("leads") : PLAN.index("\n# about l")],
            "leads: {}   # in the border\n  # about W2\n",
        ),
        (
            [_edit("add", "leads.W3", {"c": 40 * "C", "size": "1 mm2", "route": ["A", 45 * "B"]})],
            "C1}\n\n",
            f"C1}}\n  W3: {{c: {40 * 'C'}, size: 1 mm2,\n       route: [A, {45 * 'B'}]}}\n\n",
        ),
    ],
)  # fmt: skip
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_what_is_written(patch: list[Edit], was: str, now: str, ends: str) -> None:
    text = PLAN.replace("\n", ends)
    edited = there(edit_text(text, patch))
    assert edited.text == PLAN.replace(was, now, 1).replace("\n", ends)
    assert _make(text, edited) == edited.text


@pytest.mark.parametrize(
    ("patch", "was", "now"),
    [
        ([_edit("add", "a.z", "q")], '"x"}', '"x", "z": "q"}'),
        ([_edit("add", "d.-", 3)], "2\n", "2,\n    3\n"),
        ([_edit("add", "d.0", 3)], "    1,", "    3,\n    1,"),
        ([_edit("add", "e.r", {"k": [1, "2"]})], "{}", '{"r": {"k": [1, "2"]}}'),
        ([_edit("remove", "d.1")], "1,\n    2\n", "1\n"),
        ([_edit("remove", "d.0")], "    1,\n", ""),
        ([_edit("remove", "e")], '  ],\n  "e": {}\n', "  ]\n"),
        ([_edit("remove", "a.c")], ', "c": "x"', ""),
        ([_edit("remove", "d.0"), _edit("remove", "d.0")], "[\n    1,\n    2\n  ]", "[]"),
    ],
)
def test_what_is_written_in_json(patch: list[Edit], was: str, now: str) -> None:
    edited = there(edit_text(JSON, patch))
    assert edited.text == JSON.replace(was, now, 1)
    json.loads(edited.text)


@pytest.mark.parametrize(
    "text",
    [
        "", "a: [", "a: 1\na: 2\n", "a: &x 1\nb: *x\n", "a: !t 1\n", "\x00", "- 1\n--- \n- 2\n",
        "x\udc00: 1",
    ],
)  # fmt: skip
def test_a_text_that_is_not_read_is_not_edited(text: str) -> None:
    assert edit_text(text, [_edit("add", "b", 1)]) is None


@pytest.mark.parametrize(
    ("text", "patch"),
    [
        ("a: 1\n", _edit("replace", "b", 1)),
        ("a: 1\n", _edit("remove", "b")),
        ("a: 1\n", _edit("add", "a.b", 1)),
        ("a: [1]\n", _edit("add", "a.2", 1)),
        ("a: 1\n", _edit("replace", "a", float("nan"))),
        ("? a\n: 1\n? b\n: 2\n", _edit("remove", "a")),
        ("a: [b: 1, c: 2]\n", _edit("add", "a.0.x", 1)),
        ("- a: 1\n  # between\n  b: 2\n", _edit("remove", "0.a")),
    ],
)
def test_what_would_not_leave_the_rest_whole_is_not_done(text: str, patch: Edit) -> None:
    assert edit_text(text, [patch]) is None


def test_halves_of_a_character_stay_as_they_are() -> None:
    text = '{"a": "\\ud83d\\ude00", "b": "\\ud83d\\ude00 x", "c": 1}'
    edited = there(edit_text(text, [_edit("replace", "c", 2), _edit("replace", "b", "y")]))
    assert edited.text == '{"a": "\\ud83d\\ude00", "b": "y", "c": 2}'


def test_where_an_edit_is() -> None:
    text = "\ufeffa: 1\r\nb: {x: \U0001f600}\r\nc:\r\n  d: 1\r\n  e: 2\r\nf: 5"
    edited = there(
        edit_text(
            text, [_edit("replace", "a", 10), _edit("replace", "b.x", "y"), _edit("remove", "c.e")]
        )
    )
    told = locate_edits(text, edited.edits)
    assert [astuple(each) for each in told] == [
        (1, 4, 1, 5, "10"),
        (2, 8, 2, 9, "y"),
        (5, 1, 6, 1, ""),
    ]  # fmt: skip
    first = edited.edits[0]
    assert locate_end(text[: first.start].removeprefix("\ufeff")) == (1, 4)


@pytest.mark.oracle
@examples(60)
@given(st.data())
def test_a_patch_applied_by_another_program_says_the_same(draw: st.DataObject) -> None:
    jsonpatch = pytest.importorskip("jsonpatch", reason="belongs to the extra `test`")
    data = _data(draw.draw(st.sampled_from(TEXTS)))
    patch = draw.draw(patches(data))
    theirs = jsonpatch.apply_patch(data, patch_document(patch))
    assert is_same(theirs, patch_data(data, patch))


def test_a_remark_stays_in_its_column_where_a_blank_is_filled() -> None:
    text = "a:                # what a is\nb:   # close by\nc: # closer\n"
    patch = [
        Edit(op="add", path=("a",), value="27 degC"),
        Edit(op="add", path=("b",), value=1),
        Edit(op="add", path=("c",), value="x"),
    ]
    edited = there(edit_text(text, patch))
    assert edited.text == "a: 27 degC        # what a is\nb: 1  # close by\nc: x # closer\n"
