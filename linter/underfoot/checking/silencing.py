"""One cause, one voice: which subjects of a rule are silent where another rule has spoken."""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from typing import TypeVar

from underfoot.checking.crash import describe
from underfoot.checking.facts import Facts
from underfoot.checking.finding import CannotTell, Finding, Subject
from underfoot.checking.rule import AnyRule, Limits, Suppression
from underfoot.checking.soundness import MistakenError

Answer = TypeVar("Answer")
# Findings that silence what depends on them.
Heard = list[tuple[Subject[object], Finding]]


class Silencing:
    """The suppressions of one rule, with the keys of what their causes have found.

    One that crashes is asked no more, and leaves its mistake in `mistakes`.
    """

    def __init__(
        self,
        rule: AnyRule,
        silences: Sequence[Suppression],
        heard: Mapping[str, Heard],
        mistakes: list[MistakenError],
    ) -> None:
        self.rule = rule
        self.mistakes = mistakes
        self._silences = list(silences)
        self._heard = heard
        self._keys: dict[int, set[Hashable]] = {}

    def take_in(self, facts: Facts) -> None:
        """Gather the keys of what the causes have found before."""
        for silence in tuple(self._silences):
            self._keys[id(silence)] = set()
            for subject, finding in self._heard.get(silence.cause, ()):
                self._add(silence, subject, finding, facts)

    def add(self, subject: Subject[object], finding: Finding, facts: Facts) -> None:
        """Let what the rule itself has found silence its own later subjects."""
        for silence in tuple(self._silences):
            if silence.cause == self.rule.id:
                self._add(silence, subject, finding, facts)

    def judge(
        self, subject: Subject[object], facts: Facts, limits: Limits
    ) -> Finding | CannotTell | None:
        """Ask the rule about a subject, or say what silences it.

        What it finds that has nothing to do with any cause is told all the same.
        """
        silent = [each for each in tuple(self._silences) if self._is_silent(each, subject, facts)]
        if not silent:
            return self.rule.check(subject, facts, limits)
        if all(silence.withholds is not None for silence in silent):
            verdict = self.rule.check(subject, facts, limits)
            if isinstance(verdict, Finding) and not any(
                self._withholds(silence, subject, verdict) for silence in silent
            ):
                return verdict
        first = silent[0]
        return CannotTell(why=first.reason, write=f"Put right what {first.cause} found.")

    def _add(
        self, silence: Suppression, subject: Subject[object], finding: Finding, facts: Facts
    ) -> None:
        def list_keys() -> Iterable[Hashable]:
            if silence.when is not None and not silence.when(subject, finding):
                return ()
            return frozenset(silence.cause_keys(subject, facts))

        self._keys[id(silence)].update(self._ask(silence, list_keys, ()))

    def _is_silent(self, silence: Suppression, subject: Subject[object], facts: Facts) -> bool:
        keys = self._keys[id(silence)]
        asked = silence.subject_keys or silence.cause_keys
        return bool(keys) and self._ask(
            silence, lambda: not keys.isdisjoint(asked(subject, facts)), False
        )

    def _withholds(self, silence: Suppression, subject: Subject[object], found: Finding) -> bool:
        asked = silence.withholds
        return asked is not None and self._ask(silence, lambda: asked(subject, found), False)

    def _ask(self, silence: Suppression, work: Callable[[], Answer], otherwise: Answer) -> Answer:
        try:
            return work()
        except Exception as error:
            said = f"what silences it behind {silence.cause} crashed and was left out: "
            mistake = MistakenError(said + describe(error))
            mistake.__cause__ = error
            self.mistakes.append(mistake)
            self._silences.remove(silence)
            return otherwise


def find_silencing(
    rule: AnyRule,
    silences: Sequence[Suppression],
    heard: Mapping[str, Heard],
    mistakes: list[MistakenError],
) -> Silencing | None:
    """Give what may silence subjects of a rule; None where nothing does, as in nearly every plan.

    `heard` are the causes that have spoken; a rule that is its own cause may do so yet.
    """
    listed = [each for each in silences if each.cause in heard or each.cause == rule.id]
    return Silencing(rule, listed, heard, mistakes) if listed else None
