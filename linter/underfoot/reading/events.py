"""YAML text -> parser events, by PyYAML's C parser where it is there."""

from collections.abc import Callable
from typing import Any

import yaml
from yaml.events import MappingStartEvent, ScalarEvent
from yaml.scanner import ScannerError

from underfoot.reading.source_text import ReadingEndedError, decode


def open_events(text: str, *, pure: bool = False) -> Callable[[], Any]:
    """The function that gives event after event.

    `pure` takes the Python parser even where the C parser is there.
    """
    if not pure:
        try:
            from yaml.cyaml import CParser  # type: ignore[attr-defined]
        except ImportError:
            pass
        else:
            fast: Callable[[], Any] = CParser(text).get_event
            return fast
    slow: Any = yaml.Loader(text)
    read: Callable[[], Any] = slow.get_event

    def next_event() -> Any:
        # Only this parser lets half a surrogate pair through, which no output could be written in.
        event = read()
        if event.__class__ is ScalarEvent and not event.value.isascii():
            try:
                event.value.encode()
            except UnicodeEncodeError:
                mark: Any = event.start_mark
                raise ScannerError(
                    None, None, "found invalid Unicode character escape code", mark
                ) from None
        return event

    return next_event


def find_first_key(source: bytes) -> str | None:
    """The first key of the document, or None where there is none to be read."""
    try:
        next_event = open_events(decode(source))
        events = [next_event() for _ in range(4)]
        if events[2].__class__ is MappingStartEvent and events[3].__class__ is ScalarEvent:
            return str(events[3].value)
    except (ReadingEndedError, yaml.YAMLError):
        pass
    return None
