"""Rules as SARIF 2.1.0 describes them, and the standards that they cite as its taxonomies."""

from collections.abc import Mapping, Sequence
from typing import Any

from underfoot.checking.caution import CAUTION, DEFERS
from underfoot.checking.finding import Basis
from underfoot.checking.numbers import format_limit
from underfoot.checking.page import PageError, page_of
from underfoot.checking.rule import AnyRule, Rule
from underfoot.reporting.citations import cited_by, find_citations
from underfoot.reporting.phrases import as_sentence
from underfoot.reporting.prose import plain_words

# Not a rule that judges: under it what could not be read is told.
UNREADABLE: Rule[None] = Rule(
    id="unreadable",
    topic="reading",
    severities=("error",),
    finds="what of a plan, its catalogue or its settings could not be read",
    why="Nothing of a plan that cannot be read is checked.",
    unit=None,
    basis=Basis(kind="own default", text="our own: what is not understood is not passed over"),
    subjects=lambda facts: (),
    check=lambda subject, facts, limits: None,
    module=__name__,
)
_PUT_RIGHT = "Put right what the message says, at the line that it names."


def describe_rules(rules: Sequence[AnyRule]) -> list[dict[str, Any]]:
    """Describe rules in the order given, each with the whole of its help."""
    standards = list(cited_by(rules))
    return [_rule(rule, standards) for rule in rules]


def describe_standards(rules: Sequence[AnyRule]) -> list[dict[str, Any]]:
    """Describe every standard that the rules cite, with the clauses cited."""
    return [
        {
            "name": standard,
            "organization": standard.partition(" ")[0],
            "shortDescription": {"text": f"The standard {standard}, as far as rules cite it."},
            "isComprehensive": False,
            "taxa": [{"id": clause or standard} for clause in clauses],
        }
        for standard, clauses in cited_by(rules).items()
    ]


def refer_to_standards(rules: Sequence[AnyRule]) -> list[dict[str, Any]]:
    """Refer to each standard cited by name and place."""
    return [{"name": name, "index": place} for place, name in enumerate(cited_by(rules))]


def _rule(rule: AnyRule, standards: Sequence[str]) -> dict[str, Any]:
    described: dict[str, Any] = {
        "id": rule.id,
        "shortDescription": {"text": as_sentence(f"finds {rule.finds}")},
        "fullDescription": {"text": f"{as_sentence(f'finds {rule.finds}')} {rule.why}"},
        "defaultConfiguration": {"level": rule.severities[0]},
        "help": _help(rule),
        "properties": {"tags": [rule.topic.replace("_", " ")]},
    }
    name = "".join(part.capitalize() for part in rule.id.split("-"))
    if name.lower() != rule.id:
        described["name"] = name
    relationships = [
        {
            "target": {
                "id": citation.clause or citation.standard,
                "toolComponent": {
                    "name": citation.standard,
                    "index": standards.index(citation.standard),
                },
            },
            "kinds": ["relevant"],
        }
        for citation in find_citations(rule.basis.text)
    ]
    if relationships:
        described["relationships"] = relationships
    return described


def _help(rule: AnyRule) -> Mapping[str, str]:
    try:
        page = page_of(rule)
    except PageError:
        why, remedy = rule.why, _PUT_RIGHT if rule is UNREADABLE else ""
    else:
        why, remedy = page.why, page.remedy
    basis = as_sentence(f"{rule.basis.text}; {DEFERS}" if rule.electrical else rule.basis.text)
    limits = [
        f"{limit.key}: {format_limit(limit.default, limit.unit, limit.choices)} - {limit.means}"
        for limit in rule.limits
    ]
    parts = [
        ("Why", why),
        ("Putting it right", remedy),
        ("Limits, where settings do not change them", "\n".join(f"- {line}" for line in limits)),
        ("Basis", basis),
        ("Caution", CAUTION),
    ]
    return {
        "text": "\n\n".join(f"{head}\n{plain_words(text)}" for head, text in parts if text),
        "markdown": "\n\n".join(f"## {head}\n\n{text}" for head, text in parts if text),
    }
