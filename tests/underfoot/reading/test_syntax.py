import gc
import json

import pytest

from underfoot.reading.source_text import MOST_BYTES
from underfoot.reading.syntax import MOST_NODES, Parsed, find_first_key, parse

PARSERS = pytest.mark.parametrize("pure", [False, True], ids=["c", "pure"])


def messages(parsed: Parsed) -> list[tuple[int, int, str]]:
    return [(one.line, one.column, one.message) for one in parsed.problems]


@PARSERS
def test_scalars_are_read_as_json_reads_them(pure: bool) -> None:
    text = """
a: true
b: no
c: 010
d: 22:30
e: 2026-09-14
f: -1.5e3
g: "12"
h: null
i:
j: [null, 1, ~]
k: 0x10
l: +5
m: .inf
n: True
o: 9007199254740993
p: 1_000
q: -0
r: |
  2
"""
    assert parse(text.encode(), pure=pure).data == {
        "a": True,
        "b": "no",
        "c": "010",
        "d": "22:30",
        "e": "2026-09-14",
        "f": -1500.0,
        "g": "12",
        "j": [None, 1, "~"],
        "k": "0x10",
        "l": "+5",
        "m": ".inf",
        "n": "True",
        "o": 9007199254740993,
        "p": "1_000",
        "q": 0,
        "r": "2\n",
    }


@PARSERS
def test_json_is_read_as_json(pure: bool) -> None:
    data = {"a": [1, 2.5, "x\ty", {"b": True, "/": 'q"'}], "é": "ü", "c": {}}
    # The Python parser takes no tabs, not even where JSON may have them.
    for indent in (None, 2) if pure else (None, 2, "\t"):
        text = json.dumps(data, indent=indent)
        parsed = parse(text.encode(), pure=pure)
        assert parsed.data == data
        assert parsed.problems == ()


@PARSERS
def test_positions_are_of_keys_and_of_items_in_code_points(pure: bool) -> None:
    text = "# ü\nrooms:\n  hall: {note: 'é😀', b: [1, {c: 2}]}\nlist:\n- x\n-   y: 1\n"
    assert parse(text.encode(), pure=pure).positions == {
        "": (2, 1),
        "rooms": (2, 1),
        "rooms.hall": (3, 3),
        "rooms.hall.note": (3, 10),
        "rooms.hall.b": (3, 22),
        "rooms.hall.b.0": (3, 26),
        "rooms.hall.b.1": (3, 29),
        "rooms.hall.b.1.c": (3, 30),
        "list": (4, 1),
        "list.0": (5, 3),
        "list.1": (6, 5),
        "list.1.y": (6, 5),
    }


@PARSERS
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_line_endings_count_alike(pure: bool, ending: str) -> None:
    parsed = parse(ending.join(["a: 1", "b:", "  c: 2", ""]).encode(), pure=pure)
    assert parsed.positions == {"": (1, 1), "a": (1, 1), "b": (2, 1), "b.c": (3, 3)}


@PARSERS
def test_a_byte_order_mark_is_passed_over(pure: bool) -> None:
    parsed = parse(b"\xef\xbb\xbfa: 1\n", pure=pure)
    assert (parsed.data, parsed.problems) == ({"a": 1}, ())
    assert parsed.positions["a"] == (1, 1)


def test_a_key_with_a_dot_is_quoted_in_its_path() -> None:
    parsed = parse(b"a: {b: 1}\na.b: 2\n")
    assert parsed.problems == ()
    assert parsed.positions['"a.b"'] == (2, 1)
    assert parsed.positions["a.b"] == (1, 5)


@PARSERS
def test_what_is_refused_is_reported_and_reading_goes_on(pure: bool) -> None:
    text = b"""\
a: 1
a: {x: 1, x: 2}
b: &mark 2
c: *mark
<<: {d: 1}
e: !!str 5
? [1, 2]
: {f: 1}
"": 3
g: 1e400
h: null
h: 4
i: !mine {z: 1}
"""
    parsed = parse(text, pure=pure)
    assert parsed.data == {"a": 1, "b": 2, "e": 5, "i": {"z": 1}}
    assert messages(parsed) == [
        (2, 1, "`a` stands here twice, first in line 1: keep one of the two"),
        (2, 11, "`x` stands here twice, first in line 2: keep one of the two"),
        (
            3,
            4,
            "`&mark` (an anchor) is not read: delete it, and write the values out where they "
            "are needed",
        ),
        (4, 4, "`*mark` (an alias) is not read: write the values out here"),
        (5, 1, "`<<` (a merge key) is not read: write the keys out here"),
        (6, 4, "`!!str` (a tag) is not read: delete it"),
        (7, 3, "a key is a single word of text"),
        (9, 1, "the key before this colon is missing"),
        (10, 4, "the number `1e400` is too large to be read"),
        (12, 1, "`h` stands here twice, first in line 11: keep one of the two"),
        (13, 4, "`!mine` (a tag) is not read: delete it"),
    ]
    assert parsed.broken == {"", "c", "g"}
    assert all("\x00" not in path for path in parsed.positions)
    assert "a.x" not in parsed.positions


@PARSERS
def test_a_quoted_merge_sign_is_a_key_like_any_other(pure: bool) -> None:
    assert parse(b'"<<": 1', pure=pure).data == {"<<": 1}


@PARSERS
def test_a_second_document_is_refused(pure: bool) -> None:
    parsed = parse(b"a: 1\n---\nb: 2\n", pure=pure)
    assert parsed.data == {"a": 1}
    assert messages(parsed) == [
        (2, 1, "a second document begins here: write one document in a file")
    ]
    assert parse(b"---\na: 1\n...\n", pure=pure).problems == ()


@PARSERS
@pytest.mark.parametrize(
    "source", [b"", b"\n\n", b"# remark\n", b"---\n", b"--- null\n", b"\xef\xbb\xbf"]
)
def test_an_empty_file_is_said_to_be_empty(pure: bool, source: bytes) -> None:
    parsed = parse(source, pure=pure)
    assert parsed.data is None
    assert messages(parsed) == [(1, 1, "the file is empty")]


@pytest.mark.parametrize(
    ("source", "line", "column", "words"),
    [
        (b"a: 1\nb: \xff\n", 2, 4, "the byte 0xff here is not UTF-8"),
        ("ü: ".encode() + b"\xc3\n", 1, 4, "the byte 0xc3 here is not UTF-8"),
        (b"\xef\xbb\xbfa: \xff", 1, 4, "the byte 0xff here is not UTF-8"),
        ("a: 1\n".encode("utf-16"), 1, 1, "not UTF-8"),
        (b"a: \x00", 1, 4, "U+0000"),
        (b"a: 1\nb: x\x07y", 2, 5, "U+0007"),
        ("a: x\u2028b".encode(), 1, 5, "U+2028"),
        ("a: x\u0085b".encode(), 1, 5, "U+0085"),
    ],
)
def test_foreign_bytes_and_characters_are_located(
    source: bytes, line: int, column: int, words: str
) -> None:
    (problem,) = parse(source).problems
    assert (problem.line, problem.column) == (line, column)
    assert words in problem.message


def test_too_many_bytes_end_the_reading() -> None:
    assert parse(b"a: " + b"x" * (MOST_BYTES - 3)).problems == ()
    (problem,) = parse(b"a: " + b"x" * (MOST_BYTES - 2)).problems
    # No length is told, which would read like the limit: one byte over it is all that is read.
    assert problem.message == (
        "the file is too long: at most 5 MB are read; divide it into several files"
    )


@pytest.mark.slow
def test_too_many_nodes_end_the_reading_at_the_line() -> None:
    # A list with its key and the mapping around it: three nodes beside the items.
    most = MOST_NODES - 3
    assert len(parse(b"a:\n" + b"- 1\n" * most).data["a"]) == most
    parsed = parse(b"a:\n" + b"- 1\n" * (most + 1))
    assert parsed.data is None
    assert messages(parsed) == [
        (
            most + 2,
            3,
            "the file holds more than 300,000 keys and values: divide it into several files",
        )
    ]


@pytest.mark.slow
def test_keys_count_as_nodes() -> None:
    most = (MOST_NODES - 1) // 2
    rows = [b"k%d: 1\n" % number for number in range(most + 1)]
    assert parse(b"".join(rows[:most])).problems == ()
    assert parse(b"".join(rows)).data is None


def test_deep_nesting_ends_the_reading() -> None:
    assert parse(b"[" * 64 + b"]" * 64).problems == ()
    (problem,) = parse(b"[" * 65 + b"]" * 65).problems
    assert (problem.line, problem.column) == (1, 65)
    assert "more than 64 levels" in problem.message
    (problem,) = parse(b"{a: " * 200_000).problems
    assert "more than 64 levels" in problem.message


def test_a_bomb_of_aliases_is_refused_without_being_opened() -> None:
    rows = ["a0: &a0 [x, x]"]
    rows += [f"a{n}: &a{n} [*a{n - 1}, *a{n - 1}, *a{n - 1}, *a{n - 1}]" for n in range(1, 30)]
    parsed = parse("\n".join(rows).encode())
    assert len(parsed.problems) == 30 + 29 * 4
    assert parsed.data["a29"] == [None] * 4


def test_the_collector_is_put_back_as_it_was() -> None:
    assert gc.isenabled()
    parse(b"a: [")
    assert gc.isenabled()
    gc.disable()
    try:
        parse(b"a: 1")
        assert not gc.isenabled()
    finally:
        gc.enable()


@pytest.mark.parametrize(
    ("source", "key"),
    [
        (b"plan_format: 1\n", "plan_format"),
        (b"# long\n---\n{scheme_format: 1}", "scheme_format"),
        (b"- plan_format\n", None),
        (b"plan_format", None),
        (b"", None),
        (b"\xff", None),
        (b"a: 'never closed", "a"),
        (b"@", None),
    ],
)
def test_the_first_key_is_found(source: bytes, key: str | None) -> None:
    assert find_first_key(source) == key
