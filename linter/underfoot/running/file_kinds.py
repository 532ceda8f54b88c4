"""What a YAML file is: a plan, settings, a catalogue and so on, by its first key."""

import re

from underfoot.reading.schema import FORMAT_NAMES
from underfoot.reading.source_text import MOST_BYTES

PLAN = "plan_format"
SETTINGS = "settings_format"
# No kind: a file that says it is something else, and a plan as well.
PLAN_TOO = "plan_format and another"
# The first key stands behind no more than a long remark.
_HEAD_BYTES = 65_536
# How nearly every plan begins; all others are looked at by the reader.
_PLAIN_PLAN = re.compile(rb"(?:[ \t]*(?:#[^\n]*)?\n)*plan_format[ \t]*:")


def find_kind(place: str) -> str:
    """Tell what a YAML file is by its first key, where that is the key of a known format.

    All else is taken for a plan, and told to be none: a misspelt format must not be passed over.
    OSError where it cannot be opened.
    """
    with open(place, "rb") as stream:
        head = stream.read(_HEAD_BYTES)
        if _PLAIN_PLAN.match(head) is not None or b"_format" not in head:
            return PLAN
        from underfoot.reading.events import find_first_key

        is_whole = len(head) < _HEAD_BYTES
        key = find_first_key(head if is_whole else head[: head.rfind(b"\n") + 1])
        if key == PLAN or key not in FORMAT_NAMES:
            return PLAN
        source = head if is_whole else head + stream.read(MOST_BYTES)
    return PLAN_TOO if _is_plan_too(source) else key


def reads_as_plan(place: str) -> bool:
    """Tell whether a file that is not called YAML is a plan all the same; OSError as above.

    Prose that quotes a plan is none: it does not begin as one, and cannot be read as one.
    """
    with open(place, "rb") as stream:
        head = stream.read(_HEAD_BYTES)
        if _PLAIN_PLAN.match(head) is not None:
            return True
        if PLAN.encode() not in head:
            return False
        source = head + stream.read(MOST_BYTES)
    if len(source) > MOST_BYTES:
        return False
    from underfoot.reading.syntax import parse

    parsed = parse(source)
    return isinstance(parsed.data, dict) and PLAN in parsed.data and not parsed.problems


def _is_plan_too(source: bytes) -> bool:
    if PLAN.encode() not in source:
        return False
    from underfoot.reading.syntax import parse

    data = parse(source).data
    return not isinstance(data, dict) or PLAN in data
