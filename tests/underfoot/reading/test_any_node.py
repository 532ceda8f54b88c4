"""Any value in the place of any node of any file: told at its place, and no fault of the tool."""

from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from msgspec import Struct

from tests.underfoot.reading.odd_values import ODD, Way, list_ways, write
from tests.underfoot.reading.samples import FULL
from underfoot.checking.rule_sets import installed_rule_sets
from underfoot.marking.answers import read_answers, read_key
from underfoot.marking.comments import read_comments
from underfoot.marking.scheme import read_scheme
from underfoot.reading import read_plan, read_settings
from underfoot.reading.catalogue import read_catalogue
from underfoot.reading.paths import join_path
from underfoot.reading.problem import Problem
from underfoot.reading.review_file import read_review
from underfoot.reading.syntax import parse

pytestmark = pytest.mark.oracle

ROOT = Path(__file__).parents[3]
PLANS = ROOT / "plans"
# Below these, keys are ids.
MAPS = frozenset(
    {"rooms", "circuits", "films", "boards", "sheets", "coverings", "fixtures", "joints",
     "elements", "rows", "leads", "pieces", "strips", "limits", "rules", "may_waive", "topics",
     "submissions"}
)  # fmt: skip
# No file may hold these anywhere, not even as text.
NEVER_RIGHT = frozenset(
    {"a list of lists", "a merge key", "a merge key and a sound one", "a merge key in a list",
     "a key that is a list", "a huge number", "a lone surrogate", "binary", "a set", "an alias",
     "an anchor"}
)  # fmt: skip

SETTINGS = """\
settings_format: 1
locked: true
rule_sets: [standard]
note: a
limits:
  strip-gap: {because: so it is, largest: 5 mm}
  wall-clearance: {because: so it is, least: 60}
rules:
  cold-area: {because: so it is, severity: note, off: false, undecided: warning}
never_waive: [strip-gap]
may_waive: {rcd: because it is so}
"""
KEY = """\
key_format: 1
title: an exercise
plan: study.yaml
seed: 3
marks: {found: 2, place_only: 1, wrong: 0.5}
faults:
  - {rule: strip-gap, room: study, items: [A1, A2], says: a, message: b, remedy: c}
follows:
  - {rule: strip-gap, room: study, items: [A1, A2]}
"""
ANSWERS = """\
answers_format: 1
faults:
  - {kind: strip-gap, room: study, item: A1}
"""


class Node(Struct, frozen=True, kw_only=True):
    """One node to put odd values in the place of; `data` is the file that it is in."""

    data: Any
    way: Way


def kind_of(way: Way) -> Way:
    return tuple(
        "#" if isinstance(part, int) else "*" if place and way[place - 1] in MAPS else part
        for place, part in enumerate(way)
    )


@cache
def plan_nodes() -> dict[Way, Node]:
    """Every kind of node that the demo plans and the full sample have, in the least of them."""
    sources = [FULL, *(file.read_text("utf-8") for file in sorted(PLANS.rglob("*.yaml")))]
    plans = [data for data in (parse(text.encode()).data for text in sources) if is_plan(data)]
    nodes: dict[Way, Node] = {}
    for data in sorted(plans, key=lambda plan: len(str(plan))):
        for way in list_ways(data):
            nodes.setdefault(kind_of(way), Node(data=data, way=way))
    return nodes


def is_plan(data: Any) -> bool:
    return isinstance(data, Mapping) and "plan_format" in data


def read_any_plan(source: bytes) -> tuple[bool, tuple[Problem, ...]]:
    reading = read_plan(source, path="plan.yaml", folder=PLANS)
    return reading.plan is not None, reading.problems


def check_located(text: str, way: Way, line: int, problems: tuple[Problem, ...]) -> None:
    """At least one problem lies at the node; all lie in the file."""
    path = join_path(way)
    assert any(
        one.path == path or one.path.startswith(f"{path}.") or one.line == line for one in problems
    ), (path, line, problems, text)
    lines = text.split("\n")
    assert all(1 <= one.line <= len(lines) and one.message.isprintable() for one in problems)


def try_plan(node: Node, odd: str) -> None:
    text, line = write(node.data, node.way, ODD[odd])
    is_read, problems = read_any_plan(text.encode())
    assert is_read == (not problems)
    if odd in NEVER_RIGHT:
        check_located(text, node.way, line, problems)


def in_turn(step: int) -> Iterator[tuple[Way, str]]:
    """Each kind of node with one value in `step`, so that each value meets kinds of all sorts."""
    odds = list(ODD)
    for number, kind in enumerate(plan_nodes()):
        for place in range(number % step, len(odds), step):
            yield kind, odds[place]


def test_any_node_of_a_plan() -> None:
    assert len(plan_nodes()) > 330
    for kind, odd in in_turn(132):
        try_plan(plan_nodes()[kind], odd)


@pytest.mark.long
def test_every_node_of_a_plan_with_every_value() -> None:
    for kind, odd in in_turn(1):
        try_plan(plan_nodes()[kind], odd)


SECOND = "there is no such day as `2026-02-30`"


# After half a character nothing more can be read.
@pytest.mark.parametrize("odd", sorted(NEVER_RIGHT - {"a lone surrogate"}))
def test_what_is_wrong_elsewhere_is_told_as_well(odd: str) -> None:
    for number, (kind, node) in enumerate(plan_nodes().items()):
        if number % 27 != 4 or kind[0] in ("job", "plan_format", "supply"):
            continue
        data = {**node.data, "job": {**node.data.get("job", {}), "date": "2026-02-30"}}
        text, line = write(data, node.way, ODD[odd])
        problems = read_any_plan(text.encode())[1]
        check_located(text, node.way, line, problems)
        assert any(SECOND in one.message and one.path == "job.date" for one in problems)


Read = Callable[[bytes], tuple[bool, tuple[Problem, ...]]]


def read_shared(source: bytes) -> tuple[bool, tuple[Problem, ...]]:
    problems = read_catalogue(source, "catalogue.yaml", {})[1]
    return not problems, problems


def read_rules(source: bytes) -> tuple[bool, tuple[Problem, ...]]:
    reading = read_scheme(source, "scheme.yaml", installed_rule_sets())
    return reading.scheme is not None, reading.problems


def sound(found: tuple[Any, tuple[Problem, ...]]) -> tuple[bool, tuple[Problem, ...]]:
    return found[0] is not None, found[1]


def read_decided(source: bytes) -> tuple[bool, tuple[Problem, ...]]:
    reading = read_review(source, "a.review.yaml")
    return reading.review is not None, reading.problems


def read_said(source: bytes) -> tuple[bool, tuple[Problem, ...]]:
    reading = read_comments(source, "comments.yaml")
    return reading.comments is not None, reading.problems


def read_set(source: bytes) -> tuple[bool, tuple[Problem, ...]]:
    reading = read_settings(source, "underfoot.yaml")
    return reading.settings is not None, reading.problems


OTHERS: dict[str, tuple[str, Read]] = {
    "catalogue": ((PLANS / "catalogue.yaml").read_text("utf-8"), read_shared),
    "settings": (SETTINGS, read_set),
    "review": (
        (PLANS / "as-reviewed" / "sewing-room.review.yaml").read_text("utf-8"),
        read_decided,
    ),
    "scheme": ((ROOT / "tests/demo_class/scheme.yaml").read_text("utf-8"), read_rules),
    "comments": (
        (ROOT / "tests/demo_class/comments.yaml").read_text("utf-8"),
        read_said,
    ),
    "key": (KEY, lambda source: sound(read_key(source, "key.yaml"))),
    "answers": (ANSWERS, lambda source: sound(read_answers(source, "answers.yaml"))),
}


@pytest.mark.parametrize("name", OTHERS)
def test_the_sound_file_is_read(name: str) -> None:
    text, read = OTHERS[name]
    assert read(text.encode()) == (True, ())


@pytest.mark.parametrize("name", OTHERS)
def test_any_node_of_any_other_file(name: str) -> None:
    text, read = OTHERS[name]
    data = parse(text.encode()).data
    kinds = {kind_of(way): way for way in list_ways(data)}
    for number, way in enumerate(kinds.values()):
        for place, (odd, put) in enumerate(ODD.items()):
            if (place + number) % (11 if len(kinds) < 30 else 33) and len(kinds) > 20:
                continue
            changed, line = write(data, way, put)
            is_read, problems = read(changed.encode())
            # Of answers the others still count where one cannot be read.
            assert is_read == (not problems) or (name == "answers" and is_read), (way, odd)
            if odd in NEVER_RIGHT:
                check_located(changed, way, line, problems)
