"""A run of some rules alone says that it is no whole check."""

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_plans import plan, put
from tests.underfoot.commands.tiny_set import TINY

pytestmark = pytest.mark.usefixtures("folder", "tiny")

FORMS = ["text", "json", "sarif", "junit", "html", "lines", "annotations", "code-quality"]


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("option", [["--rule", "job-title"], ["--topic", "job papers"]])
def test_a_run_of_some_rules_says_so(house: None, ask: Ask, form: str, option: list[str]) -> None:
    out = " ".join(ask("check plans/b.yaml", *option, "--format", form).out.split())
    asked = 1 if option[0] == "--rule" else sum(rule.topic == "job_papers" for rule in TINY.rules)
    assert f"ONLY {asked} OF {len(TINY.rules)} RULES" in out
    assert "job-title" in out
    assert "No whole check" in out


def test_only_what_the_rules_asked_find_is_reported(house: None, ask: Ask) -> None:
    put("plans/b.yaml", plan(height="1900", date="null"))
    (whole,) = ask("check plans/b.yaml --format json", status=1).data["plans"]
    assert len({each["rule"] for each in whole["findings"]}) > 1
    for rule in {each["rule"] for each in whole["findings"]}:
        data = ask("check plans/b.yaml --format json --rule", rule, status=None).data
        (part,) = data["plans"]
        same = [each for each in whole["findings"] if each["rule"] == rule]
        assert [{**each, "number": 0} for each in part["findings"]] == [
            {**each, "number": 0} for each in same
        ]
        assert [row["rule"] for row in part["checks"]] == [rule]
        assert data["asked"] == {"rules": [rule], "of": len(TINY.rules)}


@pytest.mark.parametrize(
    ("option", "says"),
    [
        (
            ["--rule", "job-titel"],
            "--rule job-titel: there is no such rule; did you mean `job-title`",
        ),
        (["--rule", "xyzzy"], "`underfoot rules` lists them"),
        (["--topic", "job-paper"], "there is no such topic; did you mean `job-papers`"),
        (["--topic", "xyzzy"], "; there are "),
        (
            ["--rule", "job-title", "--known", "x.json"],
            "--known and --rule: what is known is about all rules",
        ),
    ],
)
def test_a_rule_that_is_not_known_is_no_pass(
    house: None, ask: Ask, option: list[str], says: str
) -> None:
    said = ask("check plans", *option, status=2)
    assert said.out == ""
    assert says in said.err
