"""Every fault that is set can be found in what is handed out."""

import re
from datetime import date
from pathlib import Path

import pytest
import yaml

from tests.demo_plans import PLANS
from underfoot.checking.check import check_source, make_checker
from underfoot.checking.settings import default_settings
from underfoot.marking.exercise import (
    Exercise,
    ExerciseError,
    make_exercise,
    read_data,
    write_plan,
)
from underfoot.marking.handout import draw_exercise, write_brief
from underfoot_rules import STANDARD

pytestmark = pytest.mark.slow

TODAY = date(2026, 12, 1)
BENCH = make_checker([STANDARD], default_settings(STANDARD.rules), TODAY)
LATER = make_checker([STANDARD], default_settings(STANDARD.rules), date(2027, 3, 1))
# Between them: rows and strips, a bath, a slab, readings of a floor that was handed over.
SET_ON = ("attic", "bathroom", "cloakroom", "guest-room")
# What is drawn by itself, whichever drawing that is in.
_DRAWN = re.compile(r'data-item="([^"]*)"')


def told_in(exercise: Exercise) -> set[str]:
    """Return every name that stands in what is handed out, the key aside."""
    told = set(re.findall(r"[\w.-]+", write_plan(exercise.data)))
    told |= set(re.findall(r"[\w.-]+", write_brief(exercise, TODAY)))
    for svg in draw_exercise(exercise).values():
        told |= set(_DRAWN.findall(svg))
    return told


def look(exercise: Exercise) -> None:
    (fault,) = exercise.faults
    told = told_in(exercise)
    finding = fault.finding
    assert finding.room is None or finding.room in told
    lost = [item for item in finding.items if item not in told]
    # What was left out stands in no file: its rule is about what is missing.
    if lost:
        right = yaml.safe_dump(exercise.right)
        assert all(re.search(rf"\b{re.escape(item)}\b", right) for item in lost), (fault.says, lost)
    # Whoever looks another day, finds it too.
    text = write_plan(exercise.data).encode()
    later = check_source(text, LATER, path="exercise.yaml").findings
    assert finding.rule in {one.rule for one in later}, fault.says
    # It is in what differs from the right plan, and that is little.
    assert exercise.data != exercise.right


@pytest.mark.long
def test_every_mutation_that_is_set_can_be_found_in_what_is_handed_out() -> None:
    seen: dict[str, str] = {}
    for name in SET_ON:
        data = read_data((PLANS / f"{name}.yaml").read_bytes(), PLANS)
        for mutation in STANDARD.mutations:
            if mutation.name in seen or mutation.not_set:
                continue
            try:
                exercise = make_exercise(data, [mutation], BENCH, faults=1, seed=1)
            except ExerciseError:
                continue
            look(exercise)
            seen[mutation.name] = name
    assert len(seen) >= 75, sorted({one.name for one in STANDARD.mutations} - set(seen))


@pytest.mark.parametrize(
    ("plan", "mutation"),
    [("attic", "cut-anywhere"), ("attic", "membrane-not-taped"), ("attic", "joints-not-taped"),
     ("guest-room", "circuit-read-wrong"), ("cloakroom", "last-strip-apart")],
)  # fmt: skip
def test_a_fault_of_each_part_can_be_found_in_what_is_handed_out(plan: str, mutation: str) -> None:
    data = read_data((PLANS / f"{plan}.yaml").read_bytes(), PLANS)
    one = [each for each in STANDARD.mutations if each.name == mutation]
    look(make_exercise(data, one, BENCH, faults=1, seed=1))


def test_a_reason_is_given_for_what_is_never_set() -> None:
    for mutation in STANDARD.mutations:
        if mutation.not_set:
            assert len(mutation.not_set.split()) > 4
            assert not mutation.not_set.endswith(".")


def test_nothing_in_the_brief_is_obeyed_or_hidden(tmp_path: Path) -> None:
    text = (PLANS / "bedroom.yaml").read_text("utf-8")
    odd = text.replace("plot 3, bedroom", r"\x1b[31m \0 \u202e 🔥 plot 3").replace(
        "title: Teasel Court", 'title: "Teasel Court'
    )
    odd = odd.replace("🔥 plot 3", '🔥 plot 3"', 1)
    made = make_exercise(
        read_data(odd.encode(), tmp_path), STANDARD.mutations, BENCH, faults=1, seed=2
    )
    brief = write_brief(made, TODAY)
    assert brief.startswith(
        "Teasel Court, \\x1b[31m \\x00 \\u202e 🔥 plot 3: what is known of it\n"
    )
    assert all(line.isprintable() for line in brief.splitlines())
