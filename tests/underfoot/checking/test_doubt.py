"""What is found on a plan half typed is what would be found on it whole."""

import random
from collections.abc import Callable
from datetime import date
from functools import cache

import pytest

from tests.demo_plans import PLANS
from underfoot.editor.judgement import Judgement
from underfoot.editor.judging import Judge
from underfoot.running.checking import rule_sets_to_use

NAMES = [path.stem for path in sorted(PLANS.glob("*.yaml")) if path.stem != "catalogue"]
TODAY = date(2026, 11, 29)

Found = set[tuple[str, str | None, tuple[str, ...], str]]


@cache
def _judging() -> Judge:
    return Judge(rule_sets_to_use(), TODAY)


def _judge(name: str, text: str) -> Judgement:
    return _judging().judge(str(PLANS / f"{name}.yaml"), text.encode()).told


def _text(name: str) -> str:
    return (PLANS / f"{name}.yaml").read_text("utf-8")


def _found(told: Judgement) -> Found:
    return {(each.rule, each.room, each.items, each.message) for each in told.findings}


@cache
def _whole(name: str) -> Found:
    return _found(_judge(name, _text(name)))


@cache
def _silenced(name: str) -> set[str]:
    unjudged = _judge(name, _text(name)).unjudged
    return {each.rule for each in unjudged if (each.write or "").startswith("Put right what ")}


# What cannot be read is taken as nothing, which the finding's details say: the same, with less.
AT_LEAST = {"voltage-drop"}
OVERLAP = ("element-overlap", ("A5", "X1"))
BY_WALL = ("wall-clearance", ("X1",))
BEHIND = ("lead-under-element", ("W2", "X1"))
UNDER = {("lead-under-element", ("W2", "A5")), BEHIND}


@pytest.mark.parametrize(
    ("change", "kept", "held"),
    [
        # A lead's line cannot be read: strips that no lead feeds are not told of.
        (lambda t: t.replace("W1:", "W1"), {OVERLAP, BY_WALL} | UNDER, {"circuit-feed"}),
        # The same where the lead's line slipped to the left, as if it were a room.
        (lambda t: t.replace("      W2: {", "  5 kg W2: {"), {OVERLAP, BY_WALL},
         {"circuit-feed"}),
        # A key begun, which could be the sensor's: that it is missing is not told.
        (lambda t: t.replace("    sensor:", "    sens"), {OVERLAP, BY_WALL} | UNDER,
         {"sensor-missing"}),
        # A row without its film: how much is heated is not known, nor what W2 lies under.
        (lambda t: t.replace("A: {film: film-80,", "A: {"), {BY_WALL},
         {"floor-coverage", "circuit-feed", "heat-demand"}),
        # A circuit that is only begun.
        (lambda t: t.replace("breaker: 10 A", "breaker: 10 kg"), {OVERLAP, BY_WALL} | UNDER,
         {"breaker-rating"}),
        # A value of a strip: nothing is said of that strip.
        (lambda t: t.replace("X1: {film: film-80, at: [", "X1: {film: film-80, at: [x"), set(),
         set()),
        # The supply: what is found without it stands.
        (lambda t: t.replace("voltage: 230 V\n  system", "voltage: 23 kg\n  system"),
         {OVERLAP, BY_WALL} | UNDER, set()),
        # A row is there, and not as it is meant: nothing is said of its strips, all of others.
        (lambda t: t.replace("A: {film: film-80,", "A: {film: film-80, connected: left,"),
         {BY_WALL, BEHIND}, {"element-overlap", "lead-under-element"}),
        (lambda t: t.replace("A: {film: film-80,", "A: {film: film-80, spacing: 5 kg,"),
         {BY_WALL, BEHIND}, {"element-overlap", "lead-under-element"}),
        # Which circuit they are on is needed for more.
        (lambda t: t.replace("count: 5, circuit: C1", "count: 5, circuit: [C1]"),
         {BY_WALL, BEHIND}, {"element-overlap", "lead-under-element", "circuit-feed"}),
    ],
    ids=["lead", "slipped", "sensor", "film", "breaker", "strip", "supply",
         "row's end", "row's spacing", "row's circuit"],
)  # fmt: skip
def test_what_hangs_on_what_cannot_be_read_is_held_back(
    change: Callable[[str], str], kept: set[tuple[str, tuple[str, ...]]], held: set[str]
) -> None:
    text = change(_text("study"))
    assert text != _text("study")
    told = _judge("study", text)
    assert told.verdict == "unreadable"
    assert told.problems
    assert {(each.rule, each.items) for each in told.findings} == kept
    assert held <= set(told.held_back)
    assert told.unjudged == ()


@pytest.mark.parametrize("lost", ["snug", "passage"])
def test_a_room_that_cannot_be_read_costs_no_other_room_its_findings(lost: str) -> None:
    text = _text("snug")
    at = text.index("outline:", text.index(f"\n  {lost}:\n"))
    told = _found(_judge("snug", f"{text[:at]}out: {text[at:]}"))
    assert told <= _whole("snug")
    rooms = {room for _, room, _, _ in told}
    assert lost not in rooms
    others = {found for found in _whole("snug") if found[1] not in (None, lost)}
    assert bool(others) == bool(rooms - {None})


def test_what_to_do_is_not_said_where_it_hangs_on_what_is_missing() -> None:
    text = _text("corridor")
    for each in _judge("corridor", text.replace("\n    leads:", "\n    leads: [", 1)).findings:
        assert each.remedy


def _damage(chance: random.Random, text: str) -> str:
    at = chance.randrange(60, len(text))
    if chance.random() < 0.5:
        return text[:at] + chance.choice(["{", "[", '"', "'", "}", "]", ": ", "\n"]) + text[at:]
    start = max(text.find(" ", at) + 1, 1)
    end = min(found for found in (text.find(sign, start) for sign in " ,\n}]") if found > 0)
    return text[:start] + chance.choice(["zz", "5 kg", "-3", "[", "{a: 1}", "A99"]) + text[end:]


def _try(rounds: int, seed: int) -> None:
    chance = random.Random(seed)
    kept = told = damaged = 0
    for _ in range(rounds):
        name = chance.choice(NAMES)
        text = _damage(chance, _text(name))
        judged = _judge(name, text)
        if not judged.problems:
            continue
        damaged += 1
        known = {each[:3] for each in _whole(name) if each[0] in AT_LEAST}
        more = {each[0] for each in _found(judged) - _whole(name) if each[:3] not in known}
        # What another finding silences in the whole plan may be told where that is held back.
        assert more <= _silenced(name), (name, text)
        kept += len(_found(judged))
        told += len(_whole(name))
    assert damaged > rounds / 2
    # Held back is what must be: much of what is found does not hang on a slip somewhere.
    assert kept > told / 3


def test_nothing_is_told_that_the_whole_plan_does_not_have() -> None:
    _try(40, 21)


@pytest.mark.long
def test_nothing_is_told_that_the_whole_plan_does_not_have_very_often() -> None:
    _try(500, 23)
