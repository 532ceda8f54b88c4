"""The demo scheme is what the command proposes, edited by hand: its head lists every edit."""

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.underfoot.marking.demo import FOLDER
from underfoot.__main__ import main

Data = dict[str, Any]
KEPT = (FOLDER / "scheme.yaml").read_text("utf-8")


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Data:
    """A fresh proposal, made as the head of the kept scheme says."""
    place = tmp_path_factory.mktemp("fresh") / "scheme.yaml"
    command = re.search(r"underfoot (scheme .*)", KEPT)
    assert command is not None
    words = [str(FOLDER / word) if word.endswith(".yaml") else word for word in command[1].split()]
    assert main([*words, "--output", str(place), "--today", "2026-10-01"]) == 0
    proposed: Data = yaml.safe_load(place.read_text("utf-8"))
    proposed["brief"] = Path(proposed["brief"]).name
    return proposed


def read_edits() -> dict[str, list[str]]:
    """Read the list of edits: what was edited, and how, without the reasons."""
    head = KEPT[: KEPT.index("scheme_format")].replace("\n#     ", " ")
    listed = re.findall(r"^#   - ([a-z ]+): ([^(\n]*)", head, re.MULTILINE)
    return {name: [one.strip() for one in re.split("[,;]", told)] for name, told in listed}


EDITS = read_edits()
SCHEME: Data = yaml.safe_load(KEPT)


def renamed(which: str) -> dict[str, str]:
    return dict(one.split(" > ") for one in EDITS[which])


def rows_of(scheme: Data, key: str) -> dict[str, str]:
    """Return the topic of each row: of rules, or of what is asked for."""
    return {
        row if isinstance(row, str) else row["what"]: name
        for name, topic in scheme["topics"].items()
        for row in topic.get(key, ())
    }


def differing(ours: list[Data], theirs: list[Data]) -> set[str]:
    """Return what was asked for otherwise, with the keys in which it differs."""
    wanted = {one["what"]: one for one in theirs}
    assert [one["what"] for one in ours] == list(wanted)
    found = set()
    for one in ours:
        other = wanted[one["what"]]
        keys = [key for key in ("room", "least", "most", "of", "gates", "fails")
                if one.get(key) != other.get(key)]  # fmt: skip
        if keys:
            found.add(" ".join([one["what"], *keys]))
    return found


def as_set(told: Iterable[str]) -> set[str]:
    return {" ".join(sorted(one.split())) for one in told}


def test_rows_are_the_proposal_s_but_for_what_is_listed(fresh: Data) -> None:
    topics = renamed("topics")
    proposed = {rule: topics.get(topic, topic) for rule, topic in rows_of(fresh, "rules").items()}
    kept = rows_of(SCHEME, "rules")
    assert sorted(set(proposed) - set(kept)) == sorted(EDITS["left out"])
    assert sorted(set(kept) - set(proposed)) == EDITS["added"]
    for rule in set(kept) & set(proposed):
        assert kept[rule] == proposed[rule], rule
    assert rows_of(SCHEME, "asked") == renamed("moved")
    assert set(rows_of(fresh, "asked")) == set(renamed("moved"))


@pytest.mark.parametrize(("key", "word"), [("fails", "fails"), ("must_show", "must show")])
def test_what_fails_is_the_proposal_s_but_for_what_is_listed(
    key: str, word: str, fresh: Data
) -> None:
    assert set(fresh[key]) - set(SCHEME[key]) == set(EDITS[f"{word} no more"])
    assert set(SCHEME[key]) - set(fresh[key]) == set(EDITS[f"{word} too"])


def test_goals_are_the_proposal_s_but_for_what_is_listed(fresh: Data) -> None:
    topics = renamed("topics")
    proposed = [
        {**goal, "gates": sorted({topics.get(one, one) for one in goal["gates"]})}
        for goal in fresh["goals"]
    ]
    kept = [{**goal, "gates": sorted(goal["gates"])} for goal in SCHEME["goals"]]
    assert as_set(differing(kept, proposed)) == as_set(EDITS["goals"])

    def asked(scheme: Data) -> list[Data]:
        rows = [row for topic in scheme["topics"].values() for row in topic.get("asked", ())]
        return sorted(rows, key=lambda row: str(row["what"]))

    assert as_set(differing(asked(SCHEME), asked(fresh))) == as_set(EDITS["asked"])


def test_all_else_is_as_proposed(fresh: Data) -> None:
    apart = {"fails", "must_show", "goals", "topics"}
    keys = (set(fresh) | set(SCHEME)) - apart
    assert {key for key in keys if fresh.get(key) != SCHEME.get(key)} == set(EDITS["also"])
    assert sum(
        row["marks"]
        for topic in SCHEME["topics"].values()
        for row in (*topic.get("rules", {}).values(), *topic.get("asked", ()))
    ) == 70  # fmt: skip
