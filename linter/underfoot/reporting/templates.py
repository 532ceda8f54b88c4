"""Templates of a page: Jinja2 set up in one way for all, with whatever a plan says escaped."""

from collections.abc import Callable, Iterable, Iterator
from functools import partial
from importlib.resources import files
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup

from underfoot.reporting.layout import count_of, escape_invisible
from underfoot.reporting.phrases import as_sentence

# So many letters are put together to a piece.
_PIECE = 1 << 16


def set_up_templates(package: str, folder: str, **words: Callable[..., Any] | str) -> Environment:
    """Set up the templates in a folder of a package; all may use `words`, besides the usual ones.

    The package is read wherever it is installed. A name that is not there is an error, and so is a
    template that leaves something undefined.
    """
    environment = Environment(
        loader=FunctionLoader(partial(_find, package, folder)),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_shown,
        keep_trailing_newline=True,
    )
    environment.globals.update(
        as_sentence=as_sentence, count_of=count_of, class_of=_class_of, **words
    )
    return environment


def read_part(package: str, folder: str, name: str) -> str:
    """Read a file that a page is made of. FileNotFoundError where it is not there."""
    return files(package).joinpath(folder, name).read_text("utf-8")


def in_whole_lines(pieces: Iterable[str]) -> Iterator[str]:
    """Put what a template gives together to larger pieces, none of which ends within a line.

    So a page of many plans is never held as a whole.
    """
    waiting: list[str] = []
    length = 0
    for piece in pieces:
        waiting.append(piece)
        length += len(piece)
        if length > _PIECE:
            lines, end, begun = "".join(waiting).rpartition("\n")
            yield lines + end
            waiting, length = [begun], len(begun)
    yield "".join(waiting)


def _find(package: str, folder: str, name: str) -> str | None:
    try:
        return read_part(package, folder, name)
    except FileNotFoundError:
        return None


def _class_of(words: str) -> str:
    """Return the class that styles a verdict or an outcome."""
    return words.replace(" ", "-")


def _shown(value: Any) -> Any:
    """Write out what would be hidden or turn the reading direction, in whatever a plan says."""
    if isinstance(value, str) and not isinstance(value, Markup):
        return escape_invisible(value)
    return "" if value is None else value
