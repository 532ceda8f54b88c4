"""Two revisions on one page: no script, no other file, nothing fetched."""

from underfoot.comparing.page.page import write_comparisons_html, write_pair

__all__ = ["write_comparisons_html", "write_pair"]
