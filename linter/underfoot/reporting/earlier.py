"""An earlier JSON report, read back: the findings of each plan, as far as matching needs them."""

from __future__ import annotations

import json
from collections.abc import Mapping
from math import isfinite
from typing import Any, NoReturn

from underfoot.checking.earlier import EarlierFinding, EarlierPlan
from underfoot.checking.finding import SEVERITIES
from underfoot.checking.report import LimitUsed, Measure
from underfoot.reporting.json import REPORT_FORMAT


class EarlierReportError(Exception):
    """Says in plain words why a file is no report that can be held against."""


def read_earlier(source: bytes) -> dict[str, EarlierPlan]:
    """Give the findings and what was not judged by the path of their plan; EarlierReportError.

    Keys that later versions add are passed over.
    """
    try:
        data = json.loads(source, parse_constant=_refuse_constant)
    except (ValueError, RecursionError):
        _refuse("it is no JSON")
    if not isinstance(data, dict) or "report_format" not in data:
        _refuse("it is no report: `underfoot check --format json` writes one")
    if data["report_format"] != REPORT_FORMAT or isinstance(data["report_format"], bool):
        _refuse(
            f"its report_format is {json.dumps(data['report_format'])}; only {REPORT_FORMAT} is "
            "read here"
        )
    plans: dict[str, EarlierPlan] = {}
    for number, plan in enumerate(_list(data, "plans", "")):
        place = f"plans.{number}"
        path = _text(plan, "path", place)
        findings = enumerate(_list(plan, "findings", place))
        plans[path] = EarlierPlan(
            tuple(_finding(each, f"{place}.findings.{at}") for at, each in findings),
            _may_be_errors(plan, place),
        )
    return plans


def _may_be_errors(plan: Any, place: str) -> dict[str, int]:
    """Give by rule the points that may be errors; reports of before these were told have none."""
    counts: dict[str, int] = {}
    for at, row in enumerate(_list(plan, "checks", place)):
        number = _number(row, "may_be_errors", f"{place}.checks.{at}")
        if number:
            counts[_text(row, "rule", f"{place}.checks.{at}")] = round(number)
    return counts


def _finding(data: Any, place: str) -> EarlierFinding:
    severity = _text(data, "severity", place)
    if severity not in SEVERITIES:
        _refuse(f"`{place}.severity` is none of {', '.join(SEVERITIES)}")
    items = _list(data, "items", place)
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
        waived=data.get("waiver") is not None,
    )


def _measure(data: Any, place: str) -> Measure | None:
    if data is None:
        return None
    value = _number(data, "value", place)
    if value is None:
        _refuse(f"`{place}.value` must be a number")
    return Measure(value, _text(data, "unit", place))


def _limit(data: Any, place: str) -> LimitUsed | None:
    if data is None:
        return None
    return LimitUsed(
        _number(data, "least", place), _number(data, "most", place), _text(data, "unit", place)
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
