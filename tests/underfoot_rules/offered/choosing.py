"""Picks findings whose mends are kept: at little cost every way that menders go for any of them.

The mends of every finding of every plan are asked for, and what branches are taken in menders and
in the search is noted (`sys.monitoring`, so Python 3.12 or 3.13 is needed).
"""

from __future__ import annotations

import re
import sys
import time
from types import CodeType

from msgspec import Struct

from tests.underfoot_rules.menders.asking import MENDERS
from tests.underfoot_rules.offered import KEPT, TURNED, judged, mends_of, plans
from tests.written_out import keep

FOLDERS = ("/underfoot_rules/menders/", "/underfoot/mending/")
# A finding of a plan that was picked is asked for besides where that takes so many seconds at most.
QUICK_S = 0.010
# None is picked that takes so long, or brings less a second.
SLOW_S = 0.8
LEAST_A_SECOND = 8.0
A_PLAN_S = 0.02

Way = tuple[object, ...]


class Timed(Struct, frozen=True, kw_only=True):
    """A finding's mends: the lines kept, what was gone through for them, and the seconds taken."""

    lines: tuple[str, ...]
    ways: frozenset[Way]
    seconds: float


def choose() -> None:
    """Ask for the mends of every finding of every plan, and keep a choice that goes every way."""
    names = [each for name in plans() for each in (name, f"{name}{TURNED}")]
    every = {name: timed for name in names if (timed := _time(name))}
    left = {way for timed in every.values() for one in timed for way in one.ways}
    chosen: dict[str, set[int]] = {}
    while left:
        worth, name, place = max(
            (len(one.ways & left) / (A_PLAN_S * (name not in chosen) + one.seconds), name, place)
            for name, timed in every.items()
            for place, one in enumerate(timed)
        )
        if worth < LEAST_A_SECOND:
            break
        chosen.setdefault(name, set()).add(place)
        left -= every[name][place].ways
    told_already: set[tuple[str, ...]] = set()
    texts: dict[str, str] = {}
    for name in sorted(chosen):
        asked = [
            one.lines
            for place, one in enumerate(every[name])
            if place in chosen[name] or (one.seconds < QUICK_S and one.lines not in told_already)
        ]
        told_already |= set(asked)
        texts[name] = "\n".join(line for lines in asked for line in lines)
    keep(KEPT, texts)
    print(f"{len(chosen)} plans of {len(every)}; {len(left)} ways are gone by none of them")


def _time(name: str) -> list[Timed]:
    try:
        trial, state = judged(name)
    except Exception:  # Cannot be read, or not turned.
        return []
    found: list[Timed] = []
    for each in state.standing:
        if each.rule.id not in MENDERS:
            continue
        watch = _Watch()
        started = time.process_time()
        lines = tuple(mends_of(each, trial, state))
        spent = time.process_time() - started
        ways = watch.end()
        if spent < SLOW_S:
            forms = {(each.rule.id, _form(one)) for one in lines[1:] if one[2] != " "}
            found.append(Timed(lines=lines, ways=ways | forms, seconds=spent))
    return found


class _Watch:
    """Notes the branches that are taken in the folders looked at."""

    def __init__(self) -> None:
        self.taken: set[Way] = set()
        tool, events = sys.monitoring.COVERAGE_ID, sys.monitoring.events
        sys.monitoring.use_tool_id(tool, "ways")
        sys.monitoring.register_callback(tool, events.BRANCH, self._branch)
        sys.monitoring.set_events(tool, events.BRANCH)

    def _branch(self, code: CodeType, start: int, to: int) -> object:
        if any(folder in code.co_filename for folder in FOLDERS):
            self.taken.add((code.co_filename, code.co_qualname, code.co_firstlineno, start, to))
            return None
        return sys.monitoring.DISABLE

    def end(self) -> frozenset[Way]:
        sys.monitoring.free_tool_id(sys.monitoring.COVERAGE_ID)
        return frozenset(self.taken)


def _form(said: str) -> str:
    return re.sub(r"[\d.]+", "#", re.sub(r"\b[A-Z]+\d+\b", "X", said))
