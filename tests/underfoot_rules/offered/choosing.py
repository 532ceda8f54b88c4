"""Picks findings whose mends are kept: at little cost every form of words that is offered."""

import re
import time

from msgspec import Struct

from tests.underfoot_rules.menders.asking import MENDERS
from tests.underfoot_rules.offered import KEPT, judged, mends_of, plans
from tests.written_out import keep

# A finding of a plan that was picked is asked for besides where that takes so many seconds at most.
QUICK_S = 0.012
# None is picked that takes so long.
SLOW_S = 0.5
A_PLAN_S = 0.02


class Timed(Struct, frozen=True, kw_only=True):
    """A finding's mends: the lines kept, the forms of words among them, and the seconds taken."""

    lines: tuple[str, ...]
    forms: frozenset[tuple[str, str]]
    seconds: float


def choose() -> None:
    """Ask for the mends of every finding of every plan, and keep a choice that has every form."""
    every = {name: timed for name in plans() if (timed := _time(name))}
    left = {form for timed in every.values() for one in timed for form in one.forms}
    chosen: dict[str, set[int]] = {}
    while left:
        _, name, place = max(
            (len(one.forms & left) / (A_PLAN_S * (name not in chosen) + one.seconds), name, place)
            for name, timed in every.items()
            for place, one in enumerate(timed)
        )
        chosen.setdefault(name, set()).add(place)
        left -= every[name][place].forms
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
    print(f"{len(chosen)} plans of {len(every)}")


def _time(name: str) -> list[Timed]:
    try:
        trial, state = judged(name)
    except AssertionError:  # It cannot be read.
        return []
    found: list[Timed] = []
    for each in state.standing:
        if each.rule.id not in MENDERS:
            continue
        started = time.process_time()
        lines = tuple(mends_of(each, trial, state))
        spent = time.process_time() - started
        if spent < SLOW_S:
            forms = frozenset((each.rule.id, _form(one)) for one in lines[1:] if one[2] != " ")
            found.append(Timed(lines=lines, forms=forms, seconds=spent))
    return found


def _form(said: str) -> str:
    return re.sub(r"[\d.]+", "#", re.sub(r"\b[A-Z]+\d+\b", "X", said))
