"""Settings files: nearest whole, locked ones only tightened, every change with its reason."""

import textwrap

import pytest
from msgspec.structs import astuple

from underfoot.checking.merging_settings import Placed, merge_settings
from underfoot.checking.origin import Origin
from underfoot.checking.report_builder import may_waive
from underfoot.checking.settings import Settings
from underfoot.reading.problem import Problem
from underfoot.reading.settings_file import read_settings
from underfoot_rules import STANDARD

LOCKED = """
    locked: true
    never_waive: [rcd]
    limits:
      wall-clearance: {minimum: 70, planned: 80, because: local code}
    rules:
      cold-area: {severity: warning, because: local code}
"""


def place(name: str, text: str) -> Placed:
    source = "settings_format: 1\n" + textwrap.dedent(text)
    reading = read_settings(source.encode(), name)
    assert reading.settings is not None, reading.problems
    return Placed(name=name, stated=reading.settings, positions=reading.positions)


def merged(*texts: str) -> tuple[Settings, tuple[Problem, ...]]:
    names = {0: [], 1: ["near.yaml"], 2: ["above.yaml", "near.yaml"]}.get(
        len(texts), ["above.yaml", "between.yaml", "near.yaml"]
    )
    return merge_settings([place(*pair) for pair in zip(names, texts, strict=True)], [STANDARD])


def test_the_default_has_no_origin() -> None:
    settings, problems = merged()
    assert not problems
    assert settings.limits["wall-clearance"]["minimum"].value == 50
    assert all(
        limit.origin is None for limits in settings.limits.values() for limit in limits.values()
    )


def test_a_limit_keeps_its_origin() -> None:
    settings, problems = merged("limits: {wall-clearance: {minimum: 2 in, because: manual 4}}")
    assert not problems
    limit = settings.limits["wall-clearance"]["minimum"]
    assert limit.value == pytest.approx(50.8)  # 2 x 25.4 mm
    assert limit.origin is not None
    assert (limit.origin.file, limit.origin.line, limit.origin.because) == (
        "near.yaml",
        2,
        "manual 4",
    )
    assert settings.limits["wall-clearance"]["planned"].origin is None


def test_the_nearest_wins_whole() -> None:
    settings, problems = merged(
        "limits: {wall-clearance: {minimum: 70, because: a}}",
        "limits: {fixture-clearance: {minimum: 60, because: b}}",
    )
    assert not problems
    assert settings.limits["wall-clearance"]["minimum"].value == 50
    assert settings.limits["fixture-clearance"]["minimum"].value == 60


def test_under_a_lock_tightening_holds() -> None:
    settings, problems = merged(
        LOCKED,
        """
        limits: {wall-clearance: {minimum: 90, because: manual}}
        rules: {cold-area: {severity: error, because: manual}}
        never_waive: [element-overlap]
        """,
    )
    assert not problems
    assert settings.limits["wall-clearance"]["minimum"].value == 90
    assert settings.limits["wall-clearance"]["planned"].value == 80
    assert settings.severities["cold-area"][0] == "error"
    assert {"rcd", "element-overlap", "wall-clearance", "cold-area"} <= settings.never_waive


@pytest.mark.parametrize(
    ("near", "path"),
    [
        ("limits: {wall-clearance: {minimum: 60, because: x}}", "limits.wall-clearance.minimum"),
        ("limits: {fixture-clearance: {minimum: 40, because: x}}",
         "limits.fixture-clearance.minimum"),
        ("limits: {element-overlap: {tolerance: 2, because: x}}",
         "limits.element-overlap.tolerance"),
        ("rules: {rcd: {off: true, because: x}}", "rules.rcd.off"),
        ("rules: {cold-area: {severity: note, because: x}}", "rules.cold-area.severity"),
        ("rules: {rcd: {severity: warning, because: x}}", "rules.rcd.severity"),
    ],
)  # fmt: skip
def test_under_a_lock_loosening_is_refused(near: str, path: str) -> None:
    settings, problems = merged(LOCKED, near)
    assert [problem.path for problem in problems] == [path]
    assert problems[0].file == "near.yaml"
    assert problems[0].line == 2
    assert "above.yaml is locked" in problems[0].message
    assert settings.limits["wall-clearance"]["minimum"].value == 70
    assert "rcd" not in settings.off


def test_a_lock_reaches_over_a_file_between() -> None:
    _, problems = merged(
        LOCKED,
        "limits: {wall-clearance: {minimum: 10, because: never read}}",
        "limits: {wall-clearance: {minimum: 60, because: x}}",
    )
    assert [problem.file for problem in problems] == ["near.yaml"]


def test_a_nearer_lock_cannot_undo_an_outer_one() -> None:
    _, problems = merged(
        LOCKED,
        "locked: true\nlimits: {wall-clearance: {minimum: 60, because: x}}",
        "rules: {}",
    )
    assert [problem.file for problem in problems] == ["between.yaml"]


@pytest.mark.parametrize(
    ("text", "path", "words"),
    [
        ("limits: {wall-clearence: {minimum: 60, because: x}}", "limits.wall-clearence",
         "did you mean `wall-clearance`"),
        ("limits: {wall-clearance: {minimal: 60, because: x}}", "limits.wall-clearance.minimal",
         "did you mean `minimum`"),
        ("limits: {wall-clearance: {minimum: 10 A, because: x}}", "limits.wall-clearance.minimum",
         "10 A"),
        ("limits: {wall-clearance: {minimum: -1, because: x}}", "limits.wall-clearance.minimum",
         "below 0"),
        ("limits: {circuit-current: {maximum: 8, because: x}}", "limits.circuit-current.maximum",
         "8 A"),
        ("never_waive: [rdc]", "never_waive.0", "did you mean `rcd`"),
        ("rule_sets: [acme_rules]", "rule_sets.0", "no rule set called `acme_rules`"),
    ],
)  # fmt: skip
def test_mistakes_are_located_and_say_how_to_write_it(text: str, path: str, words: str) -> None:
    _, problems = merged(text)
    assert [problem.path for problem in problems] == [path]
    assert words in problems[0].message


def test_the_standard_set_may_be_used_alone() -> None:
    settings, problems = merged("rule_sets: []")
    assert not problems
    assert settings.rule_sets == ()


def test_leave_to_waive_what_protects_life_is_given_by_name_and_reason() -> None:
    settings, problems = merged("may_waive: {rcd: the house has one for all}")
    assert not problems
    assert settings.may_waive == {
        "rcd": Origin(file="near.yaml", line=2, because="the house has one for all")
    }


def test_never_waive_goes_before_leave_to_waive() -> None:
    settings, problems = merged("never_waive: [rcd]\nmay_waive: {rcd: x}")
    assert not problems
    assert "rcd" in settings.never_waive
    assert may_waive(settings) == ()


def test_under_a_lock_no_leave_is_given_that_was_not_given_before() -> None:
    settings, problems = merged("locked: true", "may_waive: {rcd: x}")
    assert [problem.path for problem in problems] == ["may_waive.rcd"]
    assert "by letting plans waive it" in problems[0].message
    assert not settings.may_waive
    _, problems = merged("locked: true\nmay_waive: {rcd: y}", "may_waive: {rcd: x}")
    assert not problems


def test_a_locked_file_may_change_a_rule_and_let_it_be_waived() -> None:
    text = "locked: true\nlimits: {rcd: {maximum: 10 mA, because: z}}"
    settings, problems = merged(text)
    assert not problems
    assert "rcd" in settings.never_waive
    settings, problems = merged(f"{text}\nmay_waive: {{rcd: y}}")
    assert not problems
    assert "rcd" not in settings.never_waive
    assert [rule for rule, _ in may_waive(settings)] == ["rcd"]


@pytest.mark.parametrize(
    ("rule", "words"),
    [("strip-gap", "a plan may waive strip-gap without it"), ("rdc", "did you mean `rcd`")],
)
def test_leave_that_nobody_needs_is_a_mistake(rule: str, words: str) -> None:
    _, problems = merged(f"may_waive: {{{rule}: x}}")
    assert [problem.path for problem in problems] == [f"may_waive.{rule}"]
    assert words in problems[0].message


@pytest.mark.parametrize(
    ("rule", "severity", "refused"),
    [
        # What may be an error keeps a plan from "no objection": less than an error loosens that.
        ("rcd-trip", "error", False),
        ("rcd-trip", "warning", True),
        ("rcd-trip", "note", True),
        ("heat-demand", "note", False),
        ("heat-demand", "error", False),
    ],
)
def test_under_a_lock_what_is_not_judged_is_not_made_less_of(
    rule: str, severity: str, refused: bool
) -> None:
    near = f"rules: {{{rule}: {{undecided: {severity}, because: x}}}}"
    _, problems = merged("locked: true", near)
    assert [problem.path for problem in problems] == [f"rules.{rule}.undecided"] * refused
    assert not merged(near)[1]


def test_all_rules_may_be_kept_from_waivers() -> None:
    every = {rule.id for rule in STANDARD.rules}
    settings, problems = merged("never_waive: all")
    assert not problems
    assert settings.never_waive == every
    assert settings.never_waive_all_by == "near.yaml"
    # Above a lock nothing of it is taken back; without one the nearest file counts whole.
    settings, problems = merged("never_waive: all\nlocked: true", "never_waive: []")
    assert not problems
    assert (settings.never_waive, settings.never_waive_all_by) == (every, "above.yaml")
    settings, problems = merged("never_waive: all", "never_waive: [rcd]")
    assert (settings.never_waive, settings.never_waive_all_by) == ({"rcd"}, None)
    settings, problems = merged("locked: true", "never_waive: all")
    assert not problems
    assert settings.never_waive == every


@pytest.mark.parametrize("word", ["al", "ALL", "[all]", "none", "5"])
def test_only_that_one_word_means_all(word: str) -> None:
    source = f"settings_format: 1\nnever_waive: {word}\n"
    reading = read_settings(source.encode(), "near.yaml")
    told = [problem.message for problem in reading.problems]
    if reading.settings is not None:
        told = [problem.message for problem in merged(f"never_waive: {word}")[1]]
    assert len(told) == 1


FLOOR = "undecided: {severity: warning, because: x}\n"


def test_a_floor_holds_for_what_any_rule_cannot_judge() -> None:
    settings, problems = merged(
        FLOOR + "rules: {rcd: {undecided: error, because: y}, job: {undecided: note, because: y}}"
        .replace("job:", "cold-area:")
    )  # fmt: skip
    assert not problems
    origin = Origin(file="near.yaml", line=2, because="x")
    assert settings.undecided_for("wall-clearance") == ("warning", origin)
    assert settings.undecided_for("cold-area") == ("warning", origin)  # its own does not undercut
    assert settings.undecided_for("rcd") == ("error", Origin(file="near.yaml", line=3, because="y"))
    assert merged()[0].undecided_for("rcd") is None


@pytest.mark.parametrize(
    ("nearer", "refused"),
    [
        ("undecided: {severity: note, because: z}", "what no rule can judge"),
        ("rules: {cold-area: {undecided: note, because: z}}", "what cold-area cannot judge"),
        ("undecided: {severity: warning, because: z}", ""),
        ("undecided: {severity: error, because: z}", ""),
        ("rules: {cold-area: {undecided: warning, because: z}}", ""),
        ("rules: {cold-area: {undecided: error, because: z}}", ""),
    ],
)
def test_below_a_lock_a_floor_is_only_raised(nearer: str, refused: str) -> None:
    settings, problems = merged(FLOOR + "locked: true", nearer)
    assert [refused in problem.message for problem in problems] == ([True] if refused else [])
    if "error" in nearer:
        assert settings.undecided_for("cold-area") == (
            "error",
            Origin(file="near.yaml", line=2, because="z"),
        )


def test_below_a_lock_nothing_is_ignored() -> None:
    settings, problems = merged("ignore: [old]", "ignore: ['*/draft-*']")
    assert not problems
    assert tuple(map(astuple, settings.ignore)) == (
        ("old", "above.yaml"),
        ("*/draft-*", "near.yaml"),
    )
    settings, problems = merged("ignore: [old]\nlocked: true", "ignore: [a.yaml]")
    assert [(each.file, each.path, each.line) for each in problems] == [("near.yaml", "ignore", 2)]
    assert "which plans are checked" in problems[0].message
    assert tuple(map(astuple, settings.ignore)) == (("old", "above.yaml"),)
    # A lock between holds what is nearer, not what is above it.
    settings, problems = merged("ignore: [old]", "locked: true", "ignore: [a.yaml]")
    assert len(problems) == 1
    assert tuple(map(astuple, settings.ignore)) == (("old", "above.yaml"),)
