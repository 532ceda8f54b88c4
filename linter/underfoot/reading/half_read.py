"""A plan out of a file that cannot be read as a whole, and what of it is in doubt."""

from collections.abc import Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.plan import Plan
from underfoot.reading.paths import locate
from underfoot.reading.plan_file import Reading, read_parsed
from underfoot.reading.salvage import Salvage, begin_salvage

# What stands in where the file says nothing of it; all that hangs on it is in doubt.
_STAND_INS: Mapping[str, Any] = {"plan_format": 1, "supply": {"voltage": "230 V"}}


class HalfRead(Struct, frozen=True, kw_only=True):
    """A reading with a plan and with problems: what could be read, and why the rest could not.

    `doubtful` are the paths of what was left out or stands in: the plan says less there than the
    file, or something else.
    """

    reading: Reading
    doubtful: tuple[str, ...]


def read_half(source: bytes, *, path: str, folder: Path | None = None) -> HalfRead | None:
    """Read what can be read; None where that is no room."""
    read = partial(read_parsed, path=path, folder=folder)
    salvage = begin_salvage(source, _STAND_INS, read)
    if salvage is None:
        return None
    reading, gone = salvage.read_with({})
    if reading is None or reading.plan is None:
        return None
    parsed = salvage.parsed
    broken = [*(problem.path for problem in parsed.problems), *sorted(parsed.broken)]
    stood_in = tuple(_list_stood_in(salvage, reading.plan))
    doubtful = dict.fromkeys([*salvage.blank, *broken, *sorted(gone), *stood_in])
    # What stands in stands nowhere; what is found on it is told at what it would belong to.
    nowhere = {each: locate(each, reading.positions) for each in stood_in}
    return HalfRead(
        reading=replace(
            reading, problems=salvage.problems, positions={**nowhere, **reading.positions}
        ),
        doubtful=tuple(doubtful),
    )


def _list_stood_in(salvage: Salvage, plan: Plan) -> Iterator[str]:
    """What the plan has and the file has not."""
    data = salvage.parsed.data
    if "supply" not in data:
        yield "supply"
    circuits = data.get("circuits")
    given = circuits if isinstance(circuits, dict) else {}
    yield from (f"circuits.{name}" for name in plan.circuits if name not in given)
