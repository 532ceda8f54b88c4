"""Which findings somebody agreed to leave, and which of these agreements hold."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date

from msgspec import Struct

from underfoot.checking.finding import Subject
from underfoot.plan import Waiver
from underfoot.reading.wording import find_nearest

_MOST_COMPARED = 500


class WaiverState(Struct, frozen=True, kw_only=True):
    """A waiver with what speaks against it (None where it holds).

    `forbidden`: no plan may waive its rule, whatever the waiver says.
    """

    waiver: Waiver
    lapsed: str | None
    forbidden: bool = False


def covers(waiver: Waiver, rule: str, subject: Subject[object]) -> bool:
    """Tell whether the waiver's rule and item are those of a finding."""
    return waiver.rule == rule and (
        waiver.item is None or waiver.item in subject.items or waiver.item == subject.room
    )


def judge_waivers(
    waivers: Sequence[Waiver],
    found: Iterable[tuple[str, Subject[object]]],
    *,
    rules: Collection[str],
    ids: Collection[str],
    forbidden: Mapping[str, str],
    today: date,
) -> tuple[WaiverState, ...]:
    """Say of each waiver whether it holds.

    `found` are the (rule, subject) pairs with a finding; `forbidden` tells of each rule that no
    plan may waive why not.
    """
    pairs = list(found) if waivers else []
    return tuple(
        WaiverState(
            waiver=waiver,
            lapsed=_flaw(waiver, rules, forbidden, today) or _lack_of_use(waiver, pairs, ids),
            forbidden=waiver.rule in forbidden,
        )
        for waiver in waivers
    )


def list_sound(
    waivers: Sequence[Waiver], rules: Collection[str], forbidden: Mapping[str, str], today: date
) -> tuple[Waiver, ...]:
    """Keep the waivers that hold wherever they cover a finding."""
    return tuple(each for each in waivers if _flaw(each, rules, forbidden, today) is None)


def _flaw(
    waiver: Waiver, rules: Collection[str], forbidden: Mapping[str, str], today: date
) -> str | None:
    if waiver.rule not in rules:
        return f"there is no rule {waiver.rule}{_meant(waiver.rule, rules)}"
    if waiver.rule in forbidden:
        return forbidden[waiver.rule]
    if not (waiver.reason or "").strip():
        return "it gives no reason"
    if not (waiver.agreed_by or "").strip():
        return "it does not say who agreed to it"
    if waiver.until is not None and waiver.until < today:
        return f"it ran out on {waiver.until.isoformat()}"
    return None


def _lack_of_use(
    waiver: Waiver, found: list[tuple[str, Subject[object]]], ids: Collection[str]
) -> str | None:
    item = waiver.item
    if (
        item is not None
        and item not in ids
        and not any(item in subject.items for _, subject in found)
    ):
        return f"nothing in the plan is called {item}{_meant(item, ids)}"
    if not any(covers(waiver, rule, subject) for rule, subject in found):
        return "no finding needs it"
    return None


def _meant(word: str, known: Collection[str]) -> str:
    # Among more ids a search for each waiver would take longer than the rules.
    nearest = find_nearest(word, sorted(known)) if len(known) <= _MOST_COMPARED else None
    return "" if nearest is None else f" (did you mean {nearest}?)"
