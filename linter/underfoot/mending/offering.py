"""A plan's bytes -> its report, with mends of each finding that its text takes."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.check import CheckedPlan, Checker, check_reading
from underfoot.checking.crash import is_lack_of_memory
from underfoot.checking.engine import Outcome, RuleFinding, keep_asked
from underfoot.checking.mend import Mend, Mender
from underfoot.checking.report_builder import put_in_order
from underfoot.checking.rule import RuleSet
from underfoot.mending.patch import plain_value
from underfoot.mending.search import (
    MOST_MENDS,
    MOST_TRIALS,
    Menders,
    Searched,
    Trials,
    by_rule,
    search_mends,
)
from underfoot.mending.text_edits import ReadText, edit_read, locate_edits, read_text
from underfoot.mending.trial import State, Trial
from underfoot.reading.plan_file import Reading, read_parsed
from underfoot.reading.syntax import Parsed, collector_paused, parse

# Of one plan no more is tried, and the less the longer it is: so many bytes of plans in all.
MOST_TRIALS_A_PLAN = 60
MOST_BYTES_TRIED = 600_000


NOTHING = Searched(mends=(), tried=0)


class Place(Struct, frozen=True, kw_only=True):
    """Where a plan lies: as reports name it, its folder, and the topmost that counts for it."""

    path: str
    folder: Path | None = None
    root: Path | None = None


class Judged(Struct, frozen=True, kw_only=True):
    """A plan as read and judged; `state` is what changes are held against.

    `outcome` is None where the plan could not be read, `state` also where a rule failed on it;
    `read_text` is to be asked only where it could.
    """

    source: bytes
    reading: Reading
    examined: CheckedPlan
    outcome: Outcome | None
    state: State | None
    trial: Trial
    read_text: Callable[[], ReadText | None]


def gather_menders(sets: Sequence[RuleSet]) -> Menders:
    """Gather what proposes mends; a rule set whose menders cannot be had has none."""
    gathered: list[Mender] = []
    for rule_set in sets:
        try:
            gathered += rule_set.gather_menders()
        except Exception as error:
            if is_lack_of_memory(error):
                raise
    return by_rule(gathered)


def judge_source(source: bytes, bench: Checker, place: Place) -> Judged:
    """Read and check a plan, and make ready to try changes of it."""

    def read(parsed: Parsed) -> Reading:
        return read_parsed(parsed, path=place.path, folder=place.folder, root=place.root)

    with collector_paused():
        parsed = parse(source)
        reading = read(parsed)
    examined, outcome = check_reading(reading, bench, source)
    state = None
    if outcome is not None and not outcome.faults:
        state = State(data=parsed.data, outcome=outcome)
    trial = Trial(read=read, checker=bench, positions=parsed.positions)
    return Judged(
        source=source,
        reading=reading,
        examined=examined,
        outcome=outcome,
        state=state,
        trial=trial,
        read_text=cache(lambda: read_text(source.decode("utf-8"))),
    )


def examine_with_mends(
    source: bytes,
    bench: Checker,
    menders: Menders,
    *,
    path: str,
    folder: Path | None = None,
    root: Path | None = None,
) -> CheckedPlan:
    """Read and check a plan, and look for mends of what is found and not waived.

    Where a mender or the tool fails over one, that mend is missing and nothing else.
    """
    judged = judge_source(source, bench, Place(path=path, folder=folder, root=root))
    examined = judged.examined
    left = trials_for(source)
    findings = []
    for finding, found in zip(examined.report.findings, list_found(judged, bench), strict=True):
        searched = NOTHING
        if finding.waiver is None:
            searched = offer_mends(judged, found, menders, most_trials=left)
            left -= searched.tried
        findings.append(replace(finding, mends=searched.mends))
    return replace(examined, report=replace(examined.report, findings=tuple(findings)))


def trials_for(source: bytes) -> int:
    """How many changes of a plan are tried in all."""
    return min(MOST_TRIALS_A_PLAN, MOST_BYTES_TRIED // max(1, len(source)))


def list_found(judged: Judged, bench: Checker) -> list[RuleFinding]:
    """List what was found, in the order of the report."""
    outcome, plan = judged.outcome, judged.reading.plan
    if outcome is None or plan is None:
        return []
    if bench.asked is not None:
        outcome = keep_asked(outcome, frozenset(bench.asked.rules))
    return put_in_order(outcome.raised, plan, judged.reading.positions)


def offer_mends(
    judged: Judged,
    found: RuleFinding,
    menders: Menders,
    *,
    most: int = MOST_MENDS,
    most_trials: int = MOST_TRIALS,
) -> Searched:
    """Look for mends of one finding that the plan's text takes, with what they replace in it.

    Whatever fails costs the mends that are not found yet.
    """
    if judged.state is None or most_trials <= 0:
        return replace(NOTHING, ended_early=judged.state is not None)
    try:
        trials = Trials(judged.trial, min(MOST_TRIALS, most_trials))
        searched = search_mends(found, judged.state, menders, trials, most)
        return replace(searched, mends=tuple(_with_text(searched.mends, judged)))
    except Exception as error:
        if is_lack_of_memory(error):
            raise MemoryError from None
        return NOTHING


def _with_text(mends: Iterable[Mend], judged: Judged) -> Iterator[Mend]:
    for mend in mends:
        read = judged.read_text()
        patch = tuple(replace(edit, value=plain_value(edit.value)) for edit in mend.patch)
        edited = None if read is None else edit_read(read, patch)
        if edited is not None:
            told = locate_edits(judged.source.decode("utf-8"), edited.edits)
            yield Mend(says=mend.says, patch=patch, replacements=told)
