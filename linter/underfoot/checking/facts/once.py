"""What is worked out from facts once, the first time that a rule asks for it, and then kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Concatenate, ParamSpec, Self, TypeVar

P = ParamSpec("P")
T = TypeVar("T")


class Once:
    """Facts that keep what functions work out of them, whoever's functions they are."""

    _kept: dict[tuple[Any, ...], Any]

    def once(
        self, work_out: Callable[Concatenate[Self, P], T], *given: P.args, **named: P.kwargs
    ) -> T:
        """Give what a function makes of these facts, asking it the first time alone.

        `work_out` is a function of a module, not one made anew for each call; what else is given to
        it tells one result from another.
        """
        key = (work_out, *given, *named.items())
        try:
            found: T = self._kept[key]
        except KeyError:
            found = self._kept[key] = work_out(self, *given, **named)
        return found
