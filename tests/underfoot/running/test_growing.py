"""Each list of a plan, grown: nothing small costs much, or else it is refused with words."""

import json
import math
import subprocess
import sys
from collections.abc import Iterator
from copy import deepcopy
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from msgspec.structs import replace

from tests.effort import fewer
from tests.underfoot.commands.deadly_set import keep
from tests.underfoot.reading.odd_values import Way
from tests.underfoot.reading.samples import FULL
from tests.underfoot.reading.test_any_node import MAPS
from underfoot.checking.report import UNREADABLE
from underfoot.reading.syntax import parse
from underfoot.running.checking import Terms, check_apart
from underfoot.running.limits import PART_BYTES, PART_SECONDS
from underfoot.running.plan_files import PlanFile
from underfoot_rules import STANDARD

pytestmark = [
    pytest.mark.process,
    pytest.mark.skipif(sys.platform != "linux", reason="only there are plans apart"),
]

PLAN: dict[str, Any] = parse(FULL.encode()).data
ROOM = ("rooms", "day-room")
MOST_MIB = 500
# "[799999, 8900], " and a little more.
POINT_BYTES = 18
# The restart of a process that was ended, and what the system counts late.
SPARE_SECONDS = 3.0
# What multiplies: leads over rows, corners by fixtures, circuits by what is on them.
PAIRS = [
    ((*ROOM, "leads"), (*ROOM, "rows", "A", "lengths")),
    ((*ROOM, "leads"), (*ROOM, "rows")),
    ((*ROOM, "leads", "W1", "route"), (*ROOM, "rows", "A", "lengths")),
    ((*ROOM, "outline"), (*ROOM, "rows", "A", "lengths")),
    ((*ROOM, "outline"), (*ROOM, "fixtures")),
    ((*ROOM, "fixtures"), (*ROOM, "rows", "A", "lengths")),
    (("circuits",), (*ROOM, "elements")),
]


def at(data: Any, way: Way) -> Any:
    for part in way:
        data = data[part]
    return data


def list_grown(data: Any, way: Way = ()) -> Iterator[Way]:
    """List the way to each list, and to each mapping whose keys are ids."""
    if isinstance(data, list):
        yield way
        inside: Any = list(enumerate(data))[:1]
    elif isinstance(data, dict):
        if way and way[-1] in MAPS and any(isinstance(each, dict) for each in data.values()):
            yield way
        inside = data.items()
    else:
        return
    for part, value in inside:
        yield from list_grown(value, (*way, part))


def grow(data: dict[str, Any], way: Way, size: int) -> None:
    """Let one list or mapping hold so much more that it alone comes to `size` bytes."""
    thing = at(data, way)
    if isinstance(thing, dict):
        key, first = next((k, v) for k, v in thing.items() if isinstance(v, dict))
        count = size // (len(json.dumps(first)) + 24)
        thing.update({f"{key}x{number}": deepcopy(first) for number in range(count)})
        return
    count = max(1, size // max(len(json.dumps(thing[-1])) + 2, POINT_BYTES))
    if all(isinstance(one, list) and len(one) == 2 for one in thing) and way[-1] != "route":
        # A floor with teeth along its far side, on whose walls no door hangs.
        at(data, way[:-1]).pop("openings", None)
        step = 800_000 // (count + 1)
        teeth = [[step * number, 8000 + 900 * (number % 2)] for number in range(count)]
        thing[:] = [*teeth, [step * (count - 1), 0], [0, 0]] if len(thing) > 2 else teeth
    elif way[-1] == "route":
        bends = [[200 + 37 * number % 3000, 200 + 53 * number % 2500] for number in range(count)]
        thing[1:1] = bends
    else:
        thing.extend(deepcopy(thing[-1]) for _ in range(count))


MEASURE = """
import resource, subprocess, sys

done = subprocess.run([sys.executable, "-m", "underfoot", *sys.argv[1:]])
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print()
print(done.returncode, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)
"""
CHECK = "check PLAN --jobs 1 --format json --today 2026-10-01"
# What is made of one plan; each with all that it does is to cost no more than a check may.
MADE = [
    "draw PLAN --output made/ --today 2026-10-01",
    "schedule PLAN --output made.html --today 2026-10-01",
    "mend PLAN --today 2026-10-01",
    "schedule PLAN --output made.pdf --today 2026-10-01",
    "draw PLAN --output made.pdf --layers all --today 2026-10-01",
    "lay PLAN --keep --today 2026-10-01",
    "heat PLAN --format json",
    "review PLAN --today 2026-10-01",
    "draw PLAN --output made.dxf --room day-room --today 2026-10-01",
    "exercise PLAN --output made --today 2026-10-01",
]
# A comparison may take for the pair what the check of each plan may.
COMPARED = "compare EARLIER PLAN --format html --output made.html --today 2026-10-01"


class Cost(NamedTuple):
    """What a command cost, and what it said."""

    status: int
    seconds: float
    mib: float
    out: str
    err: str


def grown(ways: tuple[Way, ...], size: int) -> dict[str, Any]:
    """The plan in which `ways` are grown, each to its share of `size` bytes."""
    data = deepcopy(PLAN)
    for way in sorted(ways, key=len, reverse=True):
        grow(data, way, size // len(ways))
    return data


def measure(folder: Path, data: dict[str, Any], command: str) -> Cost:
    """Run a command on a plan, and see what that cost."""
    text = json.dumps(data)
    assert len(text) < PART_BYTES
    (folder / "plan.yaml").write_text(text, "utf-8")
    (folder / "earlier.yaml").write_text(json.dumps(PLAN), "utf-8")
    named = command.replace("PLAN", "plan.yaml").replace("EARLIER", "earlier.yaml").split()
    # In processes of their own: what the system counts as most memory it never counts down.
    done = subprocess.run(
        [sys.executable, "-c", MEASURE, *named],
        capture_output=True,
        text=True,
        check=True,
        cwd=folder,
    )
    told, _, figures = done.stdout.rstrip().rpartition("\n")
    status, seconds, mib = map(float, figures.split())
    return Cost(int(status), seconds, mib, told, done.stderr)


def make_of_grown(folder: Path, ways: tuple[Way, ...], size: int, command: str) -> None:
    """Make something of a grown plan, and hold that to what it may cost."""
    cost = measure(folder, grown(ways, size), command)
    most = PART_SECONDS * (2 if command == COMPARED else 1)
    assert cost.seconds <= most + SPARE_SECONDS, (command, ways, cost.err)
    assert cost.mib <= MOST_MIB, (command, ways)
    assert cost.status in (0, 1, 2), (command, ways, cost.err)
    assert "fault of the tool" not in cost.err, (command, ways)
    if cost.status == 2 and command != COMPARED:  # whose page says it
        assert cost.err.startswith("underfoot: "), (command, ways)


def check_grown(folder: Path, ways: tuple[Way, ...], size: int) -> None:
    """Check the plan in which `ways` are grown, and hold that to what it may cost."""
    cost = measure(folder, grown(ways, size), CHECK)
    (report,) = json.loads(cost.out)["plans"]
    assert cost.seconds <= PART_SECONDS + SPARE_SECONDS, ways
    assert cost.mib <= MOST_MIB, ways
    assert report["faults"] == [], ways
    if report["verdict"] == UNREADABLE:
        assert report["problems"]
        for problem in report["problems"]:
            assert "fault of the tool" not in problem["message"], (ways, problem)


GROWN = list(dict.fromkeys(list_grown(PLAN)))


def test_a_list_is_grown_as_it_should_be() -> None:
    assert len(GROWN) > 30
    data = deepcopy(PLAN)
    grow(data, (*ROOM, "outline"), 4000)
    assert 3500 < len(json.dumps(at(data, (*ROOM, "outline")))) < 8000


def test_each_list_grown_a_little(tmp_path: Path) -> None:
    for way in GROWN[:: fewer(8, 4)]:
        check_grown(tmp_path, (way,), 3000)


def test_what_costs_too_much_is_refused_and_the_plan_beside_it_is_not(tmp_path: Path) -> None:
    data = deepcopy(PLAN)
    grow(data, (*ROOM, "outline"), 100_000)
    files = []
    for name, plan in (("a", PLAN), ("b", data), ("c", PLAN)):
        place = tmp_path / f"{name}.yaml"
        place.write_text(json.dumps(plan), "utf-8")
        files.append(PlanFile(place=str(place), path=place.name))
    terms = Terms(today=date(2026, 10, 1), plan_seconds=1.0)
    one, other, third = check_apart(files, (STANDARD,), terms, keep, jobs=1)
    assert replace(one, path="") == replace(third, path="")
    assert one.verdict != UNREADABLE
    assert other.verdict == UNREADABLE
    assert "was given up: divide the plan" in other.problems[0].message


def columned(count: int) -> dict[str, Any]:
    """A hall of which columns leave next to nothing for a further strip."""
    data = deepcopy(PLAN)
    room = at(data, ROOM)
    across = math.isqrt(count)
    side = 7000 + 1000 * across
    room["outline"] = [[0, 0], [side, 0], [side, side], [0, side]]
    del room["openings"]
    for number in range(count):
        spot = [6500 + number % across * 1000, 4500 + number // across * 1000]
        room["fixtures"][f"F{number}"] = {"at": spot, "size": [300, 300], "kind": "structure"}
    return data


def layered(count: int) -> dict[str, Any]:
    """A floor on whose parts many layers of boards lie one over another."""
    data = deepcopy(PLAN)
    at(data, ROOM)["insulation"]["layers"] = [
        {"courses": "x", "over": [[0, 0], [1000 + 7 * n, 0], [1000 + 7 * n, 3000], [0, 2000 + n]]}
        for n in range(count)
    ]
    return data


def heaped(count: int) -> dict[str, Any]:
    """A membrane whose sheets lie on one heap."""
    data = deepcopy(PLAN)
    del at(data, ROOM)["membrane"]["runs"]
    at(data, ROOM)["membrane"]["pieces"] = {
        f"M{n}": {"at": [n % 97, n % 89], "along": "x", "length": 3000} for n in range(count)
    }
    return data


# What these cost grew with the square of the number, or doubled with each one more.
@pytest.mark.parametrize("data", [columned(60), layered(40), heaped(300)], ids=["columns", "layers",
                         "sheets"])  # fmt: skip
def test_what_is_many_is_still_judged(tmp_path: Path, data: dict[str, Any]) -> None:
    place = tmp_path / "plan.yaml"
    place.write_text(json.dumps(data), "utf-8")
    terms = Terms(today=date(2026, 10, 1), plan_seconds=8.0)
    file = PlanFile(place=str(place), path=place.name)
    (report,) = check_apart([file], (STANDARD,), terms, keep, jobs=1)
    assert report.verdict != UNREADABLE, report.problems
    assert report.faults == ()


def test_what_is_made_of_a_plan_with_a_list_grown_a_little(tmp_path: Path) -> None:
    ways = GROWN[:: fewer(7, 4)]
    for number, way in enumerate(ways):
        make_of_grown(tmp_path, (way,), 3000, MADE[number % len(MADE)])
    make_of_grown(tmp_path, (ways[1],), 3000, COMPARED)


# Sheets that lap beside the floor alone.
def test_membrane_over_teeth_is_drawn(tmp_path: Path) -> None:
    cost = measure(tmp_path, grown(((*ROOM, "membrane", "runs", "over"),), 300), MADE[0])
    assert cost.status == 0, cost.err


def test_what_costs_too_much_to_draw_is_refused(tmp_path: Path) -> None:
    command = "draw PLAN --output made/ --plan-seconds 1"
    cost = measure(tmp_path, grown(((*ROOM, "outline"),), 100_000), command)
    assert cost.status == 2
    assert "took longer than 1 s and was given up: divide the plan, draw one room" in cost.err
    assert cost.seconds < 1 + SPARE_SECONDS
    assert not (tmp_path / "made").exists()


@pytest.mark.long
@pytest.mark.parametrize("place", range(len(GROWN)), ids=lambda at: ".".join(map(str, GROWN[at])))
def test_what_is_made_of_a_plan_with_a_list_grown(tmp_path: Path, place: int) -> None:
    for number, size in enumerate((20_000, 280_000)):
        command = [*MADE, COMPARED][(2 * place + 5 * number) % (len(MADE) + 1)]
        make_of_grown(tmp_path, (GROWN[place],), size, command)
    make_of_grown(tmp_path, (GROWN[place],), 20_000, MADE[0])


@pytest.mark.long
@pytest.mark.parametrize("way", GROWN, ids=lambda way: ".".join(map(str, way)))
@pytest.mark.parametrize("size", [20_000, 280_000])
def test_each_list_grown_to_the_full(tmp_path: Path, way: Way, size: int) -> None:
    check_grown(tmp_path, (way,), size)


@pytest.mark.long
@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: "-".join(str(way[-1]) for way in pair))
@pytest.mark.parametrize("size", [20_000, 280_000])
def test_two_lists_grown_together(tmp_path: Path, pair: tuple[Way, Way], size: int) -> None:
    check_grown(tmp_path, pair, size)
