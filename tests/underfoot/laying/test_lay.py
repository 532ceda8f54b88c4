"""Rooms are laid so that the whole check passes, or it is told what stands against it."""

from functools import cache
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.real_outlines.outlines import all_outlines
from tests.there import there
from tests.underfoot.laying.judging import CHECKER, TODAY, judge, trial_of
from tests.underfoot.laying.stripped import LAID, PLANS, strip
from tests.underfoot_rules.plans import change_plan
from underfoot.checking.check import Checker, check_source, make_checker
from underfoot.checking.merging_settings import Placed, merge_settings
from underfoot.checking.report import NO_OBJECTION
from underfoot.laying.floors import LaidPlan, lay_rooms, rooms_to_lay
from underfoot.laying.places import list_boxes, measure_from_door
from underfoot.laying.wiring import _count_back
from underfoot.laying.wishes import Wishes
from underfoot.mending.patch import patch_data
from underfoot.mending.search import by_rule
from underfoot.mending.text_edits import edit_text
from underfoot.reading.settings_file import read_settings
from underfoot.reading.syntax import parse
from underfoot_rules import STANDARD

# Where the client has agreed that much of the floor stays cold.
AGREED = read_settings(
    b"settings_format: 1\nrules:\n  floor-coverage: {severity: note, because: agreed}\n",
    "near.yaml",
)
assert AGREED.settings is not None
LITTLE = make_checker(
    [STANDARD],
    merge_settings(
        [Placed(name="near.yaml", stated=AGREED.settings, positions=AGREED.positions)], [STANDARD]
    )[0],
    TODAY,
)
MENDERS = by_rule(STANDARD.gather_menders())
# Plans whose own figures leave nothing to object to once the room is laid.
SOUND = ("bedroom", "hall", "living-room", "attic", "bathroom", "corridor", "dining-room",
         "nursery", "study")  # fmt: skip


def lay(
    data: Any,
    wishes: Wishes = Wishes(),  # noqa: B008 - a frozen value
    checker: Checker = CHECKER,
) -> LaidPlan:
    trial = trial_of(checker)
    start = there(trial.judge(data))
    return lay_rooms(start, rooms_to_lay(data), trial, MENDERS, wishes)


@pytest.mark.parametrize("name", SOUND)
def test_a_demo_room_is_laid_and_passes(name: str) -> None:
    text = strip(name)
    data = parse(text.encode()).data
    whole = parse((PLANS / f"{name}.yaml").read_bytes()).data
    film = next(iter(next(iter(whole["rooms"].values()))["rows"].values()))["film"]
    laid = lay(data, Wishes(film=film))
    (room,) = laid.rooms
    assert room.left == ()
    assert room.laying is not None
    assert room.laying.heated_m2 >= 0.97 * room.laying.bound_m2
    edited = there(edit_text(text, laid.edits))
    report = check_source(edited.text.encode(), CHECKER, path="plan.yaml", folder=PLANS)
    assert report.verdict == NO_OBJECTION
    # Nothing of what stood there is touched.
    assert all(line in edited.text.splitlines() for line in text.splitlines())


def test_what_a_plan_begins_with_stays_and_blanks_are_filled() -> None:
    """Of boards, membrane, thermostat and sensor what stands there is kept, the rest written."""
    data = bare_room(thermostat={"height": "1.35 m"})
    room = data["rooms"]["bedroom"]
    room["insulation"] = {}
    room["membrane"] = {"sheet": "pe-02", "runs": {"along": "y"}}
    laid = lay(data)
    assert laid.rooms[0].left == ()
    patched = patch_data(data, laid.edits)["rooms"]["bedroom"]
    assert patched["insulation"]["board"] == "board-10"
    assert patched["membrane"]["runs"] == {"along": "y", "overlap": 150}
    assert patched["thermostat"]["height"] == "1.35 m"
    assert patched["thermostat"]["switches"] == "16 A"
    assert [edit.path[-1] for edit in laid.edits if "insulation" in edit.path] == [
        "board", "joints_taped", "layers",
    ]  # fmt: skip


def test_a_thermostat_that_reads_the_next_room_switches_its_film_too() -> None:
    """One contact: the second room's circuit goes behind the protection of the first's."""
    data = bare_room(thermostat={"switches": "16 A", "reads": ["bedroom", "ante"]})
    data["rooms"]["ante"] = bare_room()["rooms"]["bedroom"]
    laid = lay(data)
    assert [room.left for room in laid.rooms] == [(), ()]
    patched = patch_data(data, laid.edits)
    assert "thermostat" not in patched["rooms"]["ante"]
    first, second = patched["circuits"].values()
    assert first["thermostat"] == second["thermostat"] == "bedroom"
    assert second["shares"] == "C1"
    assert not {"breaker", "rcd"} & set(second)


def test_no_more_is_laid_than_the_room_needs() -> None:
    """Where rules ask for less of the floor, the heat loss decides; without one all is laid."""
    data = bare_room(heat_loss="460 W")
    room = data["rooms"]["bedroom"]
    (most,) = lay(data, Wishes(film="film-80")).rooms
    (least,) = lay(data, Wishes(film="film-80", demand=True), LITTLE).rooms
    assert most.laying is not None and least.laying is not None  # noqa: PT018
    assert most.demand is None
    assert least.left == ()
    assert least.demand is not None
    assert least.demand.needed_w == 460
    assert least.demand.most_m2 == most.laying.heated_m2
    assert [found.rule.id for found in least.demand.against] == ["heat-demand"]
    # It lies evenly: no strip is shorter than another by more than a cut.
    (row,) = patch_data(data, least.edits)["rooms"]["bedroom"]["rows"].values()
    lengths = [each["length"] if isinstance(each, dict) else each for each in row["lengths"]]
    assert lengths == lengths[::-1]
    assert set(lengths) == {2250, 2500}
    # What rules ask of the floor's share is laid though the room needs less.
    room["heat_loss"] = "100 W"
    (share,) = lay(data, Wishes(film="film-80", demand=True)).rooms
    assert share.laying is not None and share.demand is not None  # noqa: PT018
    assert least.laying.heated_m2 < share.laying.heated_m2 < most.laying.heated_m2
    assert [found.rule.id for found in share.demand.against] == ["floor-coverage"]
    del room["heat_loss"]
    (unknown,) = lay(data, Wishes(film="film-80", demand=True)).rooms
    assert unknown.laying is not None and unknown.demand is not None  # noqa: PT018
    assert unknown.laying.heated_m2 == most.laying.heated_m2
    assert "no heat loss is given" in unknown.demand.unknown


@cache
def bare_bedroom() -> Any:
    """Return the bedroom with nothing laid nor standing in it."""
    data = parse((PLANS / "bedroom.yaml").read_bytes()).data
    nothing = dict.fromkeys((*LAID, "fixtures", "openings", "heat_loss"))
    change = {"rooms.bedroom": nothing, "circuits": None, "supply.available": "60 A"}
    return change_plan(data, change)


def bare_room(**room: Any) -> Any:
    """Return the bare bedroom with what is to be said of it."""
    return change_plan(bare_bedroom(), {"rooms.bedroom": room})


@st.composite
def rooms(draw: st.DrawFn) -> Any:
    """Rooms, perhaps with a corner cut out, and furniture along a wall or in the middle."""
    data = bare_room()
    width, depth = draw(st.integers(1500, 5200)), draw(st.integers(1500, 5200))
    outline = [[0, 0], [width, 0], [width, depth], [0, depth]]
    if draw(st.booleans()):
        x, y = draw(st.integers(700, width - 700)), draw(st.integers(700, depth - 700))
        outline = [[0, 0], [width, 0], [width, y], [x, y], [x, depth], [0, depth]]
    room = data["rooms"]["bedroom"]
    room["outline"] = outline
    fixtures = {}
    kinds = st.sampled_from(("floor-mounted", "structure", "heat source", "on legs"))
    for number in range(draw(st.integers(0, 2))):
        size = [draw(st.integers(300, 1200)), draw(st.integers(300, 900))]
        at = [draw(st.integers(0, width - size[0])), draw(st.integers(0, depth - size[1]))]
        if shapely.Polygon(outline).covers(shapely.box(*at, at[0] + size[0], at[1] + size[1])):
            fixtures[f"thing-{number}"] = {"at": at, "size": size, "kind": draw(kinds)}
    if fixtures:
        room["fixtures"] = fixtures
    return data


@pytest.mark.oracle
@settings(max_examples=8, deadline=None)
@given(rooms())
def test_rooms_are_laid_right_or_refused_with_reason(data: Any) -> None:
    (room,) = lay(data).rooms
    if room.laying is None:
        assert room.why
        return
    patched = patch_data(data, room.edits)["rooms"]["bedroom"]
    floor = shapely.Polygon(patched["outline"])
    strips = []
    for row in patched["rows"].values():
        lengths = row.get("lengths") or [row["length"]] * row["count"]
        x, y = row["at"]
        for place, each in enumerate(lengths):
            if each is None:
                continue
            told = each if isinstance(each, dict) else {"length": each}
            later = told.get("from", 0)
            a, b = (x + 500 * place, y + later), (x + later, y + 500 * place)
            strips.append(
                shapely.box(*a, a[0] + 500, a[1] + told["length"])
                if row["along"] == "y"
                else shapely.box(*b, b[0] + told["length"], b[1] + 500)
            )
    for strip_ in strips:
        assert floor.covers(strip_)
        assert floor.exterior.distance(strip_) >= 58
    for one, first in enumerate(strips):
        assert all(first.intersection(other).area < 1 for other in strips[one + 1 :])
    for thing in patched.get("fixtures", {}).values():
        (x, y), (w, d) = thing["at"], thing["size"]
        if thing["kind"] != "on legs":
            box = shapely.box(x, y, x + w, y + d)
            assert all(box.distance(each) >= 50 for each in strips)
    # What is left to object to is that this floor takes too few strips, or lies round too much.
    allowed = {"floor-coverage", "sensor-depth", "sensor-seam", "cold-area", "covered-floor"}
    assert {each.rule.id for each in room.left} <= allowed, room.left


@pytest.mark.long
def test_real_outlines_are_laid() -> None:
    """A third of the rooms of a hospital and buildings scaled to rooms; see their sources."""
    shares, passed, refused = [], 0, 0
    for outline in list(all_outlines().values())[::3]:
        piers = {
            f"pier-{number}": {"kind": "structure", "outline": hole.tolist()}
            for number, hole in enumerate(outline.holes)
        }
        data = bare_room(outline=outline.corners.tolist(), fixtures=piers or None)
        (laid,) = lay(data, Wishes(film="film-80")).rooms
        if laid.laying is None:
            assert laid.why
            refused += 1
            continue
        share = laid.laying.heated_m2 / laid.laying.bound_m2
        shares.append(share)
        assert share >= 0.90 or laid.laying.less, outline.name
        assert (share > 1 - 1e-9) == (not laid.laying.less), outline.name
        passed += not laid.left
        allowed = {"floor-coverage", "sensor-depth", "sensor-seam", "cold-area"}
        assert {each.rule.id for each in laid.left} <= allowed, outline.name
    shares.sort()
    assert shares[len(shares) // 2] >= 0.97
    assert sum(share < 0.90 for share in shares) <= 2
    assert passed >= 10
    assert refused <= 8


@pytest.mark.parametrize(("covering", "film"), [("laminate-7", "film-65"), ("stone-8", "film-130")])
def test_the_weakest_film_that_suits_is_laid(covering: str, film: str) -> None:
    data = bare_room()
    data["catalogue"] = "catalogue.yaml"
    data["materials"] = {}
    del data["method_statement"]
    data["rooms"]["bedroom"] |= {"covering": covering, "heat_loss": "400 W"}
    (room,) = lay(data).rooms
    assert there(room.laying).film == film
    assert not [each for each in room.left if each.rule.id != "load-spreading"]


def test_leads_part_at_the_box_where_that_is_shorter() -> None:
    """Of circuits behind one another on the way those that are nearer the other way go that way."""
    assert _count_back([(500, 2000), (2500, 4000)], 10000) == 0
    assert _count_back([(500, 2000), (8000, 9500)], 10000) == 1
    assert _count_back([(6000, 6500), (7000, 8000), (8500, 9500)], 10000) == 2
    assert _count_back([(9000, 9500)], 10000) == 0
    data = bare_room(outline=[[0, 0], [9000, 0], [9000, 4000], [0, 4000]])
    data["rooms"]["bedroom"]["junction_box"] = {"at": [4500, 0], "height": 450}
    (laid,) = lay(data, Wishes(film="film-80", along="y")).rooms
    leads = patch_data(data, laid.edits)["rooms"]["bedroom"]["leads"].values()
    first = [lead["route"][1:3] for lead in leads]
    assert {b[0] < a[0] for a, b in first} == {True, False}


def test_what_the_plan_wishes_is_kept() -> None:
    data = bare_room()
    room = data["rooms"]["bedroom"]
    width, depth = 3650, 3120
    (free,) = lay(data, Wishes(film="film-80")).rooms
    assert free.laying is not None
    other = "x" if free.laying.along == "y" else "y"
    # No box on three walls, nor in the window of the fourth; near to where the door closes.
    room["laying"] = {
        "along": other,
        "no_box": [[[0, depth], [0, 0], [width, 0]], [[width, depth], [0, depth]]],
    }
    room["openings"] = {
        "door": {"kind": "door", "from": [width, 200], "to": [width, 1000], "hinge": "from"},
        "window": {"kind": "window", "from": [width, 1500], "to": [width, 2700]},
    }
    (laid,) = lay(data, Wishes(film="film-80")).rooms
    assert laid.left == ()
    assert laid.laying is not None
    assert laid.laying.along == other
    now = patch_data(data, laid.edits)["rooms"]["bedroom"]
    x, y = now["junction_box"]["at"]
    assert x == width
    assert 1150 < y < 1350
    # What is said on the command line goes before; a thermostat's place is the box's.
    room["thermostat"] = {"at": [width, 2900], "height": "1.4 m"}
    (laid,) = lay(data, Wishes(film="film-80", along=free.laying.along)).rooms
    assert there(laid.laying).along == free.laying.along
    now = patch_data(data, laid.edits)["rooms"]["bedroom"]
    assert now["junction_box"]["at"] == [width, 2900]


def test_a_box_keeps_off_doors() -> None:
    room = bare_room()
    room["rooms"]["bedroom"]["openings"] = {
        "door": {"kind": "door", "from": [1000, 0], "to": [1800, 0], "hinge": "to"},
        "gap": {"kind": "passage", "from": [0, 1000], "to": [0, 2000]},
        "light": {"kind": "window", "from": [3650, 1000], "to": [3650, 2000]},
    }
    facts = judge(room).outcome.facts.rooms["bedroom"]
    places = list_boxes(facts)
    on_wall = [x for x, y in places if y == 0]
    assert [x for x in on_wall if 850 <= x <= 1950] == []
    assert [x for x in on_wall if 600 < x < 850]
    assert not [y for x, y in places if x in (0, 3650) and 850 <= y <= 2150]
    assert measure_from_door((900, 0), facts) == 100
    assert measure_from_door((0, 700), facts) == 300
    assert measure_from_door((3650, 1500), facts) > 1000
    del room["rooms"]["bedroom"]["openings"]
    assert measure_from_door((900, 0), judge(room).outcome.facts.rooms["bedroom"]) == 0
