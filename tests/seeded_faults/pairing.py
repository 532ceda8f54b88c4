"""Pairs of damages to one plan: two that do not depend on each other must both be found.

The second is done to the plan that the first has damaged, so that it says itself what it causes
there. Whether the first still causes its own finding is asked of the arithmetic beside the rules;
where that does not know the finding, the two must touch different things of the plan. Pairs of
which one silences the other are set aside.
"""

import random
from collections.abc import Iterator, Sequence
from typing import Any

from msgspec import Struct

from tests.second_opinion.comparing import UnclearError
from tests.second_opinion.listing import list_faults
from tests.seeded_faults.judging import BENCH, covers, damage, find
from tests.seeded_faults.trying import Right
from underfoot.api.rules import Damaged, Data, Expected, Mutation
from underfoot.checking.check import Checker
from underfoot_rules import STANDARD
from underfoot_rules.mutations.expand_rows import open_rows

Path = tuple[Any, ...]
# The damages and the arithmetic beside the rules are made for right plans: where the first damage
# has taken away what they stand on, or lies too near to a limit, a pair is set aside.
_TOO_FAR = (UnclearError, LookupError, ArithmeticError, TypeError, ValueError)

# Damages that take away what other damages are about, or change which circuit carries what, or
# that hang on what else is wrong with the plan, or leave a room without any floor to speak of:
# nothing else can be held to be apart from them.
_FAR_REACHING = frozenset(
    {
        "strips-forgotten",
        "plan-without-strips",
        "room-in-metres",
        "jumper-on-the-other-circuit",
        "fed-twice",
        "waiver-does-not-hold",
    }
)

# How deep a channel may go is judged against the insulation that it is cut into; whether a covering
# resists too little to be meant, by how thick it is.
_ONE_WITHOUT_THE_OTHER = (
    frozenset({"channel-too-deep", "insulation-forgotten"}),
    frozenset({"resistance-slipped", "thin-covering"}),
)


class PairVerdict(Struct, frozen=True, kw_only=True):
    """What a plan with two damages came to: the finding that each causes, and those missed."""

    first: str
    second: str
    plan: str
    seed: int
    caused: tuple[Expected, Expected]
    missed: tuple[Expected, ...]


def try_pair(
    first: Mutation, second: Mutation, right: Right, seed: int, bench: Checker = BENCH
) -> PairVerdict | None:
    """Do both damages to a plan and look for both findings; None where they do not go together."""
    names = {first.name, second.name}
    if names & _FAR_REACHING or names in _ONE_WITHOUT_THE_OTHER:
        return None
    one = damage(first, right.plan, seed)
    if one is None:
        return None
    try:
        both = damage(second, one.data, seed)
        if both is None or not _go_together(right.plan, one, both):
            return None
    except _TOO_FAR:
        return None
    caused = (one.expected[0], both.expected[0])
    if any(covers(each, right.found) for each in caused):
        return None
    found = find(both.data, bench)
    missed = tuple(each for each in caused if not covers(each, found))
    return PairVerdict(
        first=first.name,
        second=second.name,
        plan=right.name,
        seed=seed,
        caused=caused,
        missed=missed,
    )


def draw_pairs(rights: Sequence[Right], seed: int, bench: Checker = BENCH) -> Iterator[PairVerdict]:
    """Draw pairs without end, and judge those that go together."""
    rng = random.Random(f"pairs {seed}")
    while True:
        first, second = rng.sample(STANDARD.mutations, 2)
        right = rng.choice(rights)
        verdict = try_pair(first, second, right, rng.randrange(1_000_000), bench)
        if verdict is not None:
            yield verdict


def _go_together(plan: Data, one: Damaged, both: Damaged) -> bool:
    own, other = one.expected[0], both.expected[0]
    if own.identity == other.identity:
        return False
    rules = {each.rule for each in (*one.expected, *both.expected)}
    if any(
        silence.cause in rules and {own.rule, other.rule} & set(silence.silenced)
        for silence in STANDARD.silences
    ):
        return False
    if own in list_faults(one.data):
        return own in list_faults(both.data)
    return are_apart(list_changes(plan, one.data), list_changes(one.data, both.data))


def list_changes(old: Data, new: Data) -> list[Path]:
    """List the paths of what differs between two plans, their rows opened."""
    return list(_changes(open_rows(old), open_rows(new), ()))


def _changes(old: Any, new: Any, path: Path) -> Iterator[Path]:
    if isinstance(old, dict) and isinstance(new, dict):
        for key in dict.fromkeys((*old, *new)):
            if key in old and key in new:
                yield from _changes(old[key], new[key], (*path, key))
            else:
                yield (*path, key)
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for place, (was, is_now) in enumerate(zip(old, new, strict=True)):
            yield from _changes(was, is_now, (*path, place))
    elif old != new:
        yield path


def are_apart(some: Sequence[Path], others: Sequence[Path]) -> bool:
    """Tell whether no change of one lies in what the other has changed."""
    return not any(path[: len(other)] == other[: len(path)] for path in some for other in others)
