"""What the page says of each rule: its page rendered, and its limits as they are in force."""

from collections.abc import Iterable, Sequence

from markupsafe import Markup
from msgspec import Struct

from underfoot.checking.caution import DEFERS
from underfoot.checking.numbers import format_limit
from underfoot.checking.page import PageError, page_of
from underfoot.checking.report import Changed
from underfoot.checking.rule import AnyRule
from underfoot.checking.settings import Settings
from underfoot.page.markdown import render_code, render_markdown
from underfoot.reporting.phrases import as_sentence, say_basis
from underfoot.reporting.rule_page import changed_part

# What settings change beside limits.
_OTHERS = {"severity", "off", "undecided", "may_waive", "materials_from"}


class LimitRow(Struct, frozen=True, kw_only=True):
    """A limit of a rule: what it is without settings, and what each changes it to."""

    key: str
    means: str
    default: str
    changed: tuple[tuple[str, str], ...]


class ExampleShown(Struct, frozen=True, kw_only=True):
    """An example: what is right or wrong about it, and what it changes in a plan."""

    kind: str
    says: Markup
    code: Markup


class RuleExplained(Struct, frozen=True, kw_only=True):
    """One rule in full."""

    id: str
    topic: str
    severities: str
    finds: str
    why: Markup
    remedy: Markup
    basis: str
    limits: tuple[LimitRow, ...]
    examples: tuple[ExampleShown, ...]


def explain_rules(
    rules: Iterable[AnyRule], in_force: Sequence[Settings]
) -> tuple[RuleExplained, ...]:
    """Explain each rule; a rule without a page keeps its one line of why."""
    return tuple(_explain(rule, in_force) for rule in sorted(rules, key=lambda one: one.id))


def _explain(rule: AnyRule, in_force: Sequence[Settings]) -> RuleExplained:
    examples: tuple[ExampleShown, ...] = ()
    try:
        page = page_of(rule)
    except PageError:
        why, remedy = render_markdown(rule.why), Markup()
    else:
        why, remedy = render_markdown(page.why), render_markdown(page.remedy)
        first = (
            next(one for one in page.examples if one.kind == kind) for kind in ("right", "wrong")
        )
        examples = tuple(
            ExampleShown(
                kind=one.kind,
                says=render_markdown(one.says),
                code=render_code(changed_part(one.text)),
            )
            for one in first
        )
    basis = say_basis(rule.basis)
    return RuleExplained(
        id=rule.id,
        topic=rule.topic.replace("_", " "),
        severities=" or ".join(rule.severities),
        finds=as_sentence(f"finds {rule.finds}"),
        why=why,
        remedy=remedy,
        basis=f"{basis}; {DEFERS}" if rule.electrical else basis,
        limits=tuple(
            LimitRow(
                key=limit.key,
                means=limit.means,
                default=format_limit(limit.default, limit.unit, limit.choices),
                changed=_values(rule.id, limit.key, in_force),
            )
            for limit in rule.limits
        ),
        examples=examples,
    )


def _values(rule: str, key: str, in_force: Sequence[Settings]) -> tuple[tuple[str, str], ...]:
    """Return each value that settings put in place of the default, with where that stands."""
    values: dict[tuple[str, str], None] = {}
    for settings in in_force:
        limit = settings.limits.get(rule, {}).get(key)
        if limit is not None and limit.origin is not None:
            origin = limit.origin
            said = f"{origin.file}:{origin.line}: {origin.because}"
            values[format_limit(limit.value, limit.unit, limit.choices), said] = None
    return tuple(values)


class InForceRow(Struct, frozen=True, kw_only=True):
    """One limit as it is in force; `origin` is empty where it is the rule's own default."""

    rule: str
    key: str
    value: str
    default: str
    origin: str


class SettingsInForce(Struct, frozen=True, kw_only=True):
    """The limits in force for some of the plans; `files` are the settings files they come from."""

    number: int
    files: tuple[str, ...]
    plans: tuple[str, ...]
    limits: tuple[InForceRow, ...]
    others: tuple[Changed, ...]


def list_in_force(
    number: int, settings: Settings, plans: Sequence[str], changed: Sequence[Changed]
) -> SettingsInForce:
    """List every limit in force, and whatever else settings changed of the rules."""
    rows = [
        InForceRow(
            rule=rule,
            key=key,
            value=format_limit(limit.value, limit.unit, limit.choices),
            default=format_limit(limit.default, limit.unit, limit.choices),
            origin=""
            if limit.origin is None
            else f"{limit.origin.file}:{limit.origin.line}: {limit.origin.because}",
        )
        for rule, limits in sorted(settings.limits.items())
        for key, limit in limits.items()
    ]
    others = tuple(row for row in changed if row.what in _OTHERS)
    return SettingsInForce(
        number=number, files=settings.files, plans=tuple(plans), limits=tuple(rows), others=others
    )
