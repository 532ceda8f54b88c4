"""What a rule says about one subject."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Generic, Literal, TypeVar, overload

from msgspec import Struct

Severity = Literal["error", "warning", "note"]
SEVERITIES: tuple[Severity, ...] = ("error", "warning", "note")

# A value within this of a limit, in the unit reported, meets it.
NOISE = 1e-6


def below(value: float, limit: float) -> bool:
    """Tell whether `value` misses a least `limit`, by more than rounding noise."""
    return value < limit - NOISE


def above(value: float, limit: float) -> bool:
    """Tell whether `value` passes a greatest `limit`, by more than rounding noise."""
    return value > limit + NOISE


T_co = TypeVar("T_co", covariant=True)


class Subject(Struct, Generic[T_co], frozen=True, kw_only=True):
    """What one check is about: its room (or None), the ids of its items, its place in the plan.

    `payload` is whatever the rule wants to hand from `subjects` to `check`; what it is, the type
    says: a `Subject[RoomFacts]` carries a room, a `Subject[None]` nothing.
    """

    room: str | None
    items: tuple[str, ...]
    path: str
    payload: T_co = None  # type: ignore[assignment]  # the type of one left out is told below

    if TYPE_CHECKING:

        @overload
        def __init__(
            self: Subject[None], *, room: str | None, items: tuple[str, ...], path: str
        ) -> None: ...
        @overload
        def __init__(
            self, *, room: str | None, items: tuple[str, ...], path: str, payload: T_co
        ) -> None: ...
        def __init__(self, **fields: Any) -> None: ...


class Basis(Struct, frozen=True, kw_only=True):
    """What a limit rests on.

    `kind` is ``common practice``, ``standard``, ``maker's manual``, ``own default`` or
    ``settings``.
    """

    kind: str
    text: str


class Finding(Struct, frozen=True, kw_only=True):
    """One fault of one subject.

    `message` and `remedy` may hold ``{measured}`` and ``{limit}``: both are written once, in the
    report, so that a value never looks equal to a limit that it misses. `measured` is in the
    rule's unit; `least` and `most` are the limit. `limit_key` names the rule's limit that decided,
    so that the basis can say where a changed limit came from. `shape` is a shapely geometry in the
    room's millimetres. `details` are further (name, text) rows. `related` are paths of other
    things in the plan that belong to the fault. `rests_on` names what it was worked out from, so
    that a silence may withhold it while that is wrong (`Silence.withholds`). `offer` is what the
    remedy offers, a further strip or a place, as a geometry of its own: a drawing shows it as
    nothing planned. `is_cold` says that `shape` is floor that stays cold.
    """

    message: str
    remedy: str
    measured: float | None = None
    least: float | None = None
    most: float | None = None
    limit_key: str | None = None
    severity: Severity | None = None
    basis: Basis | None = None
    shape: Any = None
    path: str | None = None
    details: tuple[tuple[str, str], ...] = ()
    related: tuple[str, ...] = ()
    rests_on: tuple[str, ...] = ()
    offer: Any = None
    is_cold: bool = False


class CannotTell(Struct, frozen=True, kw_only=True):
    """The rule applies, but the plan does not say enough; `why` completes "cannot judge: ...".

    `write` says what to write into the plan to have it judged, as one imperative sentence with the
    key in backquotes. `worst` is the gravest that could come of it: None stands for the gravest
    severity that the rule may give.
    """

    why: str
    write: str | None = None
    worst: Severity | None = None
