"""What is offered where a cursor stands."""

import pytest

from underfoot.editor.completion import Offer, complete
from underfoot.editor.text_places import Span

PLAN = """\
plan_format: 1
status: 
materials:
  films:
    film-80: {width: 500, output: 80 W/m2, voltage: 230 V}
    film-60: {width: 500, output: 60 W/m2, voltage: 230 V}
  boards:
    board-10: {size: [1200, 600], thickness: 10}
supply: {voltage: 230 V, }
rooms:
  hall:
    outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]
    rows:
      A: {film: film-80, at: [60, 60], along: y, lengths: [2000, null, 2250], circuit: C1}
      B: {film: , at: [60, 60], along: , length: 2000, count: 2, circuit: }
    leads:
      W1: {circuit: C2, route: [junction-box, ], recessed: }
    sensor: {at: [1, 2], route: [ ]}
    
  kitchen:
    elements:
      E1: {film: film-60}
circuits:
  C1: {thermostat: , shares: }
waivers:
  - {rule: , item: }
"""  # noqa: W291, W293


def offers(before: str, typed: str = "", text: str = PLAN) -> list[Offer]:
    """What is offered behind `before`, once `typed` stands there."""
    at = text.index(before) + len(before)
    lines = (text[:at] + typed).split("\n")
    place = (len(lines) - 1, len(lines[-1]))
    found = complete(
        text[:at] + typed + text[at:], place, lambda: [("wall-clearance", "what is near a wall")]
    )
    start = (place[0], place[1] - len(typed))
    assert all(each.span == Span(start, place) for each in found)
    return list(found)


def labels(before: str, typed: str = "", text: str = PLAN) -> list[str]:
    return [each.label for each in offers(before, typed, text)]


@pytest.mark.parametrize(
    ("before", "offered"),
    [
        ("status: ", ["draft", "for review", "laid", "covered", "handed over"]),
        ("B: {film: ", ["film-80", "film-60"]),
        ("length: 2000, count: 2, circuit: ", ["C1"]),
        ("route: [junction-box, ", ["junction-box", "A", "A1", "A3", "B", "B1", "B2"]),
        ("sensor: {at: [1, 2], route: [", ["junction-box"]),
        ("recessed: ", ["true", "false"]),
        ("thermostat: ", ["hall", "kitchen"]),
        ("shares: ", ["C1"]),
        ("- {rule: ", ["wall-clearance"]),
        ("at: [60, 60], along: ", ["x", "y"]),
    ],
)
def test_values(before: str, offered: list[str]) -> None:
    assert labels(before) == offered


def test_words_are_explained() -> None:
    details = {each.label: each.detail for each in offers("status: ")}
    assert details["draft"] == "Still being drawn."
    assert {each.detail for each in offers("recessed: ")} == {""}


def test_any_id_may_be_waived() -> None:
    assert {"film-80", "hall", "A", "A1", "W1", "C1", "E1"} <= set(labels("item: "))
    assert "A2" not in labels("item: ")  # null leaves its place empty


def test_what_stands_there_already_is_not_offered() -> None:
    keys = labels("supply: {voltage: 230 V, ")
    assert keys == ["system", "source", "phases", "available"]
    assert labels("supply: {voltage: 230 V, ", "sys") == keys


def test_keys_of_a_room_in_a_block() -> None:
    found = offers("route: [ ]}\n    ")
    keys = {each.label: each for each in found}
    assert "rows" not in keys
    assert "outline" not in keys
    assert keys["fixtures"].text == "fixtures:"
    assert keys["subfloor"].text == "subfloor:"
    assert keys["height"].text == "height: "
    assert keys["height"].detail == "The height of the room"
    assert "millimetres" in keys["height"].says


def test_keys_within_braces_go_on_in_the_line() -> None:
    found = {each.label: each for each in offers("supply: {voltage: 230 V, ")}
    assert found["source"].text == "source: "


def test_ids_that_are_used_and_not_given() -> None:
    found = offers("circuits:\n  ")
    assert (found[0].label, found[0].text) == ("C2", "C2: ")
    assert found[-1].text.startswith("NAME: {")
    assert "C1" not in [each.label for each in found]


def test_an_item_of_a_list() -> None:
    text = "tests:\n  "
    (item,) = complete(text, (1, 2))
    assert item.text.startswith("- {circuit: ")


def test_an_example_where_a_figure_stands() -> None:
    (found,) = complete("supply: {voltage: ", (0, 18))
    assert (found.label, found.detail) == ("230 V", "an example")
    assert complete("supply: {voltage: 23", (0, 20)) == ()


@pytest.mark.parametrize("text", ["# ", "a: 1 # ", "unknown: {", "rooms: {hall: {outline: [[ # "])
def test_nothing_is_offered(text: str) -> None:
    assert complete(text, (0, len(text))) == ()
