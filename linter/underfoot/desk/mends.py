"""Mends of one finding, tried apart from the desk, each with the drawing before and after."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

from msgspec import Struct

from underfoot.checking.check import CheckedPlan, Checker, examine, make_checker
from underfoot.checking.content_hash import hash_bytes
from underfoot.checking.mend import Mend
from underfoot.mending.difference import write_difference
from underfoot.mending.offering import (
    Judged,
    Place,
    gather_menders,
    judge_source,
    list_found,
    offer_mends,
)
from underfoot.mending.text_edits import edit_text
from underfoot.page import DrawnPlan, draw_plan
from underfoot.page.plan_parts import with_own_ids
from underfoot.reading.root import find_root
from underfoot.reporting.ink import PLAIN
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.plan_files import PlanFile

# A mend may touch several rooms; no more are drawn.
_MOST_ROOMS = 3


class DrawnTwice(Struct, frozen=True, kw_only=True):
    """A room before and after, as SVG."""

    room: str
    before: str
    after: str


class ShownMend(Struct, frozen=True, kw_only=True):
    """A mend as it is looked at: its words, the verdict then, the rooms, the lines that change."""

    says: str
    verdict: str
    rooms: tuple[DrawnTwice, ...]
    lines: str


class OfferedMend(Struct, frozen=True, kw_only=True):
    """A mend that can be looked at, and the plan's text as mended."""

    shown: ShownMend
    text: bytes


class Offered(Struct, frozen=True, kw_only=True):
    """The mends of a finding, the best first, and the hash of the plan that they are for."""

    plan_hash: str
    mends: tuple[OfferedMend, ...] = ()


class Sought(Struct, frozen=True, kw_only=True):
    """The finding for which mends are sought: its number, in which plan, and on what terms."""

    number: int
    file: PlanFile
    root: str | None
    today: date


def keep_offered(examined: CheckedPlan, sought: Sought) -> Offered:
    """Look for the mends of one finding of a checked plan."""
    source, settings = examined.source, examined.settings
    if source is None:
        return Offered(plan_hash="")
    plan_hash = hash_bytes(source)
    if examined.plan is None or settings is None:
        return Offered(plan_hash=plan_hash)
    sets = rule_sets_to_use()
    bench = make_checker(sets, settings, sought.today)
    folder = Path(sought.file.folder)
    place = Place(path=sought.file.path, folder=folder, root=_root_for(sought))
    judged = judge_source(source, bench, place)
    findings = judged.examined.report.findings
    mends: tuple[Mend, ...] = ()
    for finding, found in zip(findings, list_found(judged, bench), strict=True):
        if finding.number == sought.number and finding.waiver is None:
            mends = offer_mends(judged, found, gather_menders(sets)).mends
    return Offered(plan_hash=plan_hash, mends=tuple(_show(mends, judged, bench, place)))


def _root_for(sought: Sought) -> Path | None:
    if sought.root is not None:
        return Path(sought.root)
    named = sought.file.named
    return None if named is None else find_root(Path(sought.file.folder), Path(named))


def _show(
    mends: tuple[Mend, ...], judged: Judged, bench: Checker, place: Place
) -> Iterator[OfferedMend]:
    if not mends:
        return
    before = draw_plan(judged.examined)
    text = judged.source.decode("utf-8")
    for at, mend in enumerate(mends):
        edited = edit_text(text, mend.patch)
        if edited is None:
            continue
        source = edited.text.encode()
        after = examine(source, bench, path=place.path, folder=place.folder, root=place.root)
        shown = ShownMend(
            says=mend.says,
            verdict=after.report.verdict,
            rooms=tuple(_rooms_that_differ(before, draw_plan(after), at))[:_MOST_ROOMS],
            lines="".join(write_difference(text, edited.text, place.path, PLAIN)),
        )
        yield OfferedMend(shown=shown, text=source)


def _rooms_that_differ(before: DrawnPlan, after: DrawnPlan, at: int) -> Iterator[DrawnTwice]:
    then = {room.id: room.svg for room in before.rooms}
    for number, room in enumerate(after.rooms):
        was = then.get(room.id, "")
        if room.svg != was:
            yield DrawnTwice(
                room=room.id,
                before=with_own_ids(was, f"m{at}-{number}b-"),
                after=with_own_ids(room.svg, f"m{at}-{number}a-"),
            )
