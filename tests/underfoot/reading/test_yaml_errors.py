"""What YAML stumbles over, or reads otherwise than it was meant, is told in plain words."""

import pytest

from tests.underfoot.reading.test_syntax import PARSERS
from underfoot.reading.syntax import parse


@PARSERS
@pytest.mark.parametrize(
    ("source", "line", "column", "words"),
    [
        ("a: 'x\nb: 2\n", 1, 4, "the quote that opens here is not closed"),
        ('a: "x', 1, 4, "the quote that opens here is not closed"),
        ("a: 'x\nb: it's so\nc: 1\n", 1, 4, "is closed only in line 2: close it where its text"),
        ('a: "x\nb: 2\nc: "y"\n', 1, 4, "is closed only in line 3: close it where its text"),
        ("a:\n\u00a0\u00a0b: 1\n  c: 2\n", 2, 1, "U+00A0 stands here, which looks like a space"),
        ("a: 1\nb:2\nc: 3\n", 2, 1, "a space is missing after the colon"),
        ("a: `x`\n", 1, 4, "no value can begin with a backquote: put"),
        ("a: [1, 2\nb: 3\n", 2, 2, "close the `[` of line 1"),
        ("a: {b: 1\nc: 3\n", 2, 2, "close the `{` of line 1"),
        ("a: 1\n\tb: 2\n", 2, 1, "a tab stands here: indent with spaces"),
        ("a:\n\t- b\n", 2, 1, "a tab stands here: indent with spaces"),
        ("a: b: c # d\n", 1, 5, 'text without quotes: write `a: "b: c"`, or begin the key on'),
        ('a: "b": c\n', 1, 7, "a colon cannot stand here"),
        ("a: [b]: c\n", 1, 7, "put the text in quotes, or begin the key"),
        ("a: b: \\c\n", 1, 5, "put the text in quotes, or begin the key"),
        ("a:\n  b:1\n  c: 2\n", 2, 3, "a space is missing after the colon"),
        ("a:\n  b = 1\n  # so\n\n  c: 2\n", 2, 3, "a `=` stands here in a colon's place"),
        ("a:\n  b\uff1a1\n  c: 2\n", 2, 3, "U+FF1A stands here, which looks like a colon"),
        ("a:\n  b 1\n  c: 2\n", 2, 3, "a colon and a value are missing after this"),
        ("a:\n  b court, plot 3\n  c: 2\n", 2, 3, "a colon and a value are missing after this"),
        ("a:\n  b [1, 2]\n  c: 2\n", 2, 3, "a colon and a value are missing after this"),
        ("a:\n  b {d: 1, e: 2}\n  c: 2\n", 2, 3, "between `b` and `{`: write `b: {`"),
        ("a:\n  - b {d: 1, e: 2}\n", 2, 5, "a colon is missing between `b` and `{`"),
        ("a:\n  b.1: 1\n  b.2 {d: 1,\n    e: 2}\n", 3, 3, "between `b.2` and `{`"),
        ("a:\n  b: 1\n  c {d: [1, 2], e: 2}\n", 3, 3, "between `c` and `{`"),
        ("a: {b: 1, c [1, 2], d: 2}\n", 1, 11, "between `c` and `[`: write `c: [`"),
        ("a: {b: 1,\n    c [1, 2], d: 2}\n", 2, 5, "a colon is missing between `c` and `[`"),
        ("a: b, c [1] d: 2\n", 1, 14, "a colon cannot stand here, in a text without quotes"),
        ("a:\n  b: {d: 1,\n    e 2}\n    c: 2\n", 4, 5, "does not fit the lines above it"),
        ("a:\n b: 1\n  c: 2\n", 3, 3, "indented by 2 spaces, the line above it by 1, which has"),
        (
            "a:\n  b: 1\n c: 2\n",
            3,
            2,
            "by 1 space, does not fit the lines above it (line 2 is indented by 2, line 1 by 0)",
        ),
        ("a:\n b:\n   c: 1\n   d: 2\n  e: 1\n", 5, 3, "(line 4 is indented by 3, line 2 by 1)"),
        ("a:\n  b: 1\n  - c: 2\n", 3, 3, "a list's `-` stands here among keys: delete it"),
        ('a: "b" c\n', 1, 8, "the quote is closed before this: put the whole text in quotes"),
        ("a: 'b's c'\n", 1, 7, "in quotes, and write a ' in it twice"),
        ("a: {b: 1}}\nc: 1\n", 1, 10, "this `}` closes nothing: delete it"),
        ("a: [1]]\nc: 1\n", 1, 7, "this `]` closes nothing: delete it"),
        ("a:\n  - b\n  c: 1\n", 3, 3, "does not fit the list above it"),
        ("a: - b\n", 1, 4, "a list's `-` cannot stand here"),
        ("a: @x\n", 1, 4, "no value can begin with `@`"),
        ("a: %x\n", 1, 4, "no value can begin with `%`"),
        ("a: 1\nword\nb: 2\n", 2, 1, "a colon and a value are missing after this"),
        ("a: &\n", 1, 4, "`&` and `*` begin anchors and aliases"),
        ('a: "\\ud83d"\n', 1, None, "write the character itself"),
        ('a: "\\q"\n', 1, None, "no meaning after it"),
        ("a: |3x\n b\n", 1, 6, "begins on the next line"),
        (
            "a: 1\n<<<<<<< HEAD\nb: 2\n=======\nb: 3\n>>>>>>> other\n",
            2,
            1,
            "two branches changed these lines",
        ),
        ("<<<<<<< x\n=======\na: 1\n>>>>>>> y\n", 1, 1, "git has left both"),
        ("<<<<<<< x\na: 1\n", 1, 1, "a colon and a value are missing after this"),
        ("%YAML 3.0\n---\na: 1\n", 1, None, "a line that begins with `%` is not read"),
    ],
)
def test_yaml_errors_are_put_in_plain_words(
    pure: bool, source: str, line: int, column: int | None, words: str
) -> None:
    parsed = parse(source.encode(), pure=pure)
    assert parsed.data is None
    (problem,) = parsed.problems
    assert problem.line == line
    assert column in (None, problem.column)
    assert words in problem.message


def test_a_colon_inside_brackets_is_told_as_one() -> None:
    # The faster parser alone refuses it; the other reads `1` as a key.
    (problem,) = parse(b"a: [1:, 2]\n", pure=False).problems
    assert (problem.line, problem.column) == (1, 6)
    assert problem.message.startswith("a colon cannot stand here: put a space after a key's colon")


@PARSERS
@pytest.mark.parametrize(
    ("source", "said"),
    [
        ("a: {thickness: 2,5 mm, b: 1}", "write `thickness: 2.5 mm` with a point"),
        ("a: {b: 1, height: 1,4 m}", "so `1` stands without `,4 m`: write `height: 1.4 m`"),
        ("a: {thickness: 0,2, b: x}", "write `thickness: 0.2` with a point"),
    ],
)
def test_a_decimal_comma_in_braces_is_no_other_number(pure: bool, source: str, said: str) -> None:
    (problem,) = parse(source.encode(), pure=pure).problems
    assert problem.line == 1
    assert source[(problem.column or 0) - 2] == ","
    assert said in problem.message


@PARSERS
@pytest.mark.parametrize(
    "source",
    [
        "a: {b: 1, c: 2}",
        "a: {b: x, 5: }",
        "a: {b: 1, c}",
        "a: {5: }",
        "a: {1: 52, 2: }",
        "a: {1: 52, 2: null}",
        "a:\n  1: 52\n  2:\n",
        "a: {b: 1,\n  2: }",
    ],
)
def test_a_key_without_a_value_is_left_out(pure: bool, source: str) -> None:
    assert parse(source.encode(), pure=pure).problems == ()
