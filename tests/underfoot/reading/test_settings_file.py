import pytest

from underfoot.reading import SettingsReading, read_settings
from underfoot.reading.quantities import read as read_quantity
from underfoot.reading.settings_file import SettingsFile, StatedLimits, StatedRule

WHOLE = """\
settings_format: 1
note: for the whole estate
limits:
  wall-clearance: {minimum: 100, planned: 0.12 m, because: "maker's manual, section 4"}
  cable-capacity: {lead_method: A2, because: as laid}
rules:
  floor-coverage: {severity: note, because: agreed with the client}
  cold-area: {off: true, because: agreed with the client}
  heat-demand: {undecided: error, because: every plan here must show its heat loss, note: x}
rule_sets: [acme_rules]
never_waive: [rcd, lead-under-element]
locked: true
"""


def read(text: str) -> SettingsReading:
    return read_settings(text.encode(), "site/underfoot.yaml")


def test_settings_keep_values_as_written() -> None:
    reading = read(WHOLE)
    assert reading.problems == ()
    assert reading.settings == SettingsFile(
        limits={
            "wall-clearance": StatedLimits(
                path="limits.wall-clearance",
                line=4,
                because="maker's manual, section 4",
                values={"minimum": 100, "planned": "0.12 m"},
            ),
            "cable-capacity": StatedLimits(
                path="limits.cable-capacity",
                line=5,
                because="as laid",
                values={"lead_method": "A2"},
            ),
        },
        rules={
            "floor-coverage": StatedRule(
                path="rules.floor-coverage",
                line=7,
                because="agreed with the client",
                severity="note",
            ),
            "cold-area": StatedRule(
                path="rules.cold-area", line=8, because="agreed with the client", off=True
            ),
            "heat-demand": StatedRule(
                path="rules.heat-demand",
                line=9,
                because="every plan here must show its heat loss",
                undecided="error",
            ),
        },
        rule_sets=("acme_rules",),
        never_waive=("rcd", "lead-under-element"),
        locked=True,
    )
    assert reading.positions["limits.wall-clearance.planned"] == (4, 34)
    assert read_quantity("0.12 m", "mm") == 120


def test_settings_that_change_nothing() -> None:
    assert read("settings_format: 1\n").settings == SettingsFile(limits={}, rules={})


@pytest.mark.parametrize(
    ("text", "path", "message"),
    [
        (
            "limits: {wall-clearance: {minimum: 100}}",
            "limits.wall-clearance",
            "a rule's entry needs `because`, which is missing: write for example `because: "
            "maker's manual, section 4`",
        ),
        (
            "rules: {cold-area: {off: true}}",
            "rules.cold-area",
            "a rule's entry needs `because`, which is missing: write for example `because: "
            "maker's manual, section 4`",
        ),
        (
            'rules: {cold-area: {off: true, because: ""}}',
            "rules.cold-area.because",
            "`because`: this is empty: write a reason",
        ),
        (
            "rules: {cold-area: {severity: fatal, because: x}}",
            "rules.cold-area.severity",
            "`severity`: `fatal` is not known here: write `error`, `warning` or `note`",
        ),
        (
            "rules: {cold-area: {sevirity: note, because: x}}",
            "rules.cold-area.sevirity",
            "`sevirity` is no key of a rule's entry; did you mean `severity`?",
        ),
        ("lokced: true", "lokced", "`lokced` is no key of a settings file; did you mean `locked`?"),
        (
            "locked: yes",
            "locked",
            "`locked`: the text `yes` is neither true nor false: write `true`",
        ),
    ],
)
def test_faulty_settings(text: str, path: str, message: str) -> None:
    reading = read(f"settings_format: 1\n{text}\n")
    assert reading.settings is None
    (problem,) = reading.problems
    assert (problem.path, problem.message) == (path, message)
    assert (problem.line, problem.file) == (2, "site/underfoot.yaml")


@pytest.mark.parametrize(
    "text", ["", "- 1", "plan_format: 1", "settings_format: 9", "a: [", "limits: {a: &a {}}"]
)
def test_what_is_no_settings_file(text: str) -> None:
    reading = read(text)
    assert reading.settings is None
    assert reading.problems
    assert {problem.file for problem in reading.problems} == {"site/underfoot.yaml"}
