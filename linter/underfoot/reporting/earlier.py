"""An earlier JSON report, read back: the findings of each plan, as far as matching needs them."""

import json
from collections.abc import Mapping
from math import isfinite
from typing import Any, NoReturn

from msgspec import Struct

from underfoot.checking.earlier import EarlierFinding, EarlierPlan
from underfoot.checking.finding import SEVERITIES
from underfoot.checking.report import LimitUsed, Measure, PlanContent
from underfoot.reporting.json import REPORT_FORMAT
from underfoot.reporting.known import KNOWN_FORMAT


class EarlierReportError(Exception):
    """Says in plain words why a file is no report that can be held against."""


class Earliers(Struct, frozen=True, kw_only=True):
    """The plans of an earlier report by path; `from_top` where that is told from the top folder."""

    plans: dict[str, EarlierPlan]
    from_top: bool = False


def read_earlier(source: bytes) -> Earliers:
    """Return the findings and what was not judged by the path of their plan; EarlierReportError.

    It is either a whole report or what stands in one (`known_format`). Keys that later versions add
    are passed over.
    """
    try:
        data = json.loads(source, parse_constant=_refuse_constant)
    except (ValueError, RecursionError):
        _refuse("it is not JSON, as --format known and json write it")
    if isinstance(data, dict) and "known_format" in data:
        _check_format(data, "known_format", KNOWN_FORMAT)
        return Earliers(plans=_plans(data), from_top=True)
    if not isinstance(data, dict) or "report_format" not in data:
        _refuse(
            "it is no report: `underfoot check --format known` writes what stands, "
            "`--format json` a whole one"
        )
    _check_format(data, "report_format", REPORT_FORMAT)
    return Earliers(plans=_plans(data), from_top=False)


def _check_format(data: Mapping[str, Any], key: str, number: int) -> None:
    if data[key] != number or isinstance(data[key], bool):
        _refuse(f"its {key} is {json.dumps(data[key])}; only {number} is read here")


def _plans(data: Mapping[str, Any]) -> dict[str, EarlierPlan]:
    plans: dict[str, EarlierPlan] = {}
    for number, plan in enumerate(_list(data, "plans", "")):
        place = f"plans.{number}"
        path = _text(plan, "path", place)
        findings = enumerate(_list(plan, "findings", place))
        plans[path] = EarlierPlan(
            findings=tuple(_finding(each, f"{place}.findings.{at}") for at, each in findings),
            may_be_errors=_may_be_errors(plan, place),
            content=_content(plan, place),
            reference=plan.get("reference") if isinstance(plan.get("reference"), str) else None,
        )
    return plans


def _may_be_errors(plan: Any, place: str) -> dict[str, int]:
    """Return by rule the points that may be errors; reports of before these were told have none."""
    counts: dict[str, int] = {}
    told = plan.get("may_be_errors", {} if "checks" not in plan else None)
    if told is not None:
        if not isinstance(told, dict):
            _refuse(f"`{place}.may_be_errors` must be a mapping")
        return {rule: round(_number(told, rule, f"{place}.may_be_errors") or 0) for rule in told}
    for at, row in enumerate(_list(plan, "checks", place)):
        number = _number(row, "may_be_errors", f"{place}.checks.{at}")
        if number:
            counts[_text(row, "rule", f"{place}.checks.{at}")] = round(number)
    return counts


def _content(plan: Any, place: str) -> PlanContent | None:
    """Return what a plan is known again by, which only what stands in short tells."""
    if "source" not in plan:
        return None
    ids, outlines = plan.get("ids"), plan.get("outlines")
    if not isinstance(ids, dict) or not isinstance(outlines, dict):
        _refuse(f"`{place}.ids` and `{place}.outlines` must be mappings")
    return PlanContent(
        source=_text(plan, "source", place),
        ids={room: tuple(map(str, _list(ids, room, f"{place}.ids"))) for room in ids},
        outlines={room: _text(outlines, room, f"{place}.outlines") for room in outlines},
    )


def _finding(data: Any, place: str) -> EarlierFinding:
    severity = _text(data, "severity", place)
    if severity not in SEVERITIES:
        _refuse(f"`{place}.severity` is none of {', '.join(SEVERITIES)}")
    items = _list(data, "items", place) if "items" in data else []
    if not all(isinstance(item, str) and _is_whole(item) for item in items):
        _refuse(f"`{place}.items` must be a list of ids")
    room = data.get("room")
    if room is not None and not (isinstance(room, str) and _is_whole(room)):
        _refuse(f"`{place}.room` must be an id or null")
    return EarlierFinding(
        rule=_text(data, "rule", place),
        room=room,
        items=tuple(items),
        severity=severity,
        measured=_measure(data.get("measured"), f"{place}.measured"),
        limit=_limit(data.get("limit"), f"{place}.limit"),
        waived=data.get("waiver") is not None or data.get("waived") is True,
        mark=data.get("mark") if isinstance(data.get("mark"), str) else None,
    )


def _measure(data: Any, place: str) -> Measure | None:
    if data is None:
        return None
    value = _number(data, "value", place)
    if value is None:
        _refuse(f"`{place}.value` must be a number")
    return Measure(value=value, unit=_text(data, "unit", place))


def _limit(data: Any, place: str) -> LimitUsed | None:
    if data is None:
        return None
    return LimitUsed(
        least=_number(data, "least", place),
        most=_number(data, "most", place),
        unit=_text(data, "unit", place),
    )


def _number(data: Any, key: str, place: str) -> float | None:
    value = data.get(key) if isinstance(data, Mapping) else None
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        _refuse(f"`{place}.{key}` must be a number")
    try:
        number = float(value)
    except OverflowError:
        number = float("inf")
    if not isfinite(number):
        _refuse(f"`{place}.{key}` is too large a number")
    return number


def _text(data: Any, key: str, place: str) -> str:
    value = data.get(key) if isinstance(data, Mapping) else None
    if not isinstance(value, str):
        _refuse(f"`{place}.{key}` must be text")
    if not _is_whole(value):
        _refuse(f"`{place}.{key}` holds half a character, as no report does")
    return value


def _is_whole(text: str) -> bool:
    """Tell whether no half of a surrogate pair stands alone: no output could hold it."""
    return not any("\ud800" <= mark <= "\udfff" for mark in text)


def _list(data: Any, key: str, place: str) -> list[Any]:
    value = data.get(key) if isinstance(data, Mapping) else None
    if not isinstance(value, list):
        _refuse(f"`{f'{place}.{key}'.lstrip('.')}` must be a list")
    return value


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(name)


def _refuse(why: str) -> NoReturn:
    raise EarlierReportError(why)
