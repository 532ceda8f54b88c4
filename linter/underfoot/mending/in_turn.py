"""Findings mended one after another: each in the plan as those before have left it."""

from collections.abc import Container, Iterable, Sequence

from msgspec import Struct

from underfoot.checking.check import CheckedPlan, Checker
from underfoot.checking.engine import RuleFinding
from underfoot.checking.matching import identity_of
from underfoot.checking.mend import Mend
from underfoot.checking.report import ReportedFinding
from underfoot.mending.offering import (
    Place,
    judge_source,
    list_found,
    offer_mends,
    trials_for,
)
from underfoot.mending.search import MOST_TRIALS, Menders, Searched
from underfoot.mending.text_edits import edit_text
from underfoot.mending.trial import identity

# As many plans are tried as for so many questions about what to mend.
_PATIENCE = 10


class Mended(Struct, frozen=True, kw_only=True):
    """A finding that is gone, as the plan had it at first, and the mend that cleared it.

    `mend` is None where the mend of the finding `gone_with` cleared this one as well.
    """

    finding: ReportedFinding
    mend: Mend | None
    gone_with: int | None = None


class Left(Struct, frozen=True, kw_only=True):
    """A finding that is left, as the plan had it at first, and what was tried."""

    finding: ReportedFinding
    searched: Searched


class MendedPlan(Struct, frozen=True, kw_only=True):
    """A plan's bytes as they were and as they are now, and its reports before and after."""

    was: bytes
    now: bytes
    before: CheckedPlan
    after: CheckedPlan
    mended: tuple[Mended, ...] = ()
    left: tuple[Left, ...] = ()


def mend_in_turn(
    source: bytes,
    bench: Checker,
    menders: Menders,
    place: Place,
    *,
    wanted: Container[int] | None = None,
    is_repeated: bool = False,
) -> MendedPlan:
    """Mend each finding that is not waived (or those numbered in `wanted`) by its best mend.

    `is_repeated` goes over what is left again and again, until nothing more can be mended.
    """
    judged = judge_source(source, bench, place)
    before = judged.examined
    waiting = [
        finding
        for finding in before.report.findings
        if finding.waiver is None and (wanted is None or finding.number in wanted)
    ]
    left_to_try = _PATIENCE * trials_for(source)
    mended: list[Mended] = []
    searches: dict[int, Searched] = {}
    is_changed = True
    while is_changed:
        is_changed = False
        for finding in tuple(waiting):
            if finding not in waiting:
                continue
            found = _find_again(finding, waiting, list_found(judged, bench))
            if found is None:
                continue
            most = min(MOST_TRIALS, left_to_try)
            searched = offer_mends(judged, found, menders, most=1, most_trials=most)
            searches[finding.number] = searched
            left_to_try -= searched.tried
            if not searched.mends:
                continue
            mend = searched.mends[0]
            judged = judge_source(_make(mend, judged.source), bench, place)
            found_now = list_found(judged, bench)
            gone = [each for each in waiting if _find_again(each, waiting, found_now) is None]
            mended += [
                Mended(finding=each, mend=mend)
                if each is finding
                else Mended(finding=each, mend=None, gone_with=finding.number)
                for each in sorted(gone, key=lambda each: each is not finding)
            ]
            waiting = [each for each in waiting if each not in gone]
            is_changed = is_repeated
    return MendedPlan(
        was=source,
        now=judged.source,
        before=before,
        after=judged.examined,
        mended=tuple(mended),
        left=tuple(Left(finding=each, searched=searches[each.number]) for each in waiting),
    )


def _make(mend: Mend, source: bytes) -> bytes:
    edited = edit_text(source.decode("utf-8"), mend.patch)
    assert edited is not None  # only what the text takes is offered
    return edited.text.encode()


def _find_again(
    finding: ReportedFinding, waiting: Sequence[ReportedFinding], found: Iterable[RuleFinding]
) -> RuleFinding | None:
    """Find a finding of before among those found now; of several alike the one in its place."""
    what = identity_of(finding)
    alike = [each for each in found if identity(each) == what]
    place = [each for each in waiting if identity_of(each) == what].index(finding)
    return alike[place] if place < len(alike) else None
