"""What of a circuit or a thermostat lies in rooms that the brief does not have is not judged."""

import pytest

from tests.underfoot.reading.samples import SMALL, change, read
from underfoot.marking.brief import restore_brief
from underfoot.plan import Plan

ANNEXES = """\
  hall:
    outline: [[0, 0], [2000, 0], [2000, 2500], [0, 2500]]
    thermostat: {at: [0, 500], room: landing, reads: [landing, study]}
  landing:
    outline: [[0, 0], [2600, 0], [2600, 1900], [0, 1900]]
  loft:
    outline: [[0, 0], [5100, 0], [5100, 1900], [0, 1900]]
"""
CIRCUITS = """\
circuits:
  C2: {thermostat: loft}
  C3: {links: [{from: study, to: hall}, {from: hall, to: landing}]}
"""
WHOLE = change(change(SMALL, "circuits:\n", f"{ANNEXES}circuits:\n"), "circuits:\n", CIRCUITS)


def plan_of(text: str) -> Plan:
    plan = read(text).plan
    assert plan is not None, read(text).problems
    return plan


def brief_with(*names: str) -> Plan:
    """Return a brief with these rooms alone, all bare."""
    plan = plan_of(WHOLE)
    text = change(SMALL, "circuits:\n", f"{ANNEXES}circuits:\n")
    for name in set(plan.rooms) - set(names):
        start = text.index(f"  {name}:\n")
        after = [text.find(f"\n  {other}:\n", start) for other in (*plan.rooms, "C1")]
        end = min(place for place in (*after, text.index("circuits:\n") - 1) if place > start)
        text = text[:start] + text[end + 1 :]
    text = text.replace(", room: landing, reads: [landing, study]", "")
    return plan_of(text)


@pytest.mark.parametrize(
    ("names", "thermostat", "links", "room", "reads"),
    [
        (("study", "hall", "landing", "loft"), "loft",
         [("study", "hall"), ("hall", "landing")], "landing", ("landing", "study")),
        (("study", "hall", "landing"), None,
         [("study", "hall"), ("hall", "landing")], "landing", ("landing", "study")),
        (("study", "hall", "loft"), "loft", [("study", "hall")], None, ("study",)),
        (("hall", "landing"), None, [("hall", "landing")], "landing", ("landing",)),
        (("study", "landing"), None, [], "not judged", None),
    ],
)  # fmt: skip
def test_only_what_lies_in_the_briefs_rooms_is_left(
    names: tuple[str, ...],
    thermostat: str | None,
    links: list[tuple[str, str]],
    room: str | None,
    reads: tuple[str, ...] | None,
) -> None:
    judged = restore_brief(plan_of(WHOLE), brief_with(*names), ()).plan
    assert set(judged.rooms) == set(names)
    assert judged.circuits["C2"].thermostat == thermostat
    assert [(one.start, one.end) for one in judged.circuits["C3"].links] == links
    if "hall" in names:
        hung = judged.rooms["hall"].thermostat
        assert hung is not None
        assert (hung.room, hung.reads) == (room, reads)
        assert (hung.at is None) == (room is None)
