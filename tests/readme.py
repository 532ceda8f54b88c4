"""Keeps what the README quotes as it really is.

python -m tests.readme                writes the quoted report and plan anew, and rules/marking.md
"""

from __future__ import annotations

import re
from pathlib import Path

from tests.demo_plans import demo_reports, text_of
from underfoot_rules import STANDARD

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
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

    README.write_text(with_quotes(README.read_text("utf-8")), encoding="utf-8")
    write_page()
