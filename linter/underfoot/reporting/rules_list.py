"""The list of rules as text, JSON and Markdown, each limit as it is in force."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from underfoot.checking.numbers import format_limit
from underfoot.checking.rule import AnyRule, Limit, RuleSet
from underfoot.checking.settings import InForce, Settings
from underfoot.reporting.ink import PLAIN, Ink, paint
from underfoot.reporting.json import encode, fields_of
from underfoot.reporting.layout import (
    WIDTH,
    columns_of,
    count_of,
    escape_invisible,
    hanging_indent,
    wrap,
)
from underfoot.reporting.phrases import say_waiving

_GAP = 2
_HEADS = ("rule", "severity", "limits", "basis")
_LIMITS = _HEADS.index("limits")
_NARROWEST = 14


def _topics(sets: Sequence[RuleSet]) -> Mapping[str, list[AnyRule]]:
    topics: dict[str, list[AnyRule]] = {}
    for rule_set in sets:
        for rule in rule_set.rules:
            topics.setdefault(rule.topic, []).append(rule)
    return topics


def _title(topic: str) -> str:
    return escape_invisible(topic).replace("_", " ")


def write_text_list(
    sets: Sequence[RuleSet], settings: Settings, *, width: int = WIDTH, ink: Ink = PLAIN
) -> Iterator[str]:
    """Write a table: rule, severities, limits, basis, and below each what it finds."""
    rules = [rule for rule_set in sets for rule in rule_set.rules]
    cells = {rule.id: _cells(rule, settings) for rule in rules}
    widths = [
        max(
            columns_of(line)
            for row in [*cells.values(), [[head] for head in _HEADS]]
            for line in row[column]
        )
        for column in range(len(_HEADS))
    ]
    too_wide = sum(widths) + _GAP * (len(widths) - 1) - width
    if too_wide > 0:
        widths[_LIMITS] = max(widths[_LIMITS] - too_wide, _NARROWEST)
        for row in cells.values():
            row[_LIMITS] = [
                line
                for limit in row[_LIMITS]
                for line in hanging_indent("", limit, widths[_LIMITS], 2)
            ]
    head = _in_columns([[head] for head in _HEADS], widths)[0]
    yield paint(head, ink.faint, ink) + "\n"
    for topic, listed in _topics(sets).items():
        yield f"\n{paint(_title(topic).upper(), ink.strong, ink)}\n"
        for rule in listed:
            lines = _in_columns(cells[rule.id], widths)
            lines[0] = paint(rule.id, ink.strong, ink) + lines[0][len(rule.id) :]
            lines += hanging_indent("    ", rule.finds, width)
            if rule.protects_life:
                lines += hanging_indent("    ", say_waiving(rule, settings), width)
            for line in _changes(rule, settings):
                lines += hanging_indent("    ! ", line, width)
            yield "\n".join(lines) + "\n"
    said = (
        f"{count_of(len(rules), 'rule')}. `underfoot why RULE` explains one: why it matters, what "
        "it rests on, how to put it right."
    )
    yield "\n" + "\n".join(wrap(said, width)) + "\n"


def _cells(rule: AnyRule, settings: Settings) -> list[list[str]]:
    limits = [f"{limit.key} {_in_force(rule, limit, settings)}" for limit in rule.limits]
    severities = ", ".join(_severities(rule, settings))
    return [[rule.id], [severities], limits or [""], [rule.basis.kind]]


def _in_columns(cells: Sequence[Sequence[str]], widths: Sequence[int]) -> list[str]:
    lines = []
    for place in range(max(map(len, cells))):
        line = "".join(
            (cell[place] if place < len(cell) else "").ljust(width + _GAP)
            for cell, width in zip(cells, widths, strict=True)
        )
        lines.append(line.rstrip())
    return lines


def _severities(rule: AnyRule, settings: Settings) -> tuple[str, ...]:
    if rule.id in settings.off:
        return ("off",)
    changed = settings.severities.get(rule.id)
    return (changed[0],) if changed else rule.severities


def _limit(rule: AnyRule, limit: Limit, settings: Settings) -> InForce:
    return settings.limits.get(rule.id, {}).get(
        limit.key,
        InForce(value=limit.default, unit=limit.unit, default=limit.default, choices=limit.choices),
    )


def _in_force(rule: AnyRule, limit: Limit, settings: Settings) -> str:
    return format_limit(_limit(rule, limit, settings).value, limit.unit, limit.choices)


def _changes(rule: AnyRule, settings: Settings) -> Iterator[str]:
    for limit in rule.limits:
        origin = _limit(rule, limit, settings).origin
        if origin is not None:
            yield (
                f"{limit.key} {_in_force(rule, limit, settings)}, not "
                f"{format_limit(limit.default, limit.unit, limit.choices)}: {origin.because} "
                f"({origin.file}:{origin.line})"
            )
    changed = settings.severities.get(rule.id)
    if changed:
        yield f"{changed[0]}: {changed[1].because} ({changed[1].file}:{changed[1].line})"
    off = settings.off.get(rule.id)
    if off:
        yield f"switched off: {off.because} ({off.file}:{off.line})"
    undecided = settings.undecided_for(rule.id)
    if undecided:
        severity, origin = undecided
        yield (
            f"what it cannot judge counts as {severity}: {origin.because} "
            f"({origin.file}:{origin.line})"
        )


def write_json_list(sets: Sequence[RuleSet], settings: Settings) -> Iterator[str]:
    """Write every rule with its limits in force as JSON, one rule a line."""
    rows = [encode(_row(rule_set, rule, settings)) for rule_set in sets for rule in rule_set.rules]
    yield '{"rules": [\n' + ",\n".join(rows) + "\n]}\n"


def _row(rule_set: RuleSet, rule: AnyRule, settings: Settings) -> dict[str, Any]:
    return {
        "rule": rule.id,
        "rule_set": rule_set.name,
        "topic": rule.topic,
        "severities": _severities(rule, settings),
        **fields_of(rule, "finds", "why", "protects_life"),
        "measured": rule.unit,
        "limits": [
            {
                "key": limit.key,
                "value": _number_or_word(limit, _limit(rule, limit, settings).value),
                "default": _number_or_word(limit, limit.default),
                **fields_of(limit, "unit", "means", "stricter"),
                "because": getattr(_limit(rule, limit, settings).origin, "because", None),
            }
            for limit in rule.limits
        ],
        "basis": {"kind": rule.basis.kind, "text": rule.basis.text},
    }


def _number_or_word(limit: Limit, value: float) -> float | str:
    return limit.choices[round(value)] if limit.choices else float(value)


def write_markdown_list(sets: Sequence[RuleSet], settings: Settings) -> Iterator[str]:
    """Write one Markdown table a topic: the index of rules that stands in a repository."""
    yield "# Rules\n\nWritten by `underfoot rules --format markdown`; do not edit by hand.\n"
    for topic, rules in _topics(sets).items():
        title = _title(topic)
        rows = ["| rule | severity | finds | limits | measured | basis |", f"|{' --- |' * 6}"]
        for rule in rules:
            limits = ", ".join(
                f"{limit.key} {_in_force(rule, limit, settings)}" for limit in rule.limits
            )
            cells = (
                f"`{rule.id}`",
                ", ".join(_severities(rule, settings)),
                f"{rule.finds}; protects life" if rule.protects_life else rule.finds,
                limits,
                rule.unit or "",
                rule.basis.text,
            )
            rows.append("| " + " | ".join(_cell(cell) for cell in cells) + " |")
        yield f"\n## {title[:1].upper()}{title[1:]}\n\n" + "\n".join(rows) + "\n"


def _cell(text: str) -> str:
    return escape_invisible(text).replace("\\", "\\\\").replace("|", "\\|")
