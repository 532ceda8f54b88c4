"""Characters that JSON writes in two halves are one character."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underfoot.reading.syntax import parse

WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)


@given(st.dictionaries(WORDS.filter(lambda word: word not in ("", "<<")), WORDS, min_size=1))
def test_what_json_wrote_is_what_is_read(data: dict[str, str]) -> None:
    text = json.dumps(data)
    parsed = parse(text.encode())
    assert parsed.problems == ()
    assert parsed.data == data


@pytest.mark.parametrize("pure", [False, True])
def test_a_pair_is_one_character_and_columns_are_those_of_the_file(pure: bool) -> None:
    text = '{"a": "\\ud83d\\ude00\\uD83D\\uDE00", "b": 1,\n "c": ["\\ud83d\\ude00", 2], "c": 1}'
    parsed = parse(text.encode(), pure=pure)
    assert parsed.data == {"a": "😀😀", "b": 1, "c": ["😀", 2]}
    lines = text.split("\n")
    assert parsed.positions["b"] == (1, lines[0].index('"b"') + 1)
    assert parsed.positions["c"] == (2, lines[1].index('"c"') + 1)
    assert parsed.positions["c.1"] == (2, lines[1].index(" 2]") + 2)
    (problem,) = parsed.problems
    assert (problem.line, problem.column) == (2, lines[1].rindex('"c"') + 1)


@pytest.mark.parametrize("text", ['"\\ud83d"', '"\\ude00\\ud83d"', '"\\\\ud83d\\ude00"'])
def test_half_a_pair_is_none(text: str) -> None:
    parsed: Any = parse(f'{{"a": {text}}}'.encode())
    assert parsed.data is None
    assert "does not name a character" in parsed.problems[0].message


def test_what_can_be_read_as_it_is_stays_as_it_is() -> None:
    assert parse(b"a: \\ud83d\\ude00 in plain words").data == {"a": "\\ud83d\\ude00 in plain words"}
