"""The standards that rules cite."""

import pytest

from underfoot.reporting.citations import Citation, cited_by, find_citations
from underfoot_rules import STANDARD


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("IEC 60364-4-43, 433.1", [("IEC 60364-4-43", "433.1")]),
        ("IEC 60364-1, 311", [("IEC 60364-1", "311")]),
        (
            "IEC 60364-7-701, 701.30 and 701.512.3",
            [("IEC 60364-7-701", "701.30"), ("IEC 60364-7-701", "701.512.3")],
        ),
        (
            "IEC 60364-7-753, 753.411.3.2; bathrooms IEC 60364-7-701, 701.753",
            [("IEC 60364-7-753", "753.411.3.2"), ("IEC 60364-7-701", "701.753")],
        ),
        (
            "IEC 60364-5-52, tables B.52.2 and B.52.14, two loaded conductors in PVC; how",
            [("IEC 60364-5-52", "table B.52.2"), ("IEC 60364-5-52", "table B.52.14")],
        ),
        ("IEC 60364-5-52, annex G (table G.52.1: 5 %)", [("IEC 60364-5-52", "annex G")]),
        ("IEC 60364-6:2016, table 6.1", [("IEC 60364-6", "table 6.1")]),
        ("IEC 60038: 230 V ± 10 %", [("IEC 60038", "")]),
        ("IEC 61008-1, general type at its rated residual current", [("IEC 61008-1", "")]),
        (
            "heat loss by EN 12831-1, output by ISO 11855-2; the margin is a figure of ours",
            [("EN 12831-1", ""), ("ISO 11855-2", "")],
        ),
        (
            "worked out by ISO 11855-2, A.29 to A.31; the maker's manual decides",
            [("ISO 11855-2", "A.29"), ("ISO 11855-2", "A.31")],
        ),
        ("EN 1264-2 (for water systems): 29 °C where people stay", [("EN 1264-2", "")]),
        ("the maker's figure, 230 V", []),
    ],
)
def test_what_a_basis_cites(text: str, expected: list[tuple[str, str]]) -> None:
    assert [(each.standard, each.clause) for each in find_citations(text)] == expected


def test_a_citation_is_listed_once() -> None:
    assert find_citations("ISO 11855-2; ISO 11855-2") == (
        Citation(standard="ISO 11855-2", clause=""),
    )


def test_no_basis_of_kind_standard_goes_without_one() -> None:
    silent = [
        rule.id
        for rule in STANDARD.rules
        if rule.basis.kind == "standard" and not find_citations(rule.basis.text)
    ]
    assert silent == []


def test_standards_and_clauses_are_sorted() -> None:
    cited = cited_by(STANDARD.rules)
    assert list(cited) == sorted(cited)
    assert all(clauses == sorted(clauses) for clauses in cited.values())
