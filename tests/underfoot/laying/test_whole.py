"""What is laid stands in whole millimetres, which a tape can find."""

from msgspec.structs import replace

from tests.underfoot.laying.test_lay import bare_room, lay
from underfoot.checking.mend import Edit
from underfoot.laying.whole import in_whole_mm
from underfoot.mending.patch import patch_data


def test_a_turned_room_is_laid_in_whole_millimetres() -> None:
    # 5 m by 3 m turned by 30 degrees: its corners are not whole, and no place in it would be.
    outline = [[1500, 0], [5830.1, 2500], [4330.1, 5098.1], [0, 2598.1]]
    data = bare_room(outline=outline)
    (laid,) = lay(data).rooms
    assert [each.rule.id for each in laid.left] == []
    room = patch_data(data, laid.edits)["rooms"]["bedroom"]
    stops = [stop for lead in room["leads"].values() for stop in lead["route"]]
    places = [stop for stop in stops if isinstance(stop, list)]
    places += [room[name]["at"] for name in ("junction_box", "sensor")]
    places += [row["at"] for row in room["rows"].values()]
    assert len(places) >= 4
    assert all(isinstance(each, int) for place in places for each in place)


def test_strips_may_keep_their_places_where_the_rest_is_whole() -> None:
    def at(*place: float) -> Edit:
        return Edit(op="add", path=("rooms", "a", "rows"), value={"A": {"at": list(place)}})

    lead = Edit(op="add", path=("rooms", "a", "leads"), value={"W": {"route": ["A", [1.4, 2]]}})
    assert in_whole_mm((at(70.4, 80.6), lead)) == (
        at(70, 81),
        replace(lead, value={"W": {"route": ["A", [1, 2]]}}),
    )
    assert in_whole_mm((at(70.4, 80.6), lead), frozenset({"rows"}))[0] == at(70.4, 80.6)
