"""A run of some rules alone says that it is no whole check."""

from __future__ import annotations

import pytest

from tests.underfoot.commands.tiny_plans import data_of, plan, put
from tests.underfoot.commands.tiny_set import TINY
from underfoot.__main__ import main

pytestmark = pytest.mark.usefixtures("folder", "tiny")

Said = pytest.CaptureFixture[str]
FORMS = ["text", "json", "sarif", "junit", "html", "lines", "annotations", "code-quality"]


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("option", [["--rule", "job-title"], ["--topic", "job papers"]])
def test_a_run_of_some_rules_says_so(
    house: None, capsys: Said, form: str, option: list[str]
) -> None:
    assert main(["check", "plans/b.yaml", *option, "--format", form]) == 0
    out = " ".join(capsys.readouterr().out.split())
    asked = 1 if option[0] == "--rule" else sum(rule.topic == "job_papers" for rule in TINY.rules)
    assert f"ONLY {asked} OF {len(TINY.rules)} RULES" in out
    assert "job-title" in out
    assert "No whole check" in out


def test_only_what_the_rules_asked_find_is_reported(house: None, capsys: Said) -> None:
    put("plans/b.yaml", plan(height="1900", date="null"))
    main(["check", "plans/b.yaml", "--format", "json"])
    (whole,) = data_of(capsys)["plans"]
    assert len({each["rule"] for each in whole["findings"]}) > 1
    for rule in {each["rule"] for each in whole["findings"]}:
        main(["check", "plans/b.yaml", "--rule", rule, "--format", "json"])
        data = data_of(capsys)
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
        (["--rule", "job-title", "--known", "x.json"], "it does not go with --rule"),
    ],
)
def test_a_rule_that_is_not_known_is_no_pass(
    house: None, capsys: Said, option: list[str], says: str
) -> None:
    assert main(["check", "plans", *option]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert says in said.err
