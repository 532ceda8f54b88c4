"""Options of check that contradict each other or would do nothing are told; numbers in words."""

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_plans import RIGHT, put

pytestmark = pytest.mark.usefixtures("folder", "tiny")


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ("--only-new", "--only-new leaves out what is known: say what that is by --known"),
        ("--only-new --known k.json", "--only-new is about SARIF, and no report here is one"),
        ("--split", "--split is about SARIF, and no report here is one"),
        ("--split --format json --report junit=j.xml", "--split is about SARIF"),
        ("--all-cases", "--all-cases is about JUnit, and no report here is one"),
        ("--detail brief --format json", "--detail is about the text, and no report here is one"),
        (
            "--mends --format lines",
            "--mends is about the text, JSON and SARIF, and no report here is any of these",
        ),
        ("--changed a --changed-since b", "--changed and --changed-since: they ask for the same"),
        ("--known k.json --rule job-date", "--known and --rule: what is known is about all rules"),
        ("--known k.json --topic job", "--known and --topic: what is known is about all rules"),
        ("--jobs 2 --cluster tcp://a:1", "--jobs and --cluster: a cluster's workers are its own"),
        ("--depends --list-passed-over", "--depends and --list-passed-over: each is a list of"),
        (
            "--depends --jobs 2 --quiet --report json=a.json",
            "--depends checks nothing: leave out --report, --quiet, --jobs",
        ),
        ("--stdin-name b.yaml", "--stdin-name is for the plan on standard input: give - as"),
    ],
)
def test_what_does_not_go_together_is_told(ask: Ask, options: str, told: str) -> None:
    put("a.yaml", RIGHT)
    said = ask(f"check a.yaml {options}", status=2)
    assert said.out == ""
    assert said.err.startswith(f"underfoot: {told}")
    assert said.err.count("\n") == 1


@pytest.mark.parametrize(
    "options",
    [
        "--split --format sarif",
        "--split --report sarif=a.sarif",
        "--all-cases --format junit",
        "--detail full --format json --report text=a.txt",
        "--mends --format json",
        "--depends --exclude old --root .",
        "--jobs 1 --quiet --detail full",
    ],
)
def test_what_does_something_is_taken(ask: Ask, options: str) -> None:
    put("a.yaml", RIGHT)
    ask(f"check a.yaml {options}")


@pytest.mark.parametrize(
    ("command", "told"),
    [
        ("check a.yaml --jobs 0", "--jobs 0: write a whole number, 1 or more"),
        ("check a.yaml --jobs two", "--jobs two: write a whole number, 1 or more"),
        ("check a.yaml --jobs 1.5", "--jobs 1.5: write a whole number, 1 or more"),
        ("check a.yaml --plan-seconds 0", "--plan-seconds 0: write seconds, more than 0"),
        ("check a.yaml --plan-seconds nan", "--plan-seconds nan: write seconds, more than 0"),
        ("check a.yaml --plan-seconds soon", "--plan-seconds soon: write seconds, more than 0"),
        ("desk . --port 65536", "--port 65536: write a whole number, from 0 to 65535"),
        ("exercise a.yaml --output o --faults 21", "--faults 21: write a whole number, from 1 to"),
        ("mend a.yaml none", "NUMBER none: write a whole number, 1 or more"),
    ],
)
def test_what_is_no_number_is_told_with_what_to_write(ask: Ask, command: str, told: str) -> None:
    put("a.yaml", RIGHT)
    said = ask(command, status=2).err
    assert said.startswith(f"underfoot: {told}")
    assert said.count("\n") == 1
