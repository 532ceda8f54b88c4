"""Keeps what the README and the guides quote as it really is.

python -m tests.guides                writes the quoted report and plan anew, and rules/marking.md
"""

from __future__ import annotations

import re
from pathlib import Path

from tests.demo_plans import demo_reports, text_of
from underfoot_rules import STANDARD

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
GUIDES = (
    README,
    ROOT / "plans" / "guide.md",
    ROOT / "linter" / "ci.md",
    ROOT / "linter" / "from-python.md",
    ROOT / "linter" / "reviewing.md",
    ROOT / "rules" / "own-rules.md",
    ROOT / "rules" / "marking.md",
    ROOT / "tests" / "trust.md",
)
_QUOTE = re.compile(r"<!-- (report|plan): (\S+) -->\n```(\w+)\n.*?```\n", re.DOTALL)


def with_quotes(text: str) -> str:
    """Fill every marked block with the file that it quotes, and write how many rules there are."""
    text = re.sub(r"judges it by \d+ rules", f"judges it by {len(STANDARD.rules)} rules", text)

    def fill(match: re.Match[str]) -> str:
        kind, name, language = match.groups()
        quoted = _report_of(name) if kind == "report" else (ROOT / name).read_text("utf-8")
        quoted = quoted.strip("\n")
        return f"<!-- {kind}: {name} -->\n```{language}\n{quoted}\n```\n"

    return _QUOTE.sub(fill, text)


def _report_of(plan: str) -> str:
    return next(text_of(one) for one in demo_reports() if one.path == plan)


if __name__ == "__main__":
    from tests.marking_page import write_page

    for guide in GUIDES:
        guide.write_text(with_quotes(guide.read_text("utf-8")), encoding="utf-8")
    write_page()
