"""The review page: one self-contained HTML document for one plan or many."""

from underfoot.page.drawn_plan import DrawnPlan, draw_plan
from underfoot.page.page import HtmlWriter, write_html

__all__ = ["DrawnPlan", "HtmlWriter", "draw_plan", "write_html"]
