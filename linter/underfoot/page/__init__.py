"""The review page: one self-contained HTML document for one plan or many."""

from underfoot.page.drawn_plan import AtDesk, DrawnPlan, ReviewAtHand, draw_plan
from underfoot.page.page import HtmlWriter

__all__ = ["AtDesk", "DrawnPlan", "HtmlWriter", "ReviewAtHand", "draw_plan"]
