"""Both revisions of a room over each other; a room that one of them lacks."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from underfoot.checking.facts import Facts
from underfoot.comparing.page.names import NEW_INK, OLD_INK
from underfoot.comparing.page.overlay import STAYED, draw_overlay
from underfoot.reading import read_plan

PLANS = Path(__file__).parents[3] / "plans"
SVG = "{http://www.w3.org/2000/svg}"


def draw(*, is_new: bool) -> ElementTree.Element:
    reading = read_plan((PLANS / "office.yaml").read_bytes(), path="office.yaml", folder=PLANS)
    assert reading.plan is not None
    facts = Facts(reading.plan, {})
    both = (None, facts) if is_new else (facts, None)
    return ElementTree.fromstring(draw_overlay(both, "office", (), "office"))


@pytest.mark.parametrize(
    ("is_new", "ink", "other", "sign"),
    [(True, NEW_INK, OLD_INK, "+ "), (False, OLD_INK, NEW_INK, "– ")],
    ids=["added", "taken away"],
)
def test_a_room_of_one_revision_is_drawn_as_that_revision(
    is_new: bool, ink: str, other: str, sign: str
) -> None:
    root = draw(is_new=is_new)
    strokes = [each.get("stroke") for each in root.iter()]
    # Six strips, one fixture, one lead, the walls, door and window, the sensor with its way, the
    # junction box.
    assert strokes.count(ink) == 14
    assert other not in strokes
    assert STAYED not in strokes
    dashed = [each for each in root.iter() if each.get("stroke-dasharray")]
    assert bool(dashed) is not is_new
    words = {text.text for text in root.iter(f"{SVG}text")}
    assert {f"{sign}A{place}" for place in range(1, 7)} <= words
