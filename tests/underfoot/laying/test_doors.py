"""Rooms with doors, windows and passages everywhere are laid, and the check says nothing of it."""

import copy
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.effort import examples
from tests.underfoot.laying.judging import judge
from tests.underfoot.laying.test_lay import bare_room, lay
from underfoot.laying.places import list_boxes
from underfoot.laying.trying import LaidRoom
from underfoot.laying.wishes import Wishes
from underfoot.mending.patch import patch_data

SQUARE = [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]


def door(start: list[int], end: list[int], **told: Any) -> dict[str, Any]:
    return {
        "kind": "door", "from": start, "to": end, "hinge": "from", "opens": "inwards",
        "threshold": "screwed", **told,
    }  # fmt: skip


def passage(start: list[int], end: list[int], threshold: str = "screwed") -> dict[str, Any]:
    return {"kind": "passage", "from": start, "to": end, "threshold": threshold}


def a_room(openings: list[dict[str, Any]], outline: Any = SQUARE) -> Any:
    data = copy.deepcopy(bare_room())
    room = data["rooms"]["bedroom"]
    room["outline"] = outline
    room["openings"] = {f"opening-{place}": each for place, each in enumerate(openings, 1)}
    return data


NOTHING = Wishes()


def laid_in(data: Any, wishes: Wishes = NOTHING) -> tuple[LaidRoom, dict[str, Any]]:
    (room,) = lay(copy.deepcopy(data), wishes).rooms
    now = patch_data(data, room.edits)["rooms"]["bedroom"]
    # What is built stays as it is drawn.
    assert now["openings"] == data["rooms"]["bedroom"]["openings"]
    return room, now


@pytest.mark.parametrize(
    "openings",
    [
        [door([1500, 0], [2400, 0])],
        [door([0, 0], [900, 0]), door([4000, 2100], [4000, 3000], hinge="to")],
        [door([1500, 0], [2400, 0]), door([2400, 3000], [1500, 3000])],
        [door([300, 0], [1200, 0]), door([2500, 0], [3400, 0], hinge="to")],
        [door([1000, 0], [2800, 0], hinge="both")],
        [passage([200, 0], [3800, 0])],
        [passage([200, 0], [3800, 0], "none"), passage([200, 3000], [3800, 3000], "glued")],
        [{"kind": "door", "from": [1500, 0], "to": [2400, 0]}],
        [door([1500, 0], [2400, 0], opens="outwards"), passage([0, 1000], [0, 2000]),
         door([4000, 1000], [4000, 1900]), door([1500, 3000], [2400, 3000])],
    ],
    ids=["one", "in corners", "face to face", "two on one wall", "two leaves", "nearly no wall",
         "open both ways", "nothing known", "on all sides"],
)  # fmt: skip
def test_a_room_with_doors_is_laid_without_a_word(openings: list[dict[str, Any]]) -> None:
    room, _ = laid_in(a_room(openings))
    assert room.laying is not None
    assert (room.left, room.mended) == ((), ())
    assert room.laying.heated_m2 >= 0.95 * room.laying.bound_m2


def test_strips_before_doors_on_both_sides_are_cut_shorter() -> None:
    """Of strips from 440 on two are joined from 1500 to 2400: each a cut shorter, 2 x 0.125 m2."""
    openings = [door([1500, 0], [2400, 0]), door([2400, 3000], [1500, 3000])]
    room, now = laid_in(a_room(openings), Wishes(along="y"))
    assert room.laying is not None
    lengths = now["rows"]["A"]["lengths"]
    assert lengths == [2750] * 2 + [{"length": 2500, "from": 250}] * 2 + [2750] * 3
    assert room.laying.less == (
        "strips are cut shorter by 0.25 m2, so that none is joined in a doorway",
    )
    # Its lead keeps 55 mm from the screws: 50, half of what it is wide, and 2.
    stops = now["leads"]["W1"]["route"]
    bends = [each for each in stops if isinstance(each, list) and 1445 < each[0] < 2455]
    assert {y for _, y in bends} == {55}


def test_nothing_hangs_behind_a_leaf_where_it_may_hang_elsewhere() -> None:
    """The leaf covers the wall to the left of its hinge at 2000, to 1100."""
    data = a_room([door([2000, 0], [2900, 0])])
    on_wall = [x for x, y in list_boxes(judge(data).outcome.facts.rooms["bedroom"]) if y == 0]
    assert on_wall
    assert not [x for x in on_wall if 1100 <= x <= 2900]


@st.composite
def rooms(draw: st.DrawFn) -> Any:
    """Rooms, perhaps with a corner cut out or drawn the other way round, with openings anywhere."""
    width, depth = draw(st.integers(2200, 5200)), draw(st.integers(2200, 5200))
    outline = [[0, 0], [width, 0], [width, depth], [0, depth]]
    if draw(st.booleans()):
        x, y = draw(st.integers(800, width - 800)), draw(st.integers(800, depth - 800))
        outline = [[0, 0], [width, 0], [width, y], [x, y], [x, depth], [0, depth]]
    if draw(st.booleans()):
        outline.reverse()
    openings: list[dict[str, Any]] = []
    for start, end in zip(outline, [*outline[1:], outline[0]], strict=True):
        long = abs(end[0] - start[0]) + abs(end[1] - start[1])
        off = 0
        for wide in draw(st.lists(st.sampled_from((700, 900, 1600)), max_size=2)):
            if off + wide > long:
                break
            off = draw(
                st.one_of(st.sampled_from((off, long - wide)), st.integers(off, long - wide))
            )
            ends = [
                [a + round((b - a) * at / long) for a, b in zip(start, end, strict=True)]
                for at in (off, off + wide)
            ]
            openings.append(draw(_openings(*draw(st.permutations(ends)))))
            off += wide
    return a_room(openings, outline)


@st.composite
def _openings(draw: st.DrawFn, start: list[int], end: list[int]) -> Any:
    kind = draw(st.sampled_from(("door", "passage", "window")))
    if kind == "window":
        return {"kind": kind, "from": start, "to": end}
    threshold = draw(st.sampled_from(("screwed", "glued", "none")))
    if kind == "passage":
        return passage(start, end, threshold)
    hinge = draw(st.sampled_from(("from", "to", "both")))
    opens = draw(st.sampled_from(("inwards", "outwards", "slides")))
    told = door(start, end, threshold=threshold, hinge=hinge, opens=opens)
    if told["opens"] == "slides":
        del told["hinge"]
    return told


@pytest.mark.oracle
@examples(60, everyday=12)
@given(rooms())
def test_whatever_doors_a_room_has_nothing_of_them_is_found(data: Any) -> None:
    """A shape that leaves much cold is told; strips, leads, box, sensor are where they may be."""
    room, _ = laid_in(data)
    if room.laying is None:
        assert room.why
        return
    assert {each.rule.id for each in room.left} <= {"floor-coverage"}
