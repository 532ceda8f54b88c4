"""The pages of a term: one an apprentice, to hand out, and one of the class, for the trainer."""

from collections.abc import Mapping

from markupsafe import Markup

from underfoot.checking.rule import AnyRule
from underfoot.marking.pages import explain_rule, fill_page
from underfoot.marking.term import Course, Habit, Marking, Standing, Term


def write_course(term: Term, course: Course, rules: Mapping[str, AnyRule]) -> str:
    """Write one apprentice's page: nothing of any other's stands in it."""
    return fill_page(
        "course.html",
        term=term,
        course=course,
        lessons=[(habit, *_explain(habit, rules)) for habit in course.still],
        times=_say_times,
        percent=_percent,
        points=[
            (marking, standing, _percent(standing, marking) if standing else 0)
            for marking, standing in zip(term.markings, course.standings, strict=True)
        ],
    )


def write_term(term: Term, pages: Mapping[str, str]) -> str:
    """Write the class's page."""
    return fill_page("term.html", term=term, pages=pages, percent=_percent)


def _explain(habit: Habit, rules: Mapping[str, AnyRule]) -> tuple[Markup, Markup]:
    return explain_rule(rules.get(habit.rule), "The rule set in use has no page on this rule.")


def _percent(standing: Standing, marking: Marking) -> int:
    return round(100 * (standing.mark or 0) / marking.marks) if marking.marks else 0


def _say_times(number: int | None) -> str:
    if number is None:
        return "not shown"
    return "right" if number == 0 else f"wrong, {number} ×"
