"""What is worked out from facts once, the first time that a rule asks for it, and then kept."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, Self, TypeVar

P = ParamSpec("P")
T = TypeVar("T")
Given = TypeVar("Given", bound="Once")

# Which parts of a drawing alone a function looks at: see `hangs_on`.
_PARTS_OF: dict[Callable[..., Any], tuple[str, ...]] = {}


class Once:
    """Facts that keep what functions work out of them, whoever's functions they are."""

    _kept: dict[tuple[Any, ...], Any]
    _is_sealed = False

    def __setattr__(self, name: str, value: object) -> None:
        if self._is_sealed:
            raise TypeError("nothing of a plan or its facts can be changed")
        object.__setattr__(self, name, value)

    def seal(self) -> None:
        """Let nothing of these facts be set any more; what follows from them is still worked out
        and kept."""
        self.__dict__["_is_sealed"] = True

    def once(
        self, work_out: Callable[Concatenate[Self, P], T], *given: P.args, **named: P.kwargs
    ) -> T:
        """Return what a function makes of these facts, asking it the first time alone.

        `work_out` is a function of a module, not one made anew for each call; what else is given to
        it tells one result from another.
        """
        key = (work_out, *given, *named.items())
        try:
            found: T = self._kept[key]
        except KeyError:
            found = self._kept[key] = work_out(self, *given, **named)
        return found


def hangs_on(
    *parts: str,
) -> Callable[[Callable[Concatenate[Given, P], T]], Callable[Concatenate[Given, P], T]]:
    """Keep what a function works out of a room, and say of which parts of the drawing alone.

    The same room drawn otherwise takes it over where those parts are the same.
    """

    def keep(work_out: Callable[Concatenate[Given, P], T]) -> Callable[Concatenate[Given, P], T]:
        _PARTS_OF[work_out] = parts

        @wraps(work_out)
        def kept(room: Given, /, *given: P.args, **named: P.kwargs) -> T:
            return room.once(work_out, *given, **named)

        return kept

    return keep


def parts_of(work_out: Callable[..., Any]) -> tuple[str, ...]:
    """Return the parts of a drawing that what a function works out hangs on; none where it is not
    said."""
    return _PARTS_OF.get(work_out, ())
