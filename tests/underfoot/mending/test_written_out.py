"""Small texts as they stand after an edit: lines, commas, remarks and what is not touched."""

from typing import Any

import pytest

from tests.there import there
from underfoot.checking.mend import Edit
from underfoot.mending import text_edits
from underfoot.mending.text_edits import edit_text

LONG = "x" * 38


def _edit(op: Any, path: str, value: Any = None) -> Edit:
    parts = [int(part) if part.isdigit() else part for part in path.split(".")]
    return Edit(op=op, path=tuple(parts), value=value)


def _add(path: str, value: Any) -> Edit:
    return _edit("add", path, value)


def _put(path: str, value: Any) -> Edit:
    return _edit("replace", path, value)


def _cut(path: str) -> Edit:
    return _edit("remove", path)


IN_BRACKETS = [
    # Nothing inside yet.
    ("a: { }\n", _add("a.b", 1), "a: {b: 1}\n"),
    ("a: [\n  # none yet\n]\n", _add("a.-", 1), "a: [1\n  # none yet\n]\n"),
    # A line that is full goes on below the first that stands in the brackets.
    (
        f"a: {{b: {LONG}, c: {LONG}}}\n",
        _add("a.d", 123456),
        f"a: {{b: {LONG}, c: {LONG}, d: 123456}}\n",
    ),
    (
        f"a: {{b: {LONG}, c: {LONG}}}\n",
        _add("a.d", 1234567),
        f"a: {{b: {LONG}, c: {LONG},\n    d: 1234567}}\n",
    ),
    (
        f'{{"b": "{LONG}", "c": "{LONG}"}}\n',
        _add("d", 123456789),
        f'{{"b": "{LONG}", "c": "{LONG}", "d": 123456789}}\n',
    ),
    # A comma at the end is kept, where there is one.
    ("a: [1, 2,]\n", _add("a.-", 3), "a: [1, 2, 3,]\n"),
    ("a: [\n  1,\n  2,\n]\n", _add("a.-", 3), "a: [\n  1,\n  2,\n  3,\n]\n"),
    ("a: [\n  1,\n  2,\n]\n", _cut("a.1"), "a: [\n  1,\n]\n"),
    ("a: [1, 2,]\n", _cut("a.1"), "a: [1,]\n"),
    # Each on its line, with a remark of its own.
    (
        "a: [\n  1,  # one\n  2  # two\n]\n",
        _add("a.-", 3),
        "a: [\n  1,  # one\n  2,  # two\n  3\n]\n",
    ),
    ("a: [\n  1,  # one\n  2  # two\n]\n", _cut("a.1"), "a: [\n  1  # one\n]\n"),
    ("a: [\n  1,  # one\n  2  # two\n]\n", _cut("a.0"), "a: [\n  2  # two\n]\n"),
    ("a: [\n  1,\n  2]\n", _add("a.-", 3), "a: [\n  1,\n  2,\n  3]\n"),
    ("a: [\n  1,\n  2]\n", _cut("a.1"), "a: [\n  1]\n"),
    ("a: [\n  1\n]\n", _add("a.-", 3), "a: [\n  1,\n  3\n]\n"),
    ("a: [\n  1\n]\n", _add("a.0", 3), "a: [\n  3,\n  1\n]\n"),
    ("a: [\n  1,\n  2\n]\n", _add("a.1", 3), "a: [\n  1,\n  3,\n  2\n]\n"),
    ("a: [\n  1  # one\n]\n", _cut("a.0"), "a: []\n"),
    ("a: [\n  # about one\n  1\n]\n", _cut("a.0"), "a: [\n  # about one\n]\n"),
    ("a: [\n  1  # one\n  # and more\n]\n", _cut("a.0"), "a: [\n  # and more\n]\n"),
    ("a: [1  # one\n]\n", _cut("a.0"), "a: []\n"),
    ("a: [  # about\n  1]\n", _cut("a.0"), "a: [  # about\n  ]\n"),
    # Several on a line, on several lines.
    ("a: [1, 2,\n    3, 4]\n", _cut("a.1"), "a: [1,\n    3, 4]\n"),
    ("a: [1, 2,\n    3, 4]\n", _cut("a.2"), "a: [1, 2,\n    4]\n"),
    ("a: [1, 2,\n    3, 4]\n", _cut("a.3"), "a: [1, 2,\n    3]\n"),
    ("a: [1,\n    3, 4]\n", _cut("a.0"), "a: [3, 4]\n"),
    ("a: [1, 2,  # two\n    3]\n", _cut("a.1"), "a: [1,  # two\n    3]\n"),
    ("a: [1,  # one\n    2, 3]\n", _cut("a.0"), "a: [  # one\n    2, 3]\n"),
    ("a: [1,  # one\n    2]\n", _cut("a.1"), "a: [1  # one\n    ]\n"),
    ("a: [1, 2,\n    3, 4]\n", _add("a.-", 5), "a: [1, 2,\n    3, 4, 5]\n"),
    ("a: [1, 2,\n    3, 4]\n", _add("a.2", 5), "a: [1, 2,\n    5, 3, 4]\n"),
    ("a: [1, 2, 3,\n    4]\n", _add("a.-", 5), "a: [1, 2, 3,\n    4, 5]\n"),
    # Keys without a value, and values without a key.
    ("a: {b, c: 1}\n", _add("a.b", 2), "a: {b: 2, c: 1}\n"),
    ("a: {b: , c: 1}\n", _add("a.b", 2), "a: {b: 2, c: 1}\n"),
    ("a: {b: , c: 1}\n", _cut("a.c"), "a: {b: }\n"),
    ("a: {c: 1, b}\n", _add("a.d", 2), "a: {c: 1, b, d: 2}\n"),
    ("a: {c: 1, b: }\n", _add("a.d", 2), "a: {c: 1, b: , d: 2}\n"),
    ("a: [b: 1, c: 2]\n", _put("a.0.b", 3), "a: [b: 3, c: 2]\n"),
    # What is written in brackets is written so that it does not end them.
    ("a: [1]\n", _put("a.0", "x,y"), 'a: ["x,y"]\n'),
    ("a: [1]\n", _put("a.0", "12:30"), 'a: ["12:30"]\n'),
    ("a: [1]\n", _put("a.0", "-5 degC"), "a: [-5 degC]\n"),
    ("a: 1\n", _put("a", "x,y"), "a: x,y\n"),
    ("a: 1\n", _put("a", "- x"), 'a: "- x"\n'),
    ("a: 1\n", _put("a", "x "), 'a: "x "\n'),
    ("a: 1\n", _put("a", "x:"), 'a: "x:"\n'),
    ("a: 1\n", _put("a", "1e5"), 'a: "1e5"\n'),
    ("a: 1\n", _put("a", "...x"), 'a: "...x"\n'),
    ("a: 1\n", _put("a", ""), 'a: ""\n'),
    ("a: 2026-01-01\n", _put("a", "2026-01-02"), "a: 2026-01-02\n"),
    ("a: yes\n", _put("a", "2026-01-02"), 'a: "2026-01-02"\n'),
    ("a: 'x'\n", _put("a", 'a\nb\t\\"\U000e0041'), 'a: "a\\nb\\t\\\\\\"\\U000e0041"\n'),
]
ON_LINES = [
    # A whole mapping put in another's place: no more is touched than differs.
    (
        "a:\n  b: 1  # one\n  c: [1, 2]  # two\n  d: x\n",
        _put("a", {"b": 1, "c": [1, 3], "e": {"f": 1}}),
        "a:\n  b: 1  # one\n  c: [1, 3]  # two\n  e: {f: 1}\n",
    ),
    ("a: {b: 1, c: 2}\n", _put("a", {"d": 3}), "a: {d: 3}\n"),
    ("a: {b: 1}\n", _put("a", {"b": 1.0, "c": True}), "a: {b: 1, c: true}\n"),
    ("a: {b: 1}\n", _put("a", {"b": True}), "a: {b: true}\n"),
    ("a: [1, 2, 3, 4]\n", _put("a", [1, 4]), "a: [1, 4]\n"),
    ("a: [1, 2, 3, 4]\n", _put("a", [0, 1, 2, 3, 4]), "a: [0, 1, 2, 3, 4]\n"),
    ("a: [1, 1]\n", _put("a", [1, 1, 1]), "a: [1, 1, 1]\n"),
    (
        "a:\n- 1  # one\n- 2  # two\n- 3  # three\n",
        _put("a", [1, 9, 4, 3]),
        "a:\n- 1  # one\n- 9  # two\n- 4\n- 3  # three\n",
    ),
    ("a:\n  - 1\n  - 2\n", _put("a", []), "a: []\n"),
    ("a:  # why\n  # because\n  - 1\nb: 1\n", _put("a", 5), "a: 5  # why\n  # because\nb: 1\n"),
    ("- a: 1\n", _put("0", 5), "- 5\n"),
    ("-\n  a: 1\n- 2\n", _put("0", 5), "- 5\n- 2\n"),
    # An item is found again by its dash, whatever stands above it.
    ("- 1\n# -\n- 2\n- 3\n", _cut("1"), "- 1\n# -\n- 3\n"),
    (
        "a:\n  - b: 1\n\n    # -\n  # -\n  - c: 2\n    d: 3\n  - 4\n",
        _cut("a.1"),
        "a:\n  - b: 1\n\n    # -\n  # -\n  - 4\n",
    ),
    ("- 1\n-\n  a: 1\n- 2\n", _put("1", 5), "- 1\n- 5\n- 2\n"),
    ("- 1\n-\n- 2\n", _cut("1"), "- 1\n- 2\n"),
    ("- - 1\n  - 2\n- 3\n", _cut("0.1"), "- - 1\n- 3\n"),
    ("- - 1\n  - 2\n- 3\n", _cut("0.0"), "- - 2\n- 3\n"),
    ("- - 1\n  - 2\n- 3\n", _add("0.0", 0), "- - 0\n  - 1\n  - 2\n- 3\n"),
    ("a: 1\n", _add("b", {"c": None, "d": [None]}), "a: 1\nb: {c: null, d: [null]}\n"),
    ("a: [x]\n", _add("a.-", "x,y"), 'a: [x, "x,y"]\n'),
    ("a: {b: 1, c: {d: 1}}\n", _add("a.e", {"f": 1}), "a: {b: 1, c: {d: 1}, e: {f: 1}}\n"),
    (
        "a:\n  b: 1\n  c:\n    d: 1\n",
        _add("a.e", {"f": 1}),
        "a:\n  b: 1\n  c:\n    d: 1\n  e: {f: 1}\n",
    ),
    ("a:\n  c:\n    d: 1\n", _add("a.e", {"f": 1}), "a:\n  c:\n    d: 1\n  e:\n    f: 1\n"),
    # What was empty.
    ("a:\n  - \n  - 2\n", _put("a.0", 1), "a:\n  - 1\n  - 2\n"),
    ("a:\n  -\n  - 2\n", _put("a.0", 1), "a:\n  - 1\n  - 2\n"),
    ("a: []\nb: 1\n", _add("a.-", {"c": 1}), "a:\n  - {c: 1}\nb: 1\n"),
    ("a: []\nb: 1\n", _add("a.-", 1), "a: [1]\nb: 1\n"),
    ("a:\n    b: {}\n", _add("a.b.c", {"d": 1}), "a:\n    b:\n        c: {d: 1}\n"),
    # As what stands beside it.
    (
        "a:\n  C1:\n    b: 1\n",
        _add("a.C2", {"b": 2, "c": {"d": [1, {"e": 2}]}}),
        "a:\n  C1:\n    b: 1\n  C2:\n    b: 2\n    c: {d: [1, {e: 2}]}\n",
    ),
    (
        "a:\n  - b: 1\n    c: 2\n",
        _add("a.-", {"b": 2, "c": 3}),
        "a:\n  - b: 1\n    c: 2\n  - b: 2\n    c: 3\n",
    ),
    ("a:\n  - b: 1\n", _add("a.0", {"b": 2}), "a:\n  - b: 2\n  - b: 1\n"),
    (
        "a:\n  W1: {b: {c: 1}}\n",
        _add("a.W2", {"b": {"c": 2}}),
        "a:\n  W1: {b: {c: 1}}\n  W2: {b: {c: 2}}\n",
    ),
    (
        "a:\n  W1: {b: {c: 1}}\n  x: 1\n",
        _add("a.W2", {"b": {"c": 2}}),
        "a:\n  W1: {b: {c: 1}}\n  x: 1\n  W2:\n    b: {c: 2}\n",
    ),
    ("a: 1\n", _add("b", {"c": 1, "d": {"e": 1}}), "a: 1\nb:\n  c: 1\n  d: {e: 1}\n"),
    ("a: 1\n", _add("b", [{"c": 1}, {"d": 2}]), "a: 1\nb:\n  - {c: 1}\n  - {d: 2}\n"),
    ("a: 1\n", _add("b c", "d"), "a: 1\nb c: d\n"),
    ("a: 1\n", Edit(op="add", path=("12",), value="d"), "a: 1\n12: d\n"),
    ("a: 1\n", _add("<<", "d"), 'a: 1\n"<<": d\n'),
    # Remarks go with what they are about.
    (
        "a:\n  b: 1  # one\n        # more\n  # about c\n  c: 2\n",
        _cut("a.b"),
        "a:\n  # about c\n  c: 2\n",
    ),
    (
        "a:\n  b: 1  # one\n  c: 2  # two\n       # not in line\n",
        _cut("a.b"),
        "a:\n  c: 2  # two\n       # not in line\n",
    ),
    (
        "a:\n  b: 1\n    # deeper\n\n# next\nd: 1\n",
        _add("a.c", 2),
        "a:\n  b: 1\n    # deeper\n  c: 2\n\n# next\nd: 1\n",
    ),
    (
        "a:\n  b: 1\n  # of the like\nd: 1\n",
        _add("a.c", 2),
        "a:\n  b: 1\n  c: 2\n  # of the like\nd: 1\n",
    ),
    # Texts of several lines.
    ("a: |\n  one\n  two\n\nb: 1\n", _put("a", "three"), "a: three\n\nb: 1\n"),
    (
        "a:\n  b: >\n    one\n    two\nc: 1\n",
        _add("a.d", 2),
        "a:\n  b: >\n    one\n    two\n  d: 2\nc: 1\n",
    ),
    ("a: one\n  two\nb: 1\n", _put("a", "three"), "a: three\nb: 1\n"),
    ("a: one\n  two\nb: 1\n", _cut("a"), "b: 1\n"),
    # The end of the file.
    ("a: 1\nb: 2", _cut("b"), "a: 1"),
    ("a: 1\nb: 2", _add("c", 3), "a: 1\nb: 2\nc: 3"),
    ("a: 1\nb:", _add("c", 3), "a: 1\nb:\nc: 3"),
    ("a: 1\rb: 2\r", _add("c", 3), "a: 1\rb: 2\rc: 3\r"),
]

SOME = "x" * 20
LONG_LINES = [
    # What is least deep is broken first, and no sooner than need be.
    (
        f"rows:\n  A: {{b: [{SOME}, {SOME}], c: [{SOME}, 1]}}\n",
        _add("rows.A.c.-", LONG),
        f"rows:\n  A: {{b: [{SOME}, {SOME}],\n      c: [{SOME}, 1, {LONG}]}}\n",
    ),
    (
        f"rows:\n  A: {{b: [{SOME}, {SOME}], c: 1, d: 2, e: 3}}\n",
        _add("rows.A.f", [LONG, SOME, LONG]),
        f"rows:\n  A: {{b: [{SOME}, {SOME}], c: 1, d: 2, e: 3,\n"
        f"      f: [{LONG}, {SOME},\n          {LONG}]}}\n",
    ),
    # The remark behind it does not count for what is broken, and stays at its end.
    (
        f"a: [{LONG}, 1]  # {LONG}\n",
        _add("a.-", SOME),
        f"a: [{LONG}, 1, {SOME}]  # {LONG}\n",
    ),
    (
        f"a: [{LONG}, {LONG}]  # why\n",
        _add("a.-", SOME),
        f"a: [{LONG}, {LONG},\n    {SOME}]  # why\n",
    ),
    # What the edit did not touch stays as it is, and so does a file of longer lines.
    (
        f"a: [{LONG}, {LONG}, {LONG}]\nb: [{LONG}, {LONG}]\n",
        _add("b.-", LONG),
        f"a: [{LONG}, {LONG}, {LONG}]\nb: [{LONG}, {LONG}, {LONG}]\n",
    ),
    (
        f"a: [{LONG}, {LONG}, {LONG}]\nb: [{LONG}, {LONG}]\n",
        _add("b.-", LONG + "y"),
        f"a: [{LONG}, {LONG}, {LONG}]\nb: [{LONG}, {LONG},\n    {LONG}y]\n",
    ),
    # A value alone is one changed line, however long.
    (f"a: [{LONG}, {LONG}, 1]\n", _put("a.2", SOME), f"a: [{LONG}, {LONG}, {SOME}]\n"),
    # Too deep behind its bracket: nearer to the margin.
    (
        f"a:\n  b{'b' * 60}: [1, {SOME}]\n",
        _add("a.b" + "b" * 60 + ".-", SOME),
        f"a:\n  b{'b' * 60}: [1, {SOME},\n      {SOME}]\n",
    ),
    # On lines of its own, in the same style.
    (
        "a:\n- {b: 1}\n",
        _add("a.-", {"b": [LONG, LONG], "c": SOME, "d": [SOME, LONG, SOME, LONG]}),
        f"a:\n- {{b: 1}}\n- {{b: [{LONG}, {LONG}],\n   c: {SOME},\n"
        f"   d: [{SOME}, {LONG}, {SOME},\n       {LONG}]}}\n",
    ),
]


@pytest.mark.parametrize(("text", "edit", "expected"), [*IN_BRACKETS, *ON_LINES, *LONG_LINES])
def test_what_stands_there_then(text: str, edit: Edit, expected: str) -> None:
    edited = there(edit_text(text, [edit]))
    assert edited.text == expected


def test_edits_of_one_place_become_one() -> None:
    text = "a: {b: 1, c: 2, d: 3}\n"
    patch = [_add("a.e", 4), _add("a.f", 5), _put("a.e", 44), _cut("a.d"), _put("a.b", 11)]
    edited = there(edit_text(text, patch))
    assert edited.text == "a: {b: 11, c: 2, e: 44, f: 5}\n"
    told = [(text[each.start : each.end], each.text) for each in edited.edits]
    assert told == [("1", "11"), ("d: 3", "e: 44, f: 5")]
    made = text
    for each in reversed(edited.edits):
        made = made[: each.start] + each.text + made[each.end :]
    assert made == edited.text


def test_what_was_put_in_and_taken_out_again_is_no_edit() -> None:
    edited = there(edit_text("a: 1\n", [_add("b", 2), _cut("b")]))
    assert (edited.text, edited.edits) == ("a: 1\n", ())


def test_edits_are_told_of_the_lines_that_they_are_on() -> None:
    lines = [f"{name}: [{LONG}, {LONG}]\n" for name in "abcd"]
    edited = edit_text("".join(lines), [_add("a.0", 1), _add("b.-", SOME), _add("d.-", SOME)])
    assert edited is not None
    broken = [line.replace(f", {LONG}]", f", {LONG},\n    {SOME}]") for line in lines]
    first = lines[0].replace("[", "[1, ")
    assert edited.text == "".join((first, broken[1], lines[2], broken[3]))


@pytest.mark.parametrize(("more", "is_broken"), [(0, False), (1, True)])
def test_a_line_may_be_so_long(more: int, is_broken: bool) -> None:
    # a: [ + 38 + comma and blank + 38 + comma and blank + the rest + ] is a hundred.
    last = "y" * (100 - len(f"a: [{LONG}, {LONG}, ]") + more)
    edited = there(edit_text(f"a: [{LONG}, {LONG}]\n", [_add("a.-", last)]))
    assert ("\n    y" in edited.text) is is_broken


def test_what_would_be_read_otherwise_is_not_written(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text_edits, "write_scalar", lambda value, *_, **__: "6")
    assert edit_text("a: 1\n", [_put("a", 5)]) is None
    assert edit_text("a: 1\n", [_put("a", 6)]) is not None
    monkeypatch.setattr(text_edits, "write_scalar", lambda value, *_, **__: "&x 5")
    assert edit_text("a: 1\n", [_put("a", 5)]) is None
