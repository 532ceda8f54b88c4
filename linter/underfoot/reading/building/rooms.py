"""One room: what it is, what stands in it, what it is built of."""

from collections.abc import Mapping
from typing import Any

from underfoot.plan import CoveredArea, Covering, Fixture, Joint, Materials, Subfloor
from underfoot.plan_format.rooms import COVERED_AREA, FIXTURE, ROOM, SUBFLOOR
from underfoot.reading.building.outlines import read_corners
from underfoot.reading.building.problem_log import Data, ProblemLog
from underfoot.reading.building.thing_reader import NOTHING_KNOWN, Known, reader_of

# What rests on other things of the room, or of the plan, is built by itself.
read_room = reader_of(
    ROOM,
    but=(
        "fixtures", "joints", "subfloor", "coverings", "insulation", "elements", "rows",
        "membrane", "openings", "sensor", "leads",
    ),
)  # fmt: skip
_read_fixture = reader_of(FIXTURE)
_read_subfloor = reader_of(SUBFLOOR)
_read_covered_area = reader_of(COVERED_AREA)


def build_fixture(log: ProblemLog, data: Data, path: str, *, id: str) -> Fixture | None:
    """A fixture, its outline worked out where it has `at` and `size`."""
    fields = _read_fixture(log, data, path, NOTHING_KNOWN)
    if "outline" in data and ("at" in data or "size" in data):
        log.report(
            f"{path}.outline", "a fixture has `at` with `size`, or `outline`: delete one of the two"
        )
    at, size = fields.pop("at", None), fields.pop("size", None)
    if at is not None and size is not None:
        (x, y), (width, depth) = at, size
        fields["outline"] = ((x, y), (x + width, y), (x + width, y + depth), (x, y + depth))
    if fields.get("kind") == "lying flat":
        if fields.get("clear"):
            log.report(
                f"{path}.clear",
                "`clear`: below what is lying flat nothing stays open: delete this, or write "
                "`kind: on legs`",
            )
        fields["clear"] = 0.0
    if "kind" not in fields or "outline" not in fields:
        return None
    return Fixture(id=id, path=path, **fields)


def build_joint(log: ProblemLog, data: Any, path: str, *, id: str) -> Joint | None:
    """A movement joint."""
    line = read_corners(log, data, path)
    if line is None:
        return None
    if all(point == line[0] for point in line):
        log.report(path, "this joint has no length: give it two points that differ")
        return None
    return Joint(id=id, path=path, line=line)


def build_subfloor(
    log: ProblemLog, data: Data, path: str, materials: Materials, known: Known
) -> Subfloor | None:
    """What the floor is built on."""
    subfloor = data.get("subfloor")
    if subfloor is None:
        return None
    path = f"{path}.subfloor"
    fields = _read_subfloor(log, subfloor, path, known)
    fields["barrier"] = materials.sheets.get(fields.get("barrier", ""))
    return Subfloor(path=path, **fields)


def build_coverings(
    log: ProblemLog,
    data: Data,
    path: str,
    single: str | None,
    coverings: Mapping[str, Covering],
    known: Known,
) -> tuple[CoveredArea, ...]:
    """The covering of the room, or the coverings of its parts."""
    several = data.get("coverings")
    if single is not None and several is not None:
        log.report(
            f"{path}.coverings", "a room has one `covering`, or `coverings`: delete one of the two"
        )
    areas = []
    if single is not None and single in coverings:
        areas.append(CoveredArea(path=f"{path}.covering", covering=coverings[single]))
    rests = 0
    for number, entry in enumerate(several or ()):
        if entry is None:
            continue
        place = f"{path}.coverings.{number}"
        fields = _read_covered_area(log, entry, place, known)
        name = fields.get("covering")
        rests += "over" not in entry
        if rests == 2 and "over" not in entry:
            log.report(
                place, "a second covering lies over the rest of the room: give one of them `over`"
            )
        if name is not None and name in coverings:
            areas.append(CoveredArea(path=place, **{**fields, "covering": coverings[name]}))
    return tuple(areas)
