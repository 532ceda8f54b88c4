"""Both revisions of a room over each other; a room that one of them lacks."""

from xml.etree import ElementTree

import pytest

from tests.demo_plans import PLANS
from tests.underfoot.page.pages import examine_demo
from underfoot.checking.facts import Facts
from underfoot.comparing import compare
from underfoot.comparing.page.names import NEW_INK, OLD_INK
from underfoot.comparing.page.overlay import STAYED, draw_overlay
from underfoot.comparing.page.overlay_signs import signs_of
from underfoot.reading import read_plan

SVG = "{http://www.w3.org/2000/svg}"


def draw(*, is_new: bool) -> ElementTree.Element:
    reading = read_plan((PLANS / "office.yaml").read_bytes(), path="office.yaml", folder=PLANS)
    assert reading.plan is not None
    facts = Facts(reading.plan, {})
    both = (None, facts) if is_new else (facts, None)
    return ElementTree.fromstring(draw_overlay(both, "office", (), "office")[0])


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


def test_signs_tell_what_is_brought_in_left_and_cleared() -> None:
    old, new = examine_demo("as-reviewed/sewing-room"), examine_demo("as-laid/sewing-room")
    pair = compare("sewing-room.yaml", old, new)
    signs = signs_of(pair, "pair-1")
    said = {each.mark + str(each.finding.number): each for each in signs}
    # Brought in, left, brought in, cleared: as the text of the comparison lists them.
    assert list(said) == ["+1", "2", "+3", "–2"]
    svg, shown = draw_overlay((old.facts, new.facts), "sewing-room", pair.changes, "both", signs)
    root = ElementTree.fromstring(svg)
    # The circuit's note is about no place in the room.
    assert shown == [said["+1"], said["2"], said["–2"]]
    links = {link.get("id"): link for link in root.iter(f"{SVG}a")}
    assert list(links) == [each.id for each in shown]
    for each in shown:
        link = links[each.id]
        assert link.get("href") == f"#{each.target}"
        assert f"{each.finding.rule}: {each.finding.message}" in "".join(link.itertext())
        # Only what is gone is in dashes, and goes out of sight with the old revision.
        dashed = any(part.get("stroke-dasharray") for part in link.iter())
        assert dashed == (each.which == "old")
        around = [one for one in root.iter(f"{SVG}g") if link in list(one)]
        assert [one.get("class") for one in around] == [each.which]
    assert root.get("role") == "group"


def test_a_drawing_without_signs_is_a_picture() -> None:
    assert draw(is_new=True).get("role") == "img"
