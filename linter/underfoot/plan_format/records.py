"""What a drawing cannot show: the job, the method, the tests, the papers, the waivers."""

from underfoot.plan import Handover, Job, Measurement, MethodStatement, Waiver
from underfoot.plan_format import kinds
from underfoot.plan_format.declaration import ById, Choice, IdOf, Key, Text, Thing

# fmt: off
JOB = Thing(
    "job", "the job", "Who and what; read by the paperwork rules and printed on every sheet.",
    keys=(
        Key("title", kinds.TEXT, "What the job is called.", examples=("Harbour View, plot 7",)),
        Key("reference", kinds.TEXT, "The drawing's or the job's number.", examples=("HV7-FH",)),
        Key("revision", kinds.TEXT, "The revision of this plan.", examples=("P2",)),
        Key("date", kinds.DATE, "The date of this revision."),
        Key("site", kinds.TEXT, "Where the floor is laid.", examples=("7 Harbour View",)),
        Key("client", kinds.TEXT, "Whom it is laid for."),
        Key("drawn_by", kinds.TEXT, "Who drew the plan."),
        Key("measured", Choice(("on site", "from a drawing")), "Where the measurements come from."),
    ),
    makes=Job,
)

METHOD_STATEMENT = Thing(
    "method_statement", "the method statement",
    "What a drawing cannot show but the plan must state.",
    keys=(
        Key("floor_cleaned", kinds.YES_NO, "Is the floor cleaned before laying?"),
        Key("busbars", Choice(("down", "up")),
            "The side that the busbars lie on, as the film's `lies` wants."),
        Key("elements_taped", kinds.YES_NO, "Are the elements taped down?"),
        Key("cut_ends_insulated", kinds.YES_NO, "Are the cut ends insulated?"),
        Key("connector_tool", Choice(("ratchet", "pliers", "other")),
            "What the connectors are pressed with."),
        Key("connectors_insulated", Choice(("both sides", "one side", "no")),
            "Where the connectors are insulated."),
        Key("connectors_recessed", kinds.YES_NO,
            "Are the connectors recessed into the insulation, being thicker than the film?"),
        Key("single_conductor_folded", kinds.YES_NO,
            "Is a single conductor folded back to fill its connector?"),
        Key("bare_conductor", kinds.LENGTH_FROM_ZERO, "The length bared for the connector.",
            examples=(6,)),
        Key("conduit_closed", kinds.YES_NO,
            "Is the end of the sensor's conduit closed against debris?"),
        Key("sensor_taped", kinds.YES_NO,
            "Is the sensor taped to its conduit, so that it stays where it is drawn?"),
    ),
    makes=MethodStatement,
    inside="steps",
)

TEST = Thing(
    "test", "a test", "One visit with the meter: the readings of a circuit at a stage.",
    keys=(
        Key("circuit", IdOf("circuit"), "The circuit, by id.", needed=True),
        Key("stage", Choice(("made up", "laid", "covered")),
            "When: strips cut and joined; taped down, before the membrane; covered.", needed=True),
        Key("date", kinds.DATE, "The day."),
        Key("load_resistance", kinds.RESISTANCE, "Resistance of the circuit's elements together."),
        Key("strips", ById(kinds.RESISTANCE, title="readings of strips", of_the_plan=False),
            "Resistance of single strips, by id.", examples=({"A1": "275 ohm"},)),
        Key("insulation_resistance", kinds.INSULATION_RESISTANCE, "Insulation resistance."),
        Key("test_voltage", kinds.VOLTAGE,
            "The voltage that it was tested at.", examples=("500 V",)),
        Key("against", Choice(("grid", "earth")), "What the insulation was tested against."),
        Key("thermostat_disconnected", kinds.YES_NO, "Was the thermostat disconnected?"),
        Key("rcd_trip_time", kinds.TIME, "The RCD's trip time."),
        Key("ambient", kinds.TEMPERATURE, "The temperature at the time.", examples=("18 degC",)),
        Key("tested_by", kinds.TEXT, "Who tested."),
        Key("photo", kinds.TEXT, "The name of a photograph."),
    ),
    examples=({"circuit": "C1", "stage": "laid", "load_resistance": "94.5 ohm"},),
    makes=Measurement,
)

HANDOVER = Thing(
    "handover", "the handover", "The papers handed over.",
    keys=(
        Key("diagram", kinds.YES_NO, "Is there a diagram of the floor?"),
        Key("certificate", Choice(("signed", "unsigned", "none")), "The certificate."),
        Key("left_with_customer", kinds.YES_NO, "Were both left with the customer?"),
    ),
    makes=Handover,
)

WAIVER = Thing(
    "waiver", "a waiver", "A finding that somebody agreed to leave as it is.",
    keys=(
        Key("rule", Text(may_be_empty=False), "The rule, by id.", examples=("wall-clearance",),
            needed=True),
        Key("item", kinds.TEXT,
            "An id in the plan, or a finding's item; left out, it is the whole plan.",
            examples=("A4",)),
        Key("reason", kinds.TEXT, "Why."),
        Key("agreed_by", kinds.TEXT, "Who agreed."),
        Key("until", kinds.DATE, "The last day that it holds; left out, it does not lapse."),
    ),
    examples=(
        {"rule": "wall-clearance", "item": "A4", "reason": "boxed-in pipe agreed on site",
         "agreed_by": "design lead"},
    ),
    makes=Waiver,
)
