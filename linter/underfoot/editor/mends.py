"""Mends of a finding as changes to the text that the editor has."""

from msgspec import Struct

from underfoot.checking.check import Checker
from underfoot.checking.mend import TextEdit
from underfoot.mending.offering import (
    Judged,
    Place,
    judge_source,
    list_found,
    offer_mends,
    trials_for,
)
from underfoot.mending.search import Menders
from underfoot.mending.text_edits import edit_text


class Offered(Struct, frozen=True, kw_only=True):
    """A mend that was tried: what it does, and the edits of the text that do it."""

    says: str
    edits: tuple[TextEdit, ...]


class Mending:
    """Looks for mends of one text's findings; what was found is kept."""

    def __init__(self, source: bytes, bench: Checker, place: Place, menders: Menders) -> None:
        self._menders = menders
        self._judged: Judged = judge_source(source, bench, place)
        self._found = list_found(self._judged, bench)
        self._text = source.decode("utf-8", "replace")
        self._most = trials_for(source)
        self._kept: dict[int, tuple[Offered, ...]] = {}

    def offer(self, number: int) -> tuple[Offered, ...]:
        """Look for mends of the finding with this number."""
        if number not in self._kept:
            self._kept[number] = self._look(number)
        return self._kept[number]

    def _look(self, number: int) -> tuple[Offered, ...]:
        if not 0 < number <= len(self._found):
            return ()
        found = self._found[number - 1]
        searched = offer_mends(self._judged, found, self._menders, most_trials=self._most)
        offered = []
        for mend in searched.mends:
            edited = edit_text(self._text, mend.patch)
            if edited is not None:
                offered.append(Offered(says=mend.says, edits=edited.edits))
        return tuple(offered)
