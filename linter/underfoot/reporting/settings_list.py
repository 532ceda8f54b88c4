"""The settings in force for one place, each with where it came from, as text and JSON."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from msgspec import Struct

from underfoot.checking.makers_figures import MAKERS_FIGURES
from underfoot.checking.numbers import format_limit
from underfoot.checking.origin import Origin
from underfoot.checking.report import EVERY_RULE, Changed
from underfoot.checking.report_builder import changes, may_waive
from underfoot.checking.settings import InForce, Settings
from underfoot.reporting.ink import PLAIN, Ink, paint
from underfoot.reporting.layout import WIDTH, columns_of, escape_invisible, hanging_indent
from underfoot.reporting.phrases import say_change


class SettingsAt(Struct, frozen=True, kw_only=True):
    """The settings for a place; `found` are all settings files beside and above it.

    `protecting` are the rules that protect life.
    """

    path: str
    found: Sequence[str]
    settings: Settings
    protecting: Sequence[str] = ()

    @property
    def protected(self) -> list[str]:
        """The rules that protect life and that no plan may waive, for that reason alone."""
        named = {*self.settings.never_waive, *self.settings.may_waive}
        return sorted(set(self.protecting) - named)


def write_settings(at: SettingsAt, *, width: int = WIDTH, ink: Ink = PLAIN) -> Iterator[str]:
    """Write what is in force for a person: files, changes, what cannot be waived, all limits."""
    settings = at.settings
    lines = [paint(escape_invisible(f"SETTINGS FOR {at.path}"), ink.strong, ink), ""]
    lines += _titled("FILES", _files(at, width), ink)
    lines += _titled("NOT THE DEFAULTS", write_changes(changes(settings), width), ink)
    lines += _titled("CANNOT BE WAIVED", _unwaivable(at, width), ink)
    if settings.rule_sets is not None:
        names = ", ".join(settings.rule_sets) or "none"
        said = f"beside the standard one: {names} ({settings.rule_sets_by})"
        lines += _titled("RULE SETS", hanging_indent("  ", said, width), ink)
    if settings.ignore:
        ignored = [f"{each.pattern} ({each.file})" for each in settings.ignore]
        lines += _titled("NOT CHECKED", [f"  {escape_invisible(each)}" for each in ignored], ink)
    lines += _titled("ALL LIMITS IN FORCE", _limits(settings), ink)
    yield "\n".join(lines[:-1]) + "\n"


def _titled(title: str, lines: Sequence[str], ink: Ink) -> list[str]:
    return [paint(title, ink.strong, ink), *(lines or ["  none"]), ""]


def _files(at: SettingsAt, width: int) -> list[str]:
    lines: list[str] = []
    for name in at.found:
        said = name
        if name not in at.settings.files:
            said += " – not used: a nearer one counts"
        elif name == at.settings.locked_by:
            said += " – locked: nearer ones, and plans, may only tighten"
        lines += hanging_indent("  ", said, width, 6)
    return lines


def write_changes(changed: Iterable[Changed], width: int) -> list[str]:
    """Write what settings changed, each with where that is written and why."""
    lines: list[str] = []
    for change in changed:
        lines += hanging_indent("  ", f"{change.rule}: {say_change(change)}", width, 6)
        origin = change.origin
        lines += hanging_indent("      ", f"{origin.file}:{origin.line}: {origin.because}", width)
    return lines


def _unwaivable(at: SettingsAt, width: int) -> list[str]:
    settings = at.settings
    by_file: dict[str, list[str]] = {}
    for rule in sorted(settings.never_waive):
        by_file.setdefault(settings.never_waive_by.get(rule, ""), []).append(rule)
    if settings.never_waive_all_by is not None:
        by_file = {settings.never_waive_all_by: [EVERY_RULE]}
    if at.protected:
        by_file["it protects life; `may_waive` may allow it"] = at.protected
    return [
        line
        for why, rules in by_file.items()
        for line in hanging_indent("  ", f"{', '.join(rules)} ({why})", width, 6)
    ]


def _limits(settings: Settings) -> list[str]:
    rows = [
        (rule, key, format_limit(limit.value, limit.unit, limit.choices), _where(limit.origin))
        for rule, limits in sorted(settings.limits.items())
        for key, limit in limits.items()
    ]
    widths = [max((columns_of(row[place]) for row in rows), default=0) for place in range(3)]
    lines = []
    before = ""
    for rule, *cells in rows:
        named = "" if rule == before else rule
        before = rule
        padded = [
            cell + " " * (size - columns_of(cell))
            for cell, size in zip((named, *cells[:2]), widths, strict=True)
        ]
        lines.append("  " + "  ".join([*padded, escape_invisible(cells[2])]))
    return lines


def _where(origin: Origin | None) -> str:
    return "default" if origin is None else f"{origin.file}:{origin.line}"


def write_settings_json(at: SettingsAt) -> Iterator[str]:
    """Write what is in force as JSON, one limit a line."""
    from underfoot.reporting.json import encode  # texts need none of it

    settings = at.settings
    head = {
        "path": at.path,
        "files": [
            {
                "file": name,
                "used": name in settings.files,
                "locked": name == settings.locked_by,
            }
            for name in at.found
        ],
        "never_waive": [
            {"rule": rule, "file": settings.never_waive_by.get(rule)}
            for rule in sorted(settings.never_waive)
        ],
        "never_waive_all": settings.never_waive_all_by,
        "protects_life": at.protected,
        "ignore": [{"pattern": each.pattern, "file": each.file} for each in settings.ignore],
        "rule_sets": settings.rule_sets,
        "rules": [
            {"rule": rule, "what": what, "value": value, **_origin(origin)}
            for rule, what, value, origin in sorted(
                _rules(settings), key=lambda row: (row[0], row[1])
            )
        ],
    }
    lines = [
        encode(_limit(rule, key, limit))
        for rule, limits in sorted(settings.limits.items())
        for key, limit in limits.items()
    ]
    yield encode(head)[:-1] + ',\n"limits": [\n' + ",\n".join(lines)
    yield "\n]}\n"


def _rules(settings: Settings) -> Iterator[tuple[str, str, str | bool, Origin]]:
    for rule, (severity, origin) in settings.severities.items():
        yield rule, "severity", severity, origin
    for rule, origin in settings.off.items():
        yield rule, "off", True, origin
    for rule, (severity, origin) in settings.undecided.items():
        yield rule, "undecided", severity, origin
    if settings.undecided_floor is not None:
        severity, origin = settings.undecided_floor
        yield EVERY_RULE, "undecided", severity, origin
    if settings.materials_from is not None:
        names, origin = settings.materials_from.catalogues, settings.materials_from.origin
        yield MAKERS_FIGURES.id, "materials_from", ", ".join(names), origin
    for rule, origin in may_waive(settings):
        yield rule, "may_waive", True, origin


def _limit(rule: str, key: str, limit: InForce) -> dict[str, Any]:
    def told(value: float) -> float | str:
        return limit.choices[round(value)] if limit.choices else float(value)

    return {
        "rule": rule,
        "key": key,
        "value": told(limit.value),
        "default": told(limit.default),
        "unit": limit.unit,
        **_origin(limit.origin),
    }


def _origin(origin: Origin | None) -> dict[str, Any]:
    if origin is None:
        return {"file": None, "line": None, "because": None}
    return {"file": origin.file, "line": origin.line, "because": origin.because}
