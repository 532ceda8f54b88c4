"""The review page: one self-contained HTML document for one plan or many."""

from underfoot.reporting.html.decisions import Decision, Decisions, identity_of
from underfoot.reporting.html.drawn_plan import DrawnPlan, draw_plan
from underfoot.reporting.html.page import write_html

__all__ = [
    "Decision",
    "Decisions",
    "DrawnPlan",
    "draw_plan",
    "identity_of",
    "write_html",
]
