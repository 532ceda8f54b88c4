"""Which values are tried for one that cannot be read, and when it is tried without any."""

from collections.abc import Mapping
from typing import Any, cast

import pytest

from underfoot.marking import unread


class Salvage:
    """A plan of which each value tried takes these things with it; None where nothing reads."""

    def __init__(self, gone_with: Mapping[object, tuple[str, ...] | None]) -> None:
        self.gone_with = gone_with

    def read_with(self, values: Mapping[str, object]) -> tuple[object, tuple[str, ...]]:
        gone = self.gone_with[values.get("rooms.hall.height")]
        return (None, ()) if gone is None else (dict(values), gone)


class Blank:
    path = "rooms.hall.height"

    def __init__(self, *stand_ins: object) -> None:
        self.stand_ins = stand_ins


# Without its height: nothing is lost, the height alone, the whole room, nothing can be read.
NOTHING, ITSELF, ROOM = (), ("rooms.hall.height",), ("rooms.hall",)


@pytest.mark.parametrize(
    ("gone_with", "tried"),
    [
        # A value that stands is tried, and leaving it out where the room does without it.
        ({2400: NOTHING, None: NOTHING}, [2400, "left out"]),
        ({2400: NOTHING, None: ITSELF}, [2400, "left out"]),
        # Where the room goes with it, only a value that stands is tried ...
        ({2400: NOTHING, None: ROOM}, [2400]),
        # ... unless none stands: then the room is lost, and the rest is judged without it.
        ({2400: ITSELF, None: ROOM}, ["left out"]),
        ({2400: ROOM, None: ROOM}, ["left out"]),
        ({2400: None, None: ROOM}, ["left out"]),
        # What else is gone is another value's matter.
        ({2400: ("rooms.attic",), None: ("rooms.hallway",)}, [2400, "left out"]),
        ({2400: ITSELF, None: None}, []),
    ],
)
def test_a_value_that_stands_goes_before_losing_what_needs_it(
    gone_with: Mapping[object, tuple[str, ...] | None], tried: list[object]
) -> None:
    tries = unread._try_all(
        cast(Any, Salvage(gone_with)),
        cast(Any, Blank(2400)),
        {},
        cast(Any, lambda reading: reading),
    )
    assert ["left out" if one.value is unread._LEFT_OUT else one.value for one in tries] == tried


def test_each_stand_in_is_tried_in_turn() -> None:
    salvage = Salvage({2400: NOTHING, 3000: ITSELF, 2700: NOTHING, None: ROOM})
    tries = unread._try_all(
        cast(Any, salvage), cast(Any, Blank(2400, 3000, 2700)), {"a": 1}, cast(Any, lambda one: one)
    )
    assert [(one.value, one.tried) for one in tries] == [
        (2400, {"a": 1, "rooms.hall.height": 2400}),
        (2700, {"a": 1, "rooms.hall.height": 2700}),
    ]
