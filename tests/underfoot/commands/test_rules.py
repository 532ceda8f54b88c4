"""`underfoot rules` and `underfoot why`."""

import json

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_set import TINY
from underfoot.checking.origin import Origin
from underfoot.checking.settings import InForce, Settings, default_settings
from underfoot.reporting.rules_list import write_json_list, write_markdown_list, write_text_list

pytestmark = pytest.mark.usefixtures("tiny")

BECAUSE = Origin(file="underfoot.yaml", line=3, because="local code")


def changed() -> Settings:
    return Settings(
        limits={
            "room-height": {
                "minimum": InForce(value=2100, unit="mm", default=2000, origin=BECAUSE),
                "planned": InForce(value=2200, unit="mm", default=2200),
            }
        },
        severities={
            "room-height": ("warning", Origin(file="underfoot.yaml", line=5, because="agreed"))
        },
        off={"job-title": Origin(file="underfoot.yaml", line=6, because="never titled")},
        undecided={
            "room-height": ("error", Origin(file="underfoot.yaml", line=7, because="must be known"))
        },
    )


def test_the_table(ask: Ask) -> None:
    said = ask("rules")
    assert said.err == ""
    assert said.out == (
        "rule         severity        limits           basis\n"
        "\n"
        "ROOMS\n"
        "room-height  error, warning  minimum 2000 mm  common practice\n"
        "                             planned 2200 mm\n"
        "    a room that is too low\n"
        "\n"
        "JOB PAPERS\n"
        "job-date     note                             common practice\n"
        "    a plan without a date | or with none\n"
        "job-title    note                             own default\n"
        "    nothing, but it crashes where the title asks for it\n"
        "\n"
        "3 rules. `underfoot why RULE` explains one: why it matters, what it rests on,\n"
        "how to put it right.\n"
    )


def test_a_long_limit_is_wrapped_where_the_table_would_be_too_wide() -> None:
    text = "".join(write_text_list([TINY], default_settings(TINY.rules), width=60))
    assert all(len(line) <= 60 for line in text.splitlines())
    assert (
        "room-height  error, warning  minimum         common practice\n"
        "                               2000 mm\n"
        "                             planned\n"
        "                               2200 mm\n"
    ) in text


def test_the_table_shows_what_settings_changed() -> None:
    text = "".join(write_text_list([TINY], changed()))
    assert "room-height  warning   minimum 2100 mm  common practice\n" in text
    assert "    ! minimum 2100 mm, not 2000 mm: local code (underfoot.yaml:3)\n" in text
    assert "    ! warning: agreed (underfoot.yaml:5)\n" in text
    assert "    ! what it cannot judge counts as error: must be known (underfoot.yaml:7)\n" in text
    assert "job-title    off  " in text
    assert "    ! switched off: never titled (underfoot.yaml:6)\n" in text


def test_the_list_for_programs(ask: Ask) -> None:
    rows = ask("rules --format json").data["rules"]
    assert [row["rule"] for row in rows] == ["room-height", "job-date", "job-title"]
    assert rows[0]["limits"][0] == {
        "key": "minimum",
        "value": 2000.0,
        "default": 2000.0,
        "unit": "mm",
        "means": "least height",
        "stricter": "higher",
        "because": None,
    }
    assert rows[0]["rule_set"] == "tiny"
    assert rows[0]["severities"] == ["error", "warning"]
    row = json.loads("".join(write_json_list([TINY], changed())))["rules"][0]
    assert row["limits"][0]["value"] == 2100.0
    assert row["limits"][0]["because"] == "local code"


def test_the_index_in_markdown(ask: Ask) -> None:
    text = ask("rules --format markdown").out
    assert text == "".join(write_markdown_list([TINY], default_settings(TINY.rules)))
    assert text.startswith("# Rules\n\n")
    assert "\n## Job papers\n\n| rule | severity |" in text
    assert (
        "| `room-height` | error, warning | a room that is too low | minimum 2000 mm, planned "
        "2200 mm | mm | common practice in the trade, no source |\n"
    ) in text
    assert "a plan without a date \\| or with none" in text


def test_why(ask: Ask) -> None:
    said = ask("why room-height")
    assert said.err == ""
    assert said.out == (
        "room-height\n"
        "rooms · error or warning\n"
        "\n"
        "Finds a room that is too low.\n"
        "\n"
        "WHY\n"
        "  A person of two metres wants to stand upright, and the lamp that hangs from\n"
        "  the ceiling of a low room is hit by everyone who carries a ladder.\n"
        "\n"
        "  - first reason, which is long enough to be wrapped into a second line of the\n"
        "    list, is that of height\n"
        "  - second reason\n"
        "\n"
        "LIMITS\n"
        "  minimum  2000 mm  least height\n"
        "  planned  2200 mm  least height that should be planned\n"
        "\n"
        "BASIS\n"
        "  common practice in the trade, no source.\n"
        "\n"
        "PUTTING IT RIGHT\n"
        "  Lower the floor, or raise the ceiling.\n"
        "\n"
        "RIGHT, FOR EXAMPLE\n"
        "  A room of the usual height.\n"
        "\n"
        "      rooms: {hall: {height: 2400}}\n"
        "\n"
        "WRONG, FOR EXAMPLE\n"
        "  A cellar.\n"
        "\n"
        "      rooms:\n"
        "        hall:\n"
        "          height: 1900   # measured on site\n"
        "\n"
        "CAUTION  This check is an aid and certifies nothing. It does not replace the\n"
        "         maker's manual, the local wiring regulations and building code, or the\n"
        "         judgement of a licensed electrician, who tests and signs. Isolate, lock\n"
        "         off and prove dead before any work.\n"
    )


@pytest.mark.parametrize("name", ["room-heigth", "room_height", "Room-Height", "rom-height"])
def test_a_near_miss_is_suggested(ask: Ask, name: str) -> None:
    said = ask("why", name, status=2)
    assert said.out == ""
    assert said.err == (f"underfoot: there is no rule {name!r}; did you mean `room-height`?\n")


def test_a_far_miss_is_sent_to_the_list(ask: Ask) -> None:
    assert "`underfoot rules` lists them" in ask("why zzz", status=2).err


def test_a_rule_without_a_page_is_said(ask: Ask) -> None:
    assert "job-title has no page" in ask("why job-title", status=2).err
