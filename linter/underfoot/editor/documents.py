"""The texts that an editor has open, and what was last told of each."""

import re
from dataclasses import dataclass
from typing import Any

from pygls import uris

from underfoot.editor.diagnostics import Mark, list_marks
from underfoot.editor.judgement import Judgement
from underfoot.editor.worker import Question

_FORMAT = re.compile(r"^[\"']?([a-z]+_format)[\"']?[ \t]*:", re.MULTILINE)
PLAN = "plan_format"


@dataclass(slots=True, eq=False)
class Document:
    """One version of a text; another one takes its place with every change."""

    uri: str
    version: int
    text: str
    told: Judgement | None = None
    marks: tuple[Mark, ...] = ()

    @property
    def place(self) -> str:
        """The file that it is, or would be where it has not been saved."""
        return uris.to_fs_path(self.uri) or "untitled.yaml"

    @property
    def kind(self) -> str:
        """The format that it says it has; "" of what is none of ours: we may be handed any YAML."""
        found = _FORMAT.search(self.text)
        return "" if found is None else found[1]

    @property
    def source(self) -> bytes:
        """The text as a file would hold it; of what UTF-8 cannot hold the reader tells."""
        return self.text.encode("utf-8", "surrogatepass")

    def question(self, what: str, *more: Any) -> Question:
        """What is asked of the judging process about this version."""
        return Question(what=what, place=self.place, source=self.source, more=more)

    def take(self, told: Judgement) -> None:
        """Take what is told of this version."""
        self.told = told
        self.marks = list_marks(told, self.text)
