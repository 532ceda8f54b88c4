"""The program names no rule: what it takes from one it finds by what the rule says it serves."""

import re
from pathlib import Path
from typing import Any, get_args

import pytest
from msgspec.structs import replace

import underfoot
from underfoot.api.rules import Basis, Limit, Rule
from underfoot.checking.assuming import TAKEN
from underfoot.checking.merging_settings import Placed, merge_settings
from underfoot.checking.rule import LimitUse, RuleUse
from underfoot.checking.rule_sets import replace_mistaken
from underfoot.checking.settings import Settings, default_settings
from underfoot.commands.heat import _gather_assumptions
from underfoot.drawing import choose_options
from underfoot.reading.settings_file import read_settings
from underfoot.running.errors import CommandError
from underfoot_rules import STANDARD

HOME = Path(underfoot.__file__).parent
# Ids of one word (rcd) are words of the trade, too.
IDS = sorted(rule.id for rule in STANDARD.rules if "-" in rule.id)
NAMED = re.compile(rf"(?<![\w-])(?:{'|'.join(IDS)})(?![\w-])")
# A class of the drawing that a reader's style sheet may know, named like the rule by chance.
BY_CHANCE = {("drawing/wiring.py", "sensor-way")}
# Examples of a waiver, as the format tells of one.
EXAMPLES = {("plan_format/records.py", "wall-clearance")}


def make_rule(name: str, *limits: Limit, **fields: Any) -> Rule[Any]:
    return Rule(
        id=name,
        topic="house",
        severities=("note",),
        finds="nothing",
        why="It is there for its limits.",
        unit=None,
        basis=Basis(kind="own default", text="made for this test"),
        subjects=lambda facts: (),
        check=lambda subject, facts, limits: None,
        module=__name__,
        limits=limits,
        **fields,
    )


def make_limit(value: float, serves: Any, key: str = "off") -> Limit:
    return Limit(
        key=key, default=value, unit="mm", means="how far off", stricter="higher", serves=serves
    )


def test_no_id_of_a_rule_stands_in_the_program() -> None:
    sources = [
        path
        for path in HOME.rglob("*")
        if path.suffix in (".py", ".txt", ".html", ".css", ".js", ".j2", ".typ")
    ]
    assert len(sources) > 300
    named = {
        (path.relative_to(HOME).as_posix(), name)
        for path in sources
        for name in NAMED.findall(path.read_text("utf-8"))
    }
    assert named == BY_CHANCE | EXAMPLES


def test_schemas_name_rules_in_their_examples_alone() -> None:
    for path in HOME.rglob("*.json"):
        text = re.sub(r'"examples": \[.*', "", path.read_text("utf-8"))
        text = re.sub(r'^\s*"rule": "[\w-]+",$', "", text, flags=re.MULTILINE)  # in an example
        assert NAMED.findall(text) == [], path.name


def test_the_standard_set_serves_every_use_once() -> None:
    limits = [limit.serves for rule in STANDARD.rules for limit in rule.limits if limit.serves]
    assert sorted(limits) == sorted(get_args(LimitUse))
    assert [rule.serves for rule in STANDARD.rules if rule.serves] == [*get_args(RuleUse)]


def test_a_limit_is_found_by_its_use_whatever_its_rule_is_called() -> None:
    first = make_rule("house-far", make_limit(70, None), make_limit(80, "wall clearance", "wall"))
    second = make_rule("house-near", make_limit(90, "wall clearance"))
    found = default_settings([first, second]).served("wall clearance")
    assert found is not None
    assert (found.rule, found.key, found.value) == ("house-far", "wall", 80)
    assert default_settings([first, second]).served("fixture clearance") is None


def test_a_drawing_shows_the_clearance_of_whatever_rule_serves_it() -> None:
    rule = make_rule("house-far", make_limit(75, "planned wall clearance"))
    assert choose_options(default_settings([rule])).planned_clearance == 75
    assert choose_options(default_settings([make_rule("house-far")])).planned_clearance is None
    assert choose_options(None).planned_clearance is None


def test_what_settings_change_is_served_changed() -> None:
    text = "settings_format: 1\nlimits: {wall-clearance: {planned: 85, because: manual 4}}\n"
    reading = read_settings(text.encode(), "underfoot.yaml")
    assert reading.settings is not None
    settings, problems = merge_settings(
        [Placed(name="underfoot.yaml", stated=reading.settings, positions=reading.positions)],
        [STANDARD],
    )
    assert not problems
    assert choose_options(settings).planned_clearance == 85


def test_heat_takes_what_limits_serve_for_and_says_what_is_missing() -> None:
    values = dict(zip(TAKEN, range(1, 10), strict=True))
    rule = make_rule(
        "house-warm", *(make_limit(values[name], use, name) for name, use in TAKEN.items())
    )
    assumed = _gather_assumptions(default_settings([rule]))
    assert {name: getattr(assumed, name) for name in TAKEN} == values
    lacking = make_rule("house-warm", *rule.limits[:-1])
    with pytest.raises(CommandError, match="what to take for outside walls: use the"):
        _gather_assumptions(default_settings([lacking]))
    with pytest.raises(CommandError, match="room, bathroom, heated space"):
        _gather_assumptions(Settings({}))


@pytest.mark.parametrize(
    "rule",
    [
        make_rule("house-odd", make_limit(1, "the kitchen sink")),
        make_rule("house-odd", serves="the kitchen sink"),
    ],
)
def test_a_use_that_nobody_knows_is_a_mistake(rule: Rule[Any]) -> None:
    (found,) = replace_mistaken(replace(STANDARD, rules=(rule,))).rules
    assert found.topic == "mistaken"
    assert "'the kitchen sink', none of " in found.finds
