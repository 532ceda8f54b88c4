"""Doors, windows and passages as they are written: each on one wall, beside the others."""

import pytest

from tests.underfoot.reading.samples import SMALL, change, problems_of, read
from underfoot.plan import Opening, Plan, Room

DOOR = "{kind: door, from: [600, 0], to: [1400, 0], hinge: from, opens: inwards}"
# The side to the right slants: from [4200, 0] to [4500, 400], 500 long.
SLANTING = change(
    SMALL,
    "[[0, 0], [4200, 0], [4200, 3100], [0, 3100]]",
    "[[0, 0], [2000, 0], [4200, 0], [4500, 400], [4500, 3100], [0, 3100]]",
)


def opened(*openings: str, text: str = SMALL) -> str:
    listed = "".join(f"      O{place}: {each}\n" for place, each in enumerate(openings, start=1))
    return change(text, "    rows:\n", f"    openings:\n{listed}    rows:\n")


def study_of(text: str) -> tuple[Plan, Room]:
    plan = read(text).plan
    assert plan is not None, problems_of(text)
    return plan, plan.rooms["study"]


def test_a_door_has_two_ends_a_hinge_and_a_way_to_open() -> None:
    _, room = study_of(opened(DOOR, "{kind: window, from: [4.2 m, 1 m], to: [4200, 2500]}"))
    door, window = room.openings.values()
    assert door == Opening(
        id="O1",
        path="rooms.study.openings.O1",
        kind="door",
        line=((600, 0), (1400, 0)),
        hinge="from",
        opens="inwards",
    )
    assert (door.width, window.width) == (800, 1500)
    assert (door.is_walked_through, window.is_walked_through) == (True, False)


@pytest.mark.parametrize(
    ("north", "own", "degrees"),
    [
        ("y", None, 90.0),
        ("-y", None, 270.0),
        ("x", None, 0.0),
        ("-x", None, 180.0),
        ("20 deg", None, 20.0),
        ("-30 deg", None, 330.0),
        ("y", "-x", 180.0),
        ("y", "0 deg", 0.0),
        (None, "75 deg", 75.0),
        (None, None, None),
    ],
)
def test_north_is_the_room_s_own_or_the_plan_s(
    north: str | None, own: str | None, degrees: float | None
) -> None:
    text = SMALL if north is None else change(SMALL, "rooms:\n", f"north: {north}\nrooms:\n")
    if own is not None:
        text = change(text, "  study:\n", f"  study:\n    north: {own}\n")
    plan, room = study_of(text)
    assert plan.north_of(room) == degrees


def test_a_room_is_called_by_its_name() -> None:
    assert study_of(SMALL)[1].called == "study"
    named = change(SMALL, "  study:\n", "  study:\n    name: The study, first floor\n")
    assert study_of(named)[1].called == "The study, first floor"


def test_an_opening_may_lie_anywhere_on_a_wall_of_any_direction() -> None:
    """Over a corner that is none, on a slanting wall, written backwards, and side by side."""
    _, room = study_of(
        opened(
            "{kind: passage, from: [1500, 0], to: [2500, 0]}",
            "{kind: window, from: [4440, 320], to: [4260, 80]}",
            "{kind: door, from: [2500, 0], to: [3300, 0], opens: slides}",
            "{kind: window, from: [0, 3100], to: [0, 0]}",
            text=SLANTING,
        )
    )
    assert [round(each.width) for each in room.openings.values()] == [1000, 300, 800, 3100]


@pytest.mark.parametrize(
    ("openings", "path", "message"),
    [
        (
            ["{kind: door, from: [600, 40], to: [1400, 0]}"],
            "O1.from",
            "`from`: `[600, 40]` lies 40 mm off the nearest wall: an opening lies on a side of the "
            "outline, here at `[600, 0]`",
        ),
        (
            ["{kind: door, from: [600, 0], to: [1400, 1.5]}"],
            "O1.to",
            "`to`: `[1400, 1.5]` lies 2 mm off the nearest wall",
        ),
        (
            ["{kind: door, from: [3800, 0], to: [4600, 0]}"],
            "O1.to",
            "`to`: the opening, 800 mm wide, reaches 400 mm beyond the end of its wall at "
            "`[4200, 0]`: make it narrower, or begin it elsewhere",
        ),
        (
            ["{kind: door, from: [3800, 0], to: [4200, 600]}"],
            "O1.to",
            "`to`: `[4200, 600]` lies on another wall than `from`, `[3800, 0]`: an opening lies on "
            "one side of the outline",
        ),
        (
            ["{kind: door, from: [600, 0], to: [600, 0]}"],
            "O1.to",
            "`to`: this is where `from` is: an opening is as wide as from one to the other",
        ),
        (
            [DOOR, "{kind: window, from: [2000, 0], to: [1300, 0]}"],
            "O2",
            "`O2` and `O1` overlap by 100 mm: two openings lie beside each other; change `from` or "
            "`to` of one",
        ),
        (
            ["{kind: window, from: [600, 0], to: [1400, 0], hinge: to}"],
            "O1.hinge",
            "`hinge`: only a door has it: delete this, or write `kind: door`",
        ),
        (
            ["{kind: passage, from: [600, 0], to: [1400, 0], opens: inwards}"],
            "O1.opens",
            "`opens`: only a door has it",
        ),
        (
            ["{kind: window, from: [600, 0], to: [1400, 0], threshold: none}"],
            "O1.threshold",
            "`threshold`: a window has none: delete this, or write `kind: door`",
        ),
        (
            ["{kind: door, from: [600, 0], to: [1400, 0], opens: slides, hinge: to}"],
            "O1.hinge",
            "`hinge`: a door that slides has none: delete this, or say how it opens",
        ),
        (
            ["{kind: passage, from: [600, 0], to: [1400, 0], sill: 900}"],
            "O1.sill",
            "`sill`: only a window has one: delete this, or write `kind: window`",
        ),
        (["{kind: door, from: [600, 0]}"], "O1", "`to`"),
    ],
)
def test_what_is_wrong_is_told_where_it_stands(
    openings: list[str], path: str, message: str
) -> None:
    ((_, found, words),) = problems_of(opened(*openings))
    assert found == f"rooms.study.openings.{path}"
    assert message in words


def test_where_the_outline_is_faulty_openings_are_not_judged_by_it() -> None:
    text = change(SMALL, "[4200, 3100], [0, 3100]]", "[0, 3100], [4200, 3100]]")
    ((_, path, words),) = problems_of(opened(DOOR, text=text))
    assert path.startswith("rooms.study.outline")
    assert "crosses" in words


def test_no_more_openings_than_any_room_has() -> None:
    def many(count: int) -> str:
        return opened(
            *(
                f"{{kind: window, from: [{place * 30}, 0], to: [{place * 30 + 20}, 0]}}"
                for place in range(count)
            )
        )

    assert len(study_of(many(100))[1].openings) == 100
    ((_, path, words),) = problems_of(many(101))
    assert path == "rooms.study.openings.O101"
    assert words == "with this, the room has more than 100 openings"
