"""Which way up films lie, where there are several or one does not say."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import BASE, check, of_rule, tally_of

FILM = BASE["materials"]["films"]["film-80"]
ROUTE = BASE["rooms"]["room"]["leads"]["W1"]["route"]


def busbars(stated: str | None, first: str | None, second: str | None) -> tuple[Any, ...]:
    """Lay a strip of a second film beside the row; `lies` of both, and what is stated."""
    report = check(
        {
            "materials.films": {"film-80": {"lies": first}, "film-81": {**FILM, "lies": second}},
            "rooms.room": {
                "elements": {
                    "E1": {
                        "film": "film-81",
                        "at": [3560, 60],
                        "along": "y",
                        "length": 250,
                        "circuit": "C1",
                    }
                },
                "leads": {"W1": {"route": [*ROUTE, [3810, 30], "E1"]}},
            },
            "method_statement.busbars": stated,
        }
    )
    found = of_rule(report, "method-statement")
    return ([one.severity for one in found], tally_of(report, "method-statement").why)


@pytest.mark.parametrize(
    ("stated", "first", "second", "severities", "why"),
    [
        ("down", "busbars down", "busbars down", [], None),
        ("up", "busbars down", "busbars down", ["error"], None),
        ("down", "busbars down", "busbars up", ["error"], None),
        ("up", "busbars down", None, ["error"], None),
        (
            "down",
            "busbars down",
            None,
            [],
            "film film-81 does not say which side lies down (`lies`)",
        ),
        (
            "down",
            None,
            None,
            [],
            "film film-80 and film-81 do not say which side lies down (`lies`)",
        ),
        (None, None, None, ["warning"], None),
    ],
)
def test_busbars_lie_as_every_film_wants(
    stated: str | None,
    first: str | None,
    second: str | None,
    severities: list[str],
    why: str | None,
) -> None:
    assert busbars(stated, first, second) == (severities, why)
