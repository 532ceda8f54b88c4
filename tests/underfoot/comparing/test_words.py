"""Words that every format of a comparison shares."""

from underfoot.comparing import Change, Comparison
from underfoot.comparing.words import by_room, gather


def moved(item: str, room: str | None = "hall", kind: str = "strip") -> Change:
    return Change(room=room, kind=kind, item=item, what="moved", text="moved 5 mm up (+y)", by=5.0)


def test_what_changed_in_the_same_way_is_told_together() -> None:
    found = gather([moved("A1"), moved("W1", kind="lead"), moved("A2")])
    assert [each.name for each in found] == ["strips A1, A2", "lead W1"]


def test_ids_that_are_counted_up_are_told_by_first_and_last() -> None:
    ids = ("A1", "A2", "A3", "A4", "A5", "A7", "B8", "B9")
    (found,) = gather(moved(item) for item in ids)
    assert found.name == "strips A1 to A5, A7, B8, B9"


def test_a_thing_without_an_id_is_named_by_its_kind() -> None:
    (found,) = gather([moved("", kind="sensor")])
    assert found.name == "sensor"
    (found,) = gather([moved("f", kind="kind of film"), moved("g", kind="kind of film")])
    assert found.name == "kinds of film f, g"


def test_the_whole_plan_comes_last() -> None:
    changes = (moved("C1", None, "circuit"), moved("A1"))
    rooms = by_room(Comparison(name="a.yaml", old=None, new=None, changes=changes))
    assert [room for room, _ in rooms] == ["hall", "the whole plan"]
