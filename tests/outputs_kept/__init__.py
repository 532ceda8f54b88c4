"""What is written for people and machines, kept so that nothing in it changes unnoticed.

Drawings, pages, papers, comparisons, marks, exercises, laid rooms, and what the command says in
sessions: of demo plans, odd rooms and changes to the base plan; long parts as figures (see
shortened.py). What is right is said by other tests; this says only that something changed, and
where.

    python -m tests.outputs_kept      writes it anew: look at what changed, and at the difference
"""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from msgspec import Struct

from tests.outputs_kept import asked, drawn, marked, written
from tests.written_out import keep

FOLDER = Path(__file__).parent


class Kind(Struct, frozen=True, kw_only=True):
    """Outputs of a kind: their names, and what is kept of one of them."""

    names: Sequence[str]
    say: Callable[[str], str]


KINDS: Mapping[str, Kind] = {
    "drawings": Kind(names=drawn.list_names(), say=drawn.say),
    "papers": Kind(names=["base", "0", *written.list_changed(25)], say=written.say_papers),
    "revisions": Kind(names=["0", *written.list_changed(13)], say=written.say_revisions),
    "pages": Kind(names=["base", "3", *written.list_changed(100)], say=written.say_page),
    "classes": Kind(names=marked.CLASSES, say=marked.say_class),
    "exercises": Kind(names=marked.EXERCISES, say=marked.say_exercise),
    "sessions": Kind(names=list(asked.SESSIONS), say=asked.say),
    "laid rooms": Kind(names=[*marked.LAID, *marked.LAID_ASKED], say=marked.say_laid),
}


def file_of(kind: str) -> Path:
    """Say where the outputs of a kind are kept."""
    return FOLDER / f"{kind.replace(' ', '_')}.txt"


def main() -> None:
    """Keep the outputs."""
    for name, kind in KINDS.items():
        keep(file_of(name), {each: kind.say(each) for each in kind.names})
