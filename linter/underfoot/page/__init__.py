"""The review page: one self-contained HTML document for one plan or many."""

from underfoot.page.drawn_plan import AtDesk, DrawnPlan, ReviewAtHand, draw_plan
from underfoot.page.page import HtmlWriter, write_html

__all__ = ["AtDesk", "DrawnPlan", "HtmlWriter", "ReviewAtHand", "draw_plan", "write_html"]
