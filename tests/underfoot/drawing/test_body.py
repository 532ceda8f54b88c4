"""A room drawn by itself, to stand in a page."""

import re

from tests.underfoot.drawing.rooms import SVG, crowd, demo_room, parse
from underfoot.drawing import USUAL_LAYERS, draw_body


def test_two_bodies_on_a_page_share_no_id() -> None:
    plan, facts = demo_room("bedroom")
    one, two = (draw_body(facts, plan, crowd(facts), prefix=prefix) for prefix in ("a-", "b-"))
    ids = re.findall(r' id="([^"]+)"', one + two)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]+)\)", one + two)) <= set(ids)


def test_a_body_has_the_hooks_of_a_page() -> None:
    plan, facts = demo_room("bedroom")
    root = parse(draw_body(facts, plan, crowd(facts), prefix="a-"))
    assert root.get("width") is None
    assert root.get("data-room") == "bedroom"
    balloons = [each for each in root.iter() if each.get("class") == "balloon"]
    assert balloons
    assert all(each.get("data-finding") and each.get("data-severity") for each in balloons)
    drawn = {each.get("data-layer") for each in root.iter(f"{SVG}g")}
    assert drawn >= {*USUAL_LAYERS} - {"coverings", "zones"}
