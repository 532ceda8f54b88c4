"""Says what must hold where no figure holds: what a move or a cut would bring, as things to see to.

Advice that was tried and brought something is not given in figures; it names what is in the way.
"""

from collections.abc import Iterable, Sequence

from underfoot.api.rules import join_names
from underfoot_rules.trying import Fault

# What is to be seen to, by rule, with the things that the rule would name.
_SEE_TO = {
    "lead-under-element": "lay lead {0} anew, so that no strip lies over it",
    "lead-thickness": "see that lead {0} is not thicker than the insulation that it lies in",
    "lead-near-heat": "keep lead {0} clear of {1}",
    "lead-under-fixture": "keep lead {0} clear of {1}",
    "lead-outside-room": "keep lead {0} inside the room, clear of the wall",
    "lead-on-lead": "keep lead {0} off the others",
    "lead-joint": "take lead {0} round {1}",
    "lead-under-nails": "keep {0} from under {1}, which is nailed",
    "strip-gap": "leave no gap between {0} and {1}",
    "sensor-near-lead": "keep lead {0} and the sensor's conduit apart",
    "sensor-way": "lay the sensor's conduit where nothing bars it",
    "sensor-channel": "look at the depth of its channel there",
    "sensor-cable-reach": "take a sensor whose cable is long enough",
    "floor-coverage": "see that enough of the floor stays heated",
    "heat-demand": "see that the floor still gives enough heat",
    "load-resistance": "test circuit {0} anew",
    "strip-readings": "test circuit {0} anew",
    "resistance-drift": "test circuit {0} anew",
    "circuit-feed": "draw a lead to {0}",
    "circuit-current": "keep circuit {0} within what one may draw",
    "breaker-rating": "see to the breaker of {0}",
    "cable-capacity": "see that the conductors of {0} bear the current",
    "voltage-drop": "see that the conductors of {0} bear the current",
    "thermostat-rating": "see that the thermostat can switch it",
    "supply-capacity": "see that the supply bears it",
    "source-rating": "take a source that bears it",
    "rcd-leakage": "see to the RCD of {0}",
    "covering-output": "lay no more under {0} than it bears",
    "film-temperature": "see that no film gets too hot",
    "box-place": "keep the junction box off stoves",
    "box-reach": "keep the junction box within reach",
    "thermostat-place": "keep the thermostat off stoves and within reach",
    "bath-zone": "keep it outside all zones of {1}",
    "wall-clearance": "keep {0} clear of the wall",
    "fixture-clearance": "keep {0} clear of {1}",
    "element-overlap": "keep {0} off {1}",
    "joint-crossing": "keep {0} off {1}",
}
# What a film of another output must suit.
_FILM_SUITS = {
    "where circuit, conductors and supply bear it": frozenset(
        {"circuit-current", "breaker-rating", "cable-capacity", "thermostat-rating",
         "voltage-drop", "rcd-leakage", "supply-capacity", "source-rating"}
    ),
    "where the covering bears it": frozenset({"covering-output"}),
    "which may then give too little heat": frozenset({"heat-demand"}),
    "which may then get too hot": frozenset({"film-temperature"}),
    "tested anew": frozenset({"load-resistance", "strip-readings", "resistance-drift"}),
}  # fmt: skip
MOVE_SENSOR = "move the sensor, so that it lies well below a strip"
_NEAR_SENSOR = frozenset(
    {"sensor-under-element", "sensor-depth", "sensor-seam", "sensor-other-strip", "sensor-covered",
     "sensor-near-heat", "floor-limit"}
)  # fmt: skip
# More than so many are not named one by one.
_MOST_NAMED = 4
UNTRIED = "see that no lead then lies under a strip, and that the sensor lies well below one"


def list_what_to_see_to(brought: Iterable[Fault]) -> list[str]:
    """Say what must be seen to, for what a change would bring: a clause for each thing."""
    return list(dict.fromkeys(_see_to(fault) for fault in brought))


def say_apart(brought: Iterable[Fault]) -> str:
    """Say what another film must suit, in a few words to be put after it; empty for nothing."""
    said = []
    for why, rules in _FILM_SUITS.items():
        if any(fault.rule in rules for fault in brought):
            said.append(why)
    return f" ({join_names(said)})" if said else ""


def join_clauses(said: Sequence[str]) -> str:
    """Join what is to be seen to; what is more than can be kept in mind is left to a new check."""
    if len(said) > _MOST_NAMED:
        said = [*said[: _MOST_NAMED - 1], "look at all the rest with a new check"]
    return ", and ".join((", ".join(said[:-1]), said[-1])) if len(said) > 1 else said[0]


def _see_to(fault: Fault) -> str:
    if fault.rule in _NEAR_SENSOR:
        return MOVE_SENSOR
    said = _SEE_TO.get(fault.rule)
    if said is None:
        return f"see what {fault.rule} then says"
    return said.format(*fault.items)
