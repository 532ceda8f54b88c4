"""The standards that the basis of a rule cites, taken out of its text."""

import re
from collections.abc import Iterable

from msgspec import Struct

from underfoot.checking.rule import AnyRule

_STANDARD = re.compile(r"\b((?:IEC|ISO|EN)(?: (?:IEC|ISO))? [0-9]{3,5}(?:-[0-9]+)*)(?::[0-9]{4})?")
# A clause, a table or an annex stands right behind its standard: `, 701.30 and 701.512.3`,
# `, tables B.52.2 and B.52.14`. What comes after a bracket, a colon or a semicolon is prose.
_REST = re.compile(r"[^(:;]*")
_CLAUSE = re.compile(
    r"(?<![\w.])(?:[A-Z]|[0-9]+)\.[0-9]+(?:\.[0-9]+)*(?![\w.]*\w)"
    r"|(?<=, )[0-9]{3}\b"
    r"|\bannex [A-Z]\b"
)
_TABLE = re.compile(r"\btables?\b")


class Citation(Struct, frozen=True, kw_only=True, order=True):
    """A standard, and the clause of it; `clause` is "" where the text names none."""

    standard: str
    clause: str


def find_citations(text: str) -> tuple[Citation, ...]:
    """List what a basis cites, in the order of the text, each once."""
    found: list[Citation] = []
    marks = list(_STANDARD.finditer(text))
    for place, mark in enumerate(marks):
        end = marks[place + 1].start() if place + 1 < len(marks) else len(text)
        rest = _REST.match(text, mark.end(), end)
        tail = rest[0] if rest else ""
        kind = "table " if _TABLE.search(tail) else ""
        clauses = [f"{kind}{clause}" for clause in _CLAUSE.findall(tail)]
        found += [Citation(standard=mark[1], clause=clause) for clause in clauses or [""]]
    return tuple(dict.fromkeys(found))


def cited_by(rules: Iterable[AnyRule]) -> dict[str, list[str]]:
    """List the standards that rules cite, sorted, with the clauses of each."""
    standards: dict[str, set[str]] = {}
    for rule in rules:
        for citation in find_citations(rule.basis.text):
            standards.setdefault(citation.standard, set()).add(citation.clause)
    return {name: sorted(standards[name]) for name in sorted(standards)}
