"""What a remedy advises: in words, and where it can be drawn."""

from typing import Any

from msgspec import Struct


class Advice(Struct, frozen=True, kw_only=True):
    """A remedy's words, and the place that they offer, to be drawn as what is not planned.

    The place is that of the room it was sought in; None where words alone are given.
    """

    says: str = ""
    offer: Any = None
