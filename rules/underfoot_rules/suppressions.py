"""One cause, one voice: which rules are silent where another has already spoken."""

from collections.abc import Callable, Iterable
from typing import Any

from underfoot.api.rules import Finding, Rule, Subject, Suppression
from underfoot_rules import suppression_keys as keys
from underfoot_rules.records.test_stages import Lacking


def whole_circuit(subject: Subject[object], finding: Finding) -> bool:
    """A finding about a circuit, not about a strip or a lead of a room."""
    return subject.room is None


def nothing_there(subject: Subject[object], finding: Finding) -> bool:
    """A finding that measured nothing, because there is nothing."""
    return finding.measured is None


def rcd_miswritten(subject: Subject[object], finding: Finding) -> bool:
    """A residual current that cannot be meant: no share of it can be worked out."""
    return subject.items[-1:] == ("rcd",)


def no_test(subject: Subject[object], finding: Finding) -> bool:
    """A stage without any test, not one of which a reading is missing."""
    return isinstance(subject.payload, Lacking) and not subject.payload.is_recorded


def room_misdrawn(subject: Subject[object], finding: Finding) -> bool:
    """An outline that cannot be meant: nothing drawn in it can be judged."""
    return subject.items == ("outline",) and finding.severity == "error"


def rests_on(what: str) -> Callable[[Subject[object], Finding], bool]:
    """Withhold the findings that say they rest on it: those that do not are told all the same."""
    return lambda subject, finding: what in finding.rests_on


SENSOR_RULES = (
    "sensor-under-element",
    "sensor-depth",
    "sensor-seam",
    "sensor-channel",
    "sensor-cable-reach",
    "sensor-near-lead",
    "sensor-near-heat",
    "sensor-covered",
    "sensor-way",
)
HEAT_RULES = ("floor-temperature", "downward-loss", "heat-demand")

SILENCES = (
    Suppression(
        cause="element-outside-room",
        silenced=("wall-clearance",),
        cause_keys=keys.by_items,
        reason="the strip reaches outside the room (element-outside-room)",
    ),
    Suppression(
        cause="odd-figure",
        silenced=("cut-length",),
        cause_keys=keys.by_row,
        subject_keys=keys.by_strip_of,
        reason="the length of the strip cannot be meant (odd-figure)",
    ),
    Suppression(
        cause="sensor-missing",
        silenced=SENSOR_RULES,
        cause_keys=keys.by_room,
        reason="there is no floor sensor (sensor-missing)",
    ),
    Suppression(
        cause="box-place",
        silenced=("box-reach",),
        cause_keys=keys.by_items,
        reason="the junction box must leave its place (box-place)",
    ),
    Suppression(
        cause="sensor-under-element",
        silenced=("sensor-depth", "sensor-seam", "sensor-other-strip"),
        cause_keys=keys.by_room,
        reason="the sensor is not below a strip (sensor-under-element)",
    ),
    Suppression(
        cause="nothing-heated",
        silenced=("lead-loose-end",),
        cause_keys=keys.by_room_without_strips,
        subject_keys=keys.by_room,
        reason="there are no strips for leads to end at (nothing-heated)",
    ),
    Suppression(
        cause="nothing-heated",
        silenced=("thermostat-idle",),
        cause_keys=keys.by_room_without_strips,
        subject_keys=keys.by_room,
        reason="there are no strips to switch (nothing-heated)",
    ),
    Suppression(
        cause="floor-unlimited",
        silenced=("sensor-other-strip",),
        cause_keys=keys.by_room_not_felt,
        subject_keys=keys.by_room,
        reason="another thermostat switches the room (floor-unlimited)",
    ),
    Suppression(
        cause="thermostat-missing",
        silenced=("thermostat-idle",),
        cause_keys=keys.by_room,
        reason="circuits of the room are on no thermostat (thermostat-missing)",
    ),
    Suppression(
        cause="thermostat-missing",
        silenced=(
            "thermostat-height",
            "thermostat-rating",
            "thermostat-circuits",
            "floor-limit",
            "contact-protection",
        ),
        cause_keys=keys.by_room,
        subject_keys=keys.by_room_without_thermostat,
        reason="a thermostat is missing (thermostat-missing)",
    ),
    Suppression(
        cause="thermostat-rating",
        silenced=("contact-protection",),
        cause_keys=keys.by_items,
        reason="the contact carries too much as it is (thermostat-rating)",
    ),
    Suppression(
        cause="film-voltage",
        silenced=("circuit-current",),
        cause_keys=keys.by_items_each,
        subject_keys=keys.by_films_on,
        reason="the film is not made for this supply (film-voltage)",
    ),
    Suppression(
        cause="film-voltage",
        silenced=("breaker-rating", "cable-capacity"),
        cause_keys=keys.by_items_each,
        subject_keys=keys.by_films_fed,
        reason="the film is not made for this supply (film-voltage)",
        withholds=rests_on("current"),
    ),
    Suppression(
        cause="film-voltage",
        silenced=(
            "thermostat-rating",
            "voltage-drop",
            "supply-capacity",
            "film-temperature",
            *HEAT_RULES,
        ),
        cause_keys=keys.by_items_each,
        subject_keys=keys.by_films_fed,
        reason="the film is not made for this supply (film-voltage)",
    ),
    Suppression(
        cause="circuit-feed",
        silenced=("circuit-feed",),
        cause_keys=keys.by_circuit,
        reason="no lead feeds the circuit (circuit-feed)",
        when=whole_circuit,
    ),
    Suppression(
        cause="rcd",
        silenced=("rcd-trip",),
        cause_keys=keys.by_protection,
        reason="there is no RCD (rcd)",
        when=nothing_there,
        withholds=rests_on("rcd"),
    ),
    Suppression(
        cause="odd-figure",
        silenced=("rcd-leakage",),
        cause_keys=keys.by_items_each,
        reason="the residual current of its RCD cannot be meant (odd-figure)",
        when=rcd_miswritten,
    ),
    Suppression(
        cause="insulation-missing",
        silenced=(
            "insulation-board",
            "insulation-cover",
            "insulation-overlap",
            "insulation-bond",
            "insulation-layers",
            "insulation-taped",
            "lead-thickness",
            *HEAT_RULES,
        ),
        cause_keys=keys.by_room,
        reason="there is no insulation (insulation-missing)",
    ),
    Suppression(
        cause="covering-fixing",
        silenced=("lead-under-nails",),
        cause_keys=keys.by_covering,
        reason="the covering is nailed over the strips (covering-fixing)",
    ),
    Suppression(
        cause="membrane-missing",
        silenced=("membrane-cover", "membrane-overlap", "membrane-taped"),
        cause_keys=keys.by_room,
        reason="there is no membrane (membrane-missing)",
    ),
    Suppression(
        cause="test-stages",
        silenced=("load-resistance", "insulation-resistance", "resistance-drift", "rcd-trip"),
        cause_keys=keys.by_stage,
        reason="the test is missing (test-stages)",
        when=no_test,
    ),
)


# Rules that look at sizes and places in a room, beside all of the topics below.
DRAWN_TOPICS = {"laying", "leads", "openings", "sensor"}
DRAWN_RULES = {
    "bath-zone",
    "box-place",
    "box-reach",
    "cable-capacity",
    "downward-loss",
    "heat-demand",
    "insulation-bond",
    "insulation-cover",
    "insulation-overlap",
    "membrane-cover",
    "membrane-overlap",
    "selv-voltage",
    "thermostat-place",
}
STATED_RULES = {"lead-recessed", "openings-missing", "sensor-missing"}
# Of these, rules that hold what is drawn in a room against itself, and not against its outline.
AMONG_RULES = {
    "covered-floor",
    "element-overlap",
    "fixture-clearance",
    "lead-under-element",
    "sensor-under-element",
}


def silence_drawn_room(rules: Iterable[Rule[Any]]) -> tuple[Suppression, ...]:
    """Silence what looks at sizes and places in a room whose size cannot be meant."""
    drawn = [
        rule.id
        for rule in rules
        if rule.id in DRAWN_RULES or (rule.topic in DRAWN_TOPICS and rule.id not in STATED_RULES)
    ]
    says = "the size of the room cannot be meant (odd-figure)"
    return tuple(
        Suppression(
            cause="odd-figure",
            silenced=tuple(name for name in drawn if (name in AMONG_RULES) == among),
            cause_keys=keys.by_room_drawn_like_it if among else keys.by_room,
            subject_keys=keys.by_room,
            reason=says,
            when=room_misdrawn,
        )
        for among in (False, True)
    )
