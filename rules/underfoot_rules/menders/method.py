"""States steps of the work as they are to be done, as long as they are still to be done."""

from collections.abc import Iterator

from underfoot.api.rules import Mender, Proposal, ToMend
from underfoot_rules.menders.laid import is_cut, is_laid
from underfoot_rules.menders.spelled import spell
from underfoot_rules.menders.written import Path, change, look_up
from underfoot_rules.method.method_statement import STEPS

# What is done when strips are cut and joined, before they are laid.
_BEFORE_LAYING = {
    "cut_ends_insulated", "connector_tool", "connectors_insulated", "single_conductor_folded",
    "bare_conductor", "floor_cleaned",
}  # fmt: skip
_DO = {
    "floor_cleaned": "Sweep the floor free of nails and grit before laying",
    "elements_taped": "Tape the strips to the insulation",
    "cut_ends_insulated": "Insulate the cut ends of the busbars",
    "connector_tool": "Close the connectors with a ratchet tool",
    "connectors_insulated": "Insulate the connectors on both sides",
    "connectors_recessed": "Let the connectors into the insulation",
    "single_conductor_folded": "Fold a single conductor before it goes into the connector",
    "conduit_closed": "Close the end of the sensor's conduit",
    "sensor_taped": "Tape the sensor to its conduit",
}


def state_step(found: ToMend) -> Iterator[Proposal]:
    """Propose the right way to do a step; what has been done already is a record."""
    key = found.items[0]
    is_done = is_cut if key in _BEFORE_LAYING else is_laid
    if is_done(found.facts, None):
        return
    if key == "bare_conductor":
        bared = found.facts.limits["method-statement"]["bare_conductor"]
        old = look_up(found.data, ("method_statement", key))
        yield _state(
            found, key, f"Bare {bared:g} mm of the conductor", spell(bared, "mm", old or 0)
        )
    elif key == "busbars":
        films = found.facts.films_in_use.values()
        ways = {film.lies.removeprefix("busbars ") for film in films if film.lies is not None}
        for way in sorted(ways) if len(ways) == 1 else ():
            yield _state(found, key, f"Lay the film with its busbars {way}, as its maker asks", way)
    else:
        step = next(each for each in STEPS if each.key == key)
        yield _state(found, key, _DO[key], step.right)


def _state(found: ToMend, key: str, what: str, value: object) -> Proposal:
    path: Path = ("method_statement", key)
    if look_up(found.data, path[:1]) is None:
        edit = change(found.data, path[:1], {key: value})
    else:
        edit = change(found.data, path, value)
    return Proposal(says=f"{what}, and state it.", edits=(edit,))


MENDERS = (Mender(rule="method-statement", propose=state_step),)
