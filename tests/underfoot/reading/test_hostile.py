"""Whatever the bytes are, a Reading comes back, and its problems lie in the file."""

import json
import re
import time
from typing import Any

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.effort import fewer
from tests.underfoot.reading.samples import FULL, SMALL, change
from tests.underfoot.reading.test_quick_validator import VALUES, mutate
from underfoot.reading import read_plan, read_settings
from underfoot.reading.syntax import parse

pytestmark = pytest.mark.oracle

LINE_END = re.compile(r"\r\n|\r|\n")


def check(source: bytes) -> None:
    """Read a plan and hold what it says against the file."""
    reading = read_plan(source, path="plan.yaml")
    assert (reading.plan is None) == bool(reading.problems)
    lines = LINE_END.split(source.decode("utf-8", "replace").removeprefix("\ufeff"))
    for problem in reading.problems:
        assert problem.message.strip()
        assert problem.message.isprintable()
        assert 1 <= problem.line <= len(lines)
        assert 1 <= problem.column <= len(lines[problem.line - 1]) + 1
    assert list(reading.problems) == sorted(
        reading.problems, key=lambda one: (one.line, one.column, one.path, one.message)
    )
    assert read_plan(source, path="plan.yaml") == reading


@given(st.binary(max_size=300))
@example(b"\xef\xbb\xbf")
@example(b"\xff\xfea\x00")
@example(b"a: \xc3")
@settings(max_examples=300, deadline=None)
def test_random_bytes(source: bytes) -> None:
    check(source)
    assert read_settings(source, "underfoot.yaml").settings is None


@given(st.text(alphabet="abA1:-?[]{},&*!|>'\"%@`#~<= \t\n\r\\.0é\u2028\ufeff😀", max_size=60))
@settings(max_examples=300, deadline=None)
def test_random_text_of_yaml_s_own_signs(text: str) -> None:
    source = text.encode()
    check(source)
    # Both of PyYAML's parsers end without a fault of their own.
    for pure in (False, True):
        parse(source, pure=pure)


@given(st.data())
@settings(max_examples=fewer(80, 150), deadline=None)
def test_a_good_plan_with_things_changed(choose: st.DataObject) -> None:
    base = choose.draw(st.sampled_from([FULL, SMALL]))
    data = mutate(parse(base.encode()).data, choose)
    if choose.draw(st.booleans()):
        check(json.dumps(data, ensure_ascii=False).encode("utf-8", "replace"))
    else:
        check(yaml.safe_dump(data, allow_unicode=True, sort_keys=False).encode("utf-8", "replace"))


@given(st.data())
@settings(max_examples=fewer(80, 150), deadline=None)
def test_a_good_plan_with_its_text_damaged(choose: st.DataObject) -> None:
    text = choose.draw(st.sampled_from([FULL, SMALL]))
    for _ in range(choose.draw(st.integers(1, 3))):
        at = choose.draw(st.integers(0, len(text)))
        cut = choose.draw(st.integers(0, 12))
        put = choose.draw(st.text(alphabet="ab0:-[]{},&*!'\"\t\n ½", max_size=3))
        text = text[:at] + put + text[at + cut :]
    check(text.encode())


@given(st.data())
@settings(max_examples=fewer(60, 100), deadline=None)
def test_any_value_for_any_key(choose: st.DataObject) -> None:
    data: Any = parse(FULL.encode()).data
    where = choose.draw(st.sampled_from(sorted(data)))
    if where != "rooms" and choose.draw(st.booleans()):
        data[where] = choose.draw(VALUES)
    else:
        room = data["rooms"]["day-room"]
        room[choose.draw(st.sampled_from(sorted(room)))] = choose.draw(VALUES)
    check(json.dumps(data, ensure_ascii=False).encode("utf-8", "replace"))


def seconds(source: bytes) -> float:
    start = time.process_time()
    read_plan(source, path="plan.yaml")
    return time.process_time() - start


ROW = "A: {film: film-140, at: [60, 60], along: y, lengths: [2750, 2750], circuit: C1}"


@pytest.mark.parametrize(
    "source",
    [
        pytest.param(b"[" * 4_900_000, id="brackets"),
        pytest.param(b"{a: " * 1_200_000, id="braces"),
        pytest.param(b"- " * 2_400_000, id="dashes"),
        pytest.param(b"a: " + b"&a " * 1_600_000, id="anchors"),
        pytest.param(b"a: '" + b"x" * 4_900_000, id="an open quote"),
        pytest.param(b"? " * 2_400_000, id="question marks"),
        pytest.param(b"a" * 4_900_000, id="one word"),
        pytest.param(b"a: 1" + b"0" * 4_900_000, id="one number"),
        pytest.param(b'"' + b"\\n" * 2_400_000 + b'": 1', id="one key"),
        pytest.param(b"\n" * 4_900_000, id="empty lines"),
        pytest.param(
            "".join(f"k{number}: {{x: 1}}\n" for number in range(70_000)).encode(),
            id="unknown keys",
        ),
        pytest.param(
            change(
                SMALL, ROW, "".join(f"r{n}: {{after: r{n + 1}}}\n      " for n in range(50_000))
            ).encode(),
            id="rows without anything",
        ),
        pytest.param(
            change(
                SMALL,
                ROW,
                "\n      ".join(
                    f"r{n}x: {{film: f{n}, along: y, after: r{n + 1}x, length: 1, count: 1}}"
                    for n in range(20_000)
                ),
            ).encode(),
            id="films that are none",
        ),
        pytest.param(
            change(
                SMALL,
                "circuits:",
                "    leads: {W1: {circuit: C1, route: ["
                + ", ".join(f"X{n}" for n in range(200_000))
                + "]}}\ncircuits:",
            ).encode(),
            id="stops that are none",
        ),
        pytest.param(
            change(
                SMALL,
                "outline: [[0, 0], [4200, 0], [4200, 3100], [0, 3100]]",
                "outline: [" + ", ".join(f"[{n}, {n % 7 * 100}]" for n in range(9_999)) + "]",
            ).encode(),
            id="an outline that crosses itself everywhere",
        ),
        pytest.param(
            change(
                SMALL,
                ROW,
                "A: {film: film-140, at: [0, 0], along: y, lengths: ["
                + ", ".join(["5 furlongs", "1e9999 m", "7 xyzzy"] * 30_000)
                + "]}",
            ).encode(),
            id="lengths that are none",
            marks=pytest.mark.long,
        ),
    ],
)
def test_large_hostile_files_end_soon(source: bytes) -> None:
    # A good file of 5 MB takes about three seconds; the bound leaves room for a slow machine.
    assert seconds(source) < 30
