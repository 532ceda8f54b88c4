"""What becomes of plans that are changed as the reports' "To do" advises, word for word.

Advice is what people act on. Each remedy that names a move, a cut, a place, a size or a rating is
done to the plan's data as a person would who follows its words, and the plan is checked anew by all
rules: is its own finding gone, is anything new or worse, is anything unjudged that was judged?

    python -m tests.underfoot_rules.advice_tried --plans 120     prints it, by rule and kind

`samples` draws the plans, `sentences` reads the advice, `doing` does it to the data.
"""

import json
from collections.abc import Iterable, Iterator
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from tests.underfoot_rules.advice_tried.advised import Advised
from tests.underfoot_rules.advice_tried.doing import CannotDoError
from tests.underfoot_rules.advice_tried.sentences import read_advice
from underfoot.api.rules import Data
from underfoot.checking.check import Checker, check_source, make_checker
from underfoot.checking.engine import run
from underfoot.checking.finding import SEVERITIES, Severity
from underfoot.checking.report import ReportedFinding
from underfoot.checking.settings import default_settings
from underfoot.reading import read_plan
from underfoot_rules import STANDARD
from underfoot_rules.mutations.expand_rows import open_rows

A_DAY = date(2026, 12, 1)
BENCH = make_checker([STANDARD], default_settings(STANDARD.rules), A_DAY)

Key = tuple[str, str | None, tuple[str, ...]]


class Said(Struct, frozen=True, kw_only=True):
    """What the rules say of a plan: severity by finding, and what they could not judge.

    `hidden` is what they could not judge for another finding that stands before it.
    """

    found: dict[Key, Severity]
    unjudged: frozenset[Key]
    hidden: frozenset[Key]


class Trial(Struct, frozen=True, kw_only=True):
    """What one piece of advice led to.

    `brought` is new or worse, `laid_open` was hidden behind another finding before, `unjudged` was
    judged before. `cannot` says why it could not be done at all.
    """

    plan: str
    rule: str
    severity: Severity
    kind: str
    said: str
    clears: bool = False
    brought: tuple[tuple[Severity, Key], ...] = ()
    laid_open: tuple[Key, ...] = ()
    unjudged: tuple[Key, ...] = ()
    cannot: str = ""

    @property
    def is_harmless(self) -> bool:
        """Whether it clears its finding and brings no error, no warning and nothing unjudged.

        A note may stay: of a strip that cannot lie deeper, of a floor that more would fit in.
        """
        return (
            (self.clears or self.severity == "note")
            and not self.cannot
            and not self.unjudged
            and all(severity == "note" for severity, _ in self.brought)
        )


def listen(data: Data, bench: Checker = BENCH) -> Said | str:
    """Check a plan; as text what keeps it from being read, or which rule crashed."""
    reading = read_plan(json.dumps(data).encode(), path="plan.yaml")
    if reading.plan is None:
        return f"unreadable: {reading.problems[0].message}"
    outcome = run(reading.plan, bench.program, bench.settings, today=bench.today)
    if outcome.faults:
        return f"crashed: {outcome.faults[0].rule}"
    undecided = [
        ((tally.rule, each.subject.room, each.subject.items), each)
        for tally in outcome.tallies
        for each in tally.undecided
    ]
    return Said(
        found={
            (each.rule.id, each.subject.room, each.subject.items): each.severity
            for each in outcome.raised
        },
        unjudged=frozenset(key for key, _ in undecided),
        hidden=frozenset(
            key for key, each in undecided if (each.write or "").startswith("Put right what ")
        ),
    )


def try_advice(name: str, data: Data, bench: Checker = BENCH) -> Iterator[Trial | str]:
    """Try all that is advised on a plan; as text the advice with figures that nobody tried."""
    report = check_source(json.dumps(data).encode(), bench, path="plan.yaml")
    opened = open_rows(data)
    before: Said | str | None = None
    for finding in report.findings:
        if finding.waiver is not None:
            continue  # it is agreed to: nobody follows what it advises
        advised, left = read_advice(finding, opened)
        yield from left
        for each in advised:
            if before is None:
                before = listen(opened, bench)
                assert isinstance(before, Said), before
            yield _try(name, finding, each, opened, before, bench)


def _try(
    name: str, finding: ReportedFinding, advised: Advised, data: Data, before: Said, bench: Checker
) -> Trial:
    trial = Trial(
        plan=name,
        rule=finding.rule,
        severity=finding.severity,
        kind=advised.kind,
        said=advised.said,
    )
    try:
        after = listen(advised.do(data), bench)
    except CannotDoError as reason:
        after = str(reason)
    if isinstance(after, str):
        return replace(trial, cannot=after)
    own: Key = (finding.rule, finding.room, finding.items)

    def counts(key: Key) -> bool:
        return key != own and not advised.leaves(key)

    worse = [
        (severity, key)
        for key, severity in after.found.items()
        if counts(key) and _is_worse(severity, before.found.get(key))
    ]
    return replace(
        trial,
        clears=own not in after.found and own not in after.unjudged,
        brought=tuple(each for each in worse if each[1] not in before.hidden),
        laid_open=tuple(key for _, key in worse if key in before.hidden),
        unjudged=tuple(
            sorted(
                (key for key in after.unjudged - before.unjudged if counts(key)),
                key=lambda key: (key[0], key[1] or "", key[2]),
            )
        ),
    )


def _is_worse(severity: Severity, before: Severity | None) -> bool:
    return before is None or SEVERITIES.index(severity) < SEVERITIES.index(before)


def harmful(trials: Iterable[Trial]) -> list[Trial]:
    """Return the trials that did not clear their finding, or brought harm."""
    return [trial for trial in trials if not trial.is_harmless]
