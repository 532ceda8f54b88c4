"""Makers' figures that a plan gives itself, where its catalogue or the settings have the word.

This is the engine's own, beside the rules of every set: it is not among those that settings change,
so that nothing switches it off or makes less of it, and no plan waives it.
"""

from collections.abc import Iterator

from underfoot.checking.facts import Facts
from underfoot.checking.finding import Basis, Finding, Severity, Subject
from underfoot.checking.rule import Limits, Rule
from underfoot.plan import Difference, OwnEntry

# A film's figures decide what it draws and bears; these of a covering how warm it may get.
_GRAVE = {"covering": ("warmest_surface", "most_output", "resistance", "conductivity", "fixing")}
_MOST_SAID = 3
_METHOD = "method statement"


def subjects(facts: Facts) -> Iterator[Subject[OwnEntry | None]]:
    """The plan's own entries that hide one, and all where the settings own the figures."""
    owned = facts.materials_from
    plan = facts.plan
    if owned is not None and plan.catalogue is not None:
        yield Subject(room=None, items=(), path="catalogue")
    for entry in plan.own_entries:
        if entry.hides is not None or owned is not None:
            yield Subject(
                room=None, items=(entry.id,) if entry.id else (), path=entry.path, payload=entry
            )


def check(subject: Subject[OwnEntry | None], facts: Facts, limits: Limits) -> Finding | None:
    """Tell which figures are the plan's own."""
    if subject.payload is None:
        return _judge_catalogue(facts)
    return _judge_entry(subject.payload, facts)


def _judge_catalogue(facts: Facts) -> Finding | None:
    owned = facts.materials_from
    plan = facts.plan
    if owned is None or plan.catalogue_place in owned.places:
        return None
    taken = _plain(plan.catalogue or "")
    return Finding(
        message=f"The plan takes its materials from {taken}; the settings let them come from "
        f"{_named(owned.catalogues)} alone.",
        remedy=f"Take them from {_named(owned.catalogues)}, or ask whoever keeps the settings.",
        basis=Basis(kind="settings", text=owned.origin.said),
    )


def _judge_entry(entry: OwnEntry, facts: Facts) -> Finding:
    owned = facts.materials_from
    name = f"{entry.kind.capitalize()} {entry.id}".strip()
    details: tuple[tuple[str, str], ...] = ()
    if len(entry.differences) > _MOST_SAID:
        details = tuple((each.key, _say(each)) for each in entry.differences)
    said = f"{name} is the plan's own"
    if entry.hides is not None:
        there = _plain(entry.hides)
        said += f" and hides that of the catalogue ({there})"
        if entry.kind == _METHOD:
            said = f"The plan's method statement differs from the catalogue's ({there})"
    if entry.differences:
        said += f": {_list(entry.differences)}"
    elif entry.hides is not None:
        said += ", though all its figures are the same"
    if owned is None or entry.kind == _METHOD:
        return Finding(
            message=f"{said}.",
            remedy="Take out what differs, or have it changed in the catalogue for all plans."
            if entry.kind == _METHOD
            else "Take it out, so that the catalogue's holds; a figure that the maker has changed "
            "belongs in the catalogue.",
            severity=_severity(entry),
            details=details,
        )
    return Finding(
        message=f"{said}. The settings let materials come from {_named(owned.catalogues)} alone.",
        remedy=f"Take it out and use what is in {_named(owned.catalogues)}, or ask whoever keeps "
        "the settings.",
        basis=Basis(kind="settings", text=owned.origin.said),
        details=details,
    )


def _severity(entry: OwnEntry) -> Severity:
    """A warning where a figure differs that decides how warm the floor gets, or what it draws."""
    for each in entry.differences:
        if entry.kind == "film" or each.key in _GRAVE.get(entry.kind, ()):
            return "warning"
    return "note"


def _list(differences: tuple[Difference, ...]) -> str:
    said = [f"`{each.key}` {_say(each)}" for each in differences[:_MOST_SAID]]
    more = len(differences) - _MOST_SAID
    return "; ".join(said) + (f"; and {more} more" if more > 0 else "")


def _say(difference: Difference) -> str:
    own = shared = "not given"
    if difference.own is not None:
        own = f"{_plain(difference.own)} (line {difference.own_line})"
    if difference.shared is not None:
        shared = f"{_plain(difference.shared)} (line {difference.shared_line})"
    return f"{own}, in the catalogue {shared}"


def _plain(text: str) -> str:
    # What somebody has written in braces is no mark for the report to fill in.
    return text.replace("{", "(").replace("}", ")")


def _named(catalogues: tuple[str, ...]) -> str:
    return _plain(" or ".join(catalogues))


MAKERS_FIGURES = Rule(
    id="makers-figures",
    topic="records",
    severities=("error", "warning", "note"),
    finds="a maker's figure that a plan gives itself, in place of its catalogue's",
    why="A catalogue is looked through once for all; what a plan writes over it nobody has seen.",
    unit=None,
    basis=Basis(kind="own default", text="a project's choice: one place for the makers' figures"),
    subjects=subjects,
    check=check,
    module=__name__,
)
