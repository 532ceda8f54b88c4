"""What a rule hands over is held against what every report needs of it."""

from collections.abc import Callable
from math import isfinite
from numbers import Integral, Rational, Real
from typing import Any, TypeVar, get_args

from underfoot.checking.finding import SEVERITIES, Basis, CannotTell, Finding, Subject
from underfoot.checking.rule import AnyRule, Limit, LimitUse, Rule, RuleUse, Suppression

Value = TypeVar("Value")
_MARKS = ("{measured}", "{limit}")


class MistakenError(Exception):
    """A part of a rule set that is left out; its words say why."""


class UnsoundError(ValueError):
    """What a rule set hands over cannot be used; its words say all that is to be said."""


def refuse_unsound(
    rule: AnyRule, subject: Subject[object], verdict: object, exists: Callable[[str], bool]
) -> None:
    """Refuse a verdict that a report could not show: UnsoundError in words.

    `exists` tells whether a path leads anywhere in the plan.
    """
    about = named(subject)
    if isinstance(verdict, CannotTell):
        _need(verdict.why, str, "`why`", about)
        _need_if_given(verdict.write, str, "`write`", about)
        _need_severity(verdict.worst, SEVERITIES, "`worst`", about)
        return
    if not isinstance(verdict, Finding):
        raise UnsoundError(
            f"what was found of {about} is neither a Finding nor a CannotTell nor None, "
            f"but {_kind(verdict)}"
        )
    _refuse_unsound_subject(subject, about)
    _need(verdict.message, str, "the message", about)
    _need(verdict.remedy, str, "the remedy", about)
    _need_severity(verdict.severity, rule.severities, "the severity", about)
    for name in ("measured", "least", "most"):
        _refuse_what_is_no_number(getattr(verdict, name), f"`{name}`", about)
    _refuse_open_marks(rule, verdict, about)
    _need_if_given(verdict.limit_key, str, "`limit_key`", about)
    if verdict.basis is not None:
        _need(verdict.basis, Basis, "the basis", about)
        _need(verdict.basis.kind, str, "the kind of the basis", about)
        _need(verdict.basis.text, str, "the text of the basis", about)
    _need_texts(verdict.related, "`related`", about)
    _need_texts(verdict.rests_on, "`rests_on`", about)
    for row in _need(verdict.details, tuple, "`details`", about):
        if len(_need_texts(row, "a row of `details`", about)) != 2:
            raise UnsoundError(f"a row of `details` of {about} is no pair of name and text")
    _need_if_given(verdict.path, str, "the path", about)
    for path in (verdict.path or subject.path, *verdict.related):
        if not exists(path):
            raise UnsoundError(f"the path {path!r} of {about} leads nowhere in the plan")
    for shape in (verdict.shape, verdict.offer):
        if shape is not None:
            _refuse_unsound_shape(shape, about)
    _need(verdict.is_cold, bool, "`is_cold`", about)


def refuse_no_count(total: object) -> None:
    """Refuse a number of subjects that counts none: UnsoundError in words."""
    if not isinstance(total, Integral) or not 0 <= int(total) < 2**53:  # as JSON counts
        raise UnsoundError(f"`total` of the subjects is {total!r}, which is no count")


def find_mistake(rule: object) -> str | None:
    """Find the first thing about a rule itself that no check or report could work with."""
    texts = ("id", "topic", "finds", "why", "module")
    if not isinstance(rule, Rule):
        return f"it is no Rule, but {_kind(rule)}"
    try:
        for name in texts:
            _need(getattr(rule, name), str, f"`{name}`", "the rule")
        _need_if_given(rule.unit, str, "`unit`", "the rule")
        if not _need_texts(rule.severities, "`severities`", "the rule"):
            raise UnsoundError("the rule has no severity")
        for severity in rule.severities:
            _need_severity(severity, SEVERITIES, "a severity", "the rule")
        _need(rule.basis, Basis, "the basis", "the rule")
        _need_texts((rule.basis.kind, rule.basis.text), "the basis", "the rule")
        for limit in _need(rule.limits, tuple, "`limits`", "the rule"):
            _refuse_unsound_limit(_need(limit, Limit, "a limit", "the rule"))
        _need_use(rule.serves, get_args(RuleUse), "`serves` of the rule")
        for name in ("subjects", "check"):
            if not callable(getattr(rule, name)):
                raise UnsoundError(f"`{name}` of the rule is no function")
    except UnsoundError as error:
        return str(error)
    return None


def find_mistake_in_silence(silence: object) -> str | None:
    """Find the first thing about a suppression that no check could work with."""
    if not isinstance(silence, Suppression):
        return f"it is no Suppression, but {_kind(silence)}"
    try:
        for name in ("cause", "reason"):
            _need(getattr(silence, name), str, f"`{name}`", "the suppression")
        _need_texts(silence.silenced, "`silenced`", "the suppression")
        for name in ("cause_keys", "subject_keys", "when", "withholds"):
            asked = getattr(silence, name)
            if not callable(asked) and (asked is not None or name == "cause_keys"):
                raise UnsoundError(f"`{name}` of the suppression is no function")
    except UnsoundError as error:
        return str(error)
    return None


def named(subject: Subject[object]) -> str:
    """Name a subject for the message of a crash, whatever it holds."""
    if isinstance(subject.items, tuple) and subject.items:
        return ", ".join(map(str, subject.items))
    return str(subject.room or "the plan")


def _refuse_unsound_subject(subject: Subject[object], about: str) -> None:
    _need_if_given(subject.room, str, "the room", about)
    _need_texts(subject.items, "`items`", about)
    _need(subject.path, str, "the path", about)


def _refuse_unsound_limit(limit: Limit) -> None:
    for name in ("key", "unit", "means"):
        _need(getattr(limit, name), str, f"`{name}` of a limit", "the rule")
    _need_texts(limit.choices, "the choices of a limit", "the rule")
    _refuse_what_is_no_number(limit.default, "the default of a limit", "the rule")
    if limit.default is None:
        raise UnsoundError("a limit of the rule has no default")
    if limit.stricter not in ("higher", "lower", None):
        raise UnsoundError("`stricter` of a limit is none of 'higher', 'lower' and None")
    _need_use(limit.serves, get_args(LimitUse), "`serves` of a limit")


def _refuse_open_marks(rule: AnyRule, finding: Finding, about: str) -> None:
    has_bound = finding.least is not None or finding.most is not None
    known = (finding.measured is not None, has_bound)
    for mark, is_known in zip(_MARKS, known, strict=True):
        if mark in finding.message + finding.remedy and not (is_known and rule.unit is not None):
            raise UnsoundError(f"{mark} in the words about {about} cannot be filled in")


def _refuse_what_is_no_number(number: object, what: str, about: str) -> None:
    # No format can write it, and a verdict that rests on it is worth nothing.
    if number is None:
        return
    try:
        is_number = _is_plain(number) and isfinite(number)  # type: ignore[arg-type]
    except OverflowError:
        is_number = False
    if not is_number:
        raise UnsoundError(f"{what} of {about} is {number!r}, which is no number")


def _is_plain(number: object) -> bool:
    """Whether a number is whole or a float; decimals and fractions are not counted with."""
    if isinstance(number, (int, float)):
        return True
    return isinstance(number, Integral) or (
        isinstance(number, Real) and not isinstance(number, Rational)
    )


def _refuse_unsound_shape(shape: Any, about: str) -> None:
    import shapely

    if not isinstance(shape, shapely.Geometry):
        raise UnsoundError(f"the shape of {about} is no geometry, but {_kind(shape)}")
    if not all(map(isfinite, shapely.get_coordinates(shape).ravel().tolist())):
        raise UnsoundError(f"the shape of {about} has a place that is no number")


def _need_severity(severity: object, allowed: tuple[str, ...], what: str, about: str) -> None:
    if severity is not None and severity not in allowed:
        raise UnsoundError(f"{what} of {about} is {severity!r}, none of {', '.join(allowed)}")


def _need_use(use: object, known: tuple[str, ...], what: str) -> None:
    if use is not None and use not in known:
        raise UnsoundError(f"{what} is {use!r}, none of {', '.join(known)}")


def _need_texts(values: object, what: str, about: str) -> tuple[str, ...]:
    for value in _need(values, tuple, what, about):
        _need(value, str, f"a part of {what}", about)
    return values  # type: ignore[return-value]


def _need_if_given(value: object, kind: type, what: str, about: str) -> None:
    if value is not None:
        _need(value, kind, what, about)


def _need(value: Any, kind: type[Value], what: str, about: str) -> Value:
    if not isinstance(value, kind):
        raise UnsoundError(f"{what} of {about} is no {_WORDS[kind]}, but {_kind(value)}")
    return value


_WORDS = {str: "text", tuple: "tuple", Basis: "Basis", Limit: "Limit", bool: "true or false"}


def _kind(value: object) -> str:
    return f"of the kind {type(value).__name__}"
