"""Keeps what the README and the guides quote as it really is.

python -m tests.guides                writes the quoted report and plan anew, the guide's
                                      pictures, and rules/marking.md
"""

import re
import shlex
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from click.testing import CliRunner

from tests.demo_plans import TODAY, demo_reports, text_of
from underfoot.checking.check import examine, make_checker
from underfoot.checking.settings import default_settings
from underfoot.commands.group import underfoot
from underfoot.drawing import draw_room
from underfoot_rules import STANDARD

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
GUIDES = (
    README,
    ROOT / "plans" / "guide.md",
    ROOT / "linter" / "ci.md",
    ROOT / "linter" / "editor.md",
    ROOT / "linter" / "from-python.md",
    ROOT / "linter" / "reviewing.md",
    ROOT / "rules" / "own-rules.md",
    ROOT / "rules" / "marking.md",
    ROOT / "tests" / "trust.md",
)
GUIDE = ROOT / "plans" / "guide.md"
_STEP = re.compile(
    r"^```(?:sh|yaml|csv)(?: (\S+))?\n(.*?)^```$|^!\[[^\]]*\]\((\S+\.svg)\)$",
    re.MULTILINE | re.DOTALL,
)
_QUOTE = re.compile(
    r"<!-- (report|plan): (\S+)((?: without [0-9, ]+)?) -->\n```(\w+)\n.*?```\n", re.DOTALL
)


def with_quotes(text: str) -> str:
    """Fill every marked block with the file that it quotes, and write how many rules there are."""
    text = re.sub(r"judges it by \d+ rules", f"judges it by {len(STANDARD.rules)} rules", text)

    def fill(match: re.Match[str]) -> str:
        kind, name, without, language = match.groups()
        quoted = _report_of(name) if kind == "report" else (ROOT / name).read_text("utf-8")
        for number in re.findall("[0-9]+", without):
            quoted, found = re.subn(rf"^ {number}  {name}:(.+\n)+\n", "", quoted, flags=re.M)
            assert found == 1, f"{name} has no finding {number}"
        quoted = quoted.strip("\n")
        return f"<!-- {kind}: {name}{without} -->\n```{language}\n{quoted}\n```\n"

    return _QUOTE.sub(fill, text)


class Step(NamedTuple):
    """One thing to do: run commands (`text`), write `text` into a file, or look at a picture."""

    file: str = ""
    text: str = ""
    picture: str = ""


def read_guide_steps() -> list[Step]:
    """Return the steps of the guide to a plan, in order."""
    text = GUIDE.read_text("utf-8").partition("\n# A plan, read through\n")[0]
    return [Step(one[1] or "", one[2] or "", one[3] or "") for one in _STEP.finditer(text)]


def write_into(place: Path, text: str) -> None:
    """Write what a step says into its file: lines into a plan, anything else as it is."""
    if place.suffix == ".yaml":
        write_lines(place, text)
    else:
        place.write_text(text, "utf-8")


def write_lines(place: Path, lines: str) -> None:
    """Write lines into a plan where a person would: for the same key as deep, else below the last.

    A remark that says `# key: ...` gives way to the first line of that key.
    """
    plan = place.read_text("utf-8").splitlines()
    last = 0
    for line in lines.splitlines():
        head = re.match(r"( *)((?:- )?\{?[a-z_]+:)", line)
        assert head is not None, line
        begins = re.compile(f"{head[1]}(?:# )?{re.escape(head[2])}(?= |$)")
        last = next(at for at, old in enumerate(plan) if at >= last and begins.match(old))
        plan[last] = line
    place.write_text("\n".join(plan) + "\n", "utf-8")


def draw_guide(today: date) -> dict[str, str]:
    """Draw the guide's plan as it is at each of its pictures; give them by their files' names."""
    drawn = {}
    with TemporaryDirectory() as folder:
        here = Path(folder)
        (here / "catalogue.yaml").write_bytes((ROOT / "plans" / "catalogue.yaml").read_bytes())
        for step in read_guide_steps():
            if step.picture:
                drawn[step.picture] = _draw(here, today)
            elif step.file:
                write_into(here / step.file, step.text)
            else:
                for line in step.text.splitlines():
                    _change(shlex.split(line)[1:], here)
    return drawn


def _change(arguments: list[str], here: Path) -> None:
    """Run a command of the guide, if it changes the plan."""
    if arguments[0] not in ("new", "lay", "mend"):
        return
    words = [str(here / one) if one.endswith(".yaml") else one for one in arguments]
    done = CliRunner().invoke(underfoot, words, standalone_mode=False)
    assert done.return_value == 0, done.output


def _draw(here: Path, today: date) -> str:
    source = (here / "den.yaml").read_bytes()
    source = re.sub(rb'date: "[0-9-]+"', b'date: "2026-12-01"', source)
    checker = make_checker([STANDARD], default_settings(STANDARD.rules), today)
    checked = examine(source, checker, path="den.yaml", folder=here)
    assert checked.facts is not None
    return draw_room(checked.facts.rooms["den"], checked.facts.plan, checked.report)


def _report_of(plan: str) -> str:
    return next(text_of(one) for one in demo_reports() if one.path == plan)


if __name__ == "__main__":
    from tests.marking_page import write_page

    for guide in GUIDES:
        guide.write_text(with_quotes(guide.read_text("utf-8")), encoding="utf-8")
    write_page()
    for picture, drawing in draw_guide(TODAY).items():
        (GUIDE.parent / picture).write_text(drawing, encoding="utf-8")
