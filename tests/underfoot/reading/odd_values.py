"""Values that stand where nobody would write them, and a writer that puts them there."""

import json
from collections.abc import Iterator, Mapping
from typing import Any

Part = str | int
Way = tuple[Part, ...]

# What stands there, by its name, as the file has it.
ODD = {
    "a list": "[1, two]",
    "an empty list": "[]",
    "a list of lists": "[[[]]]",
    "a mapping": "{a: 1}",
    "an empty mapping": "{}",
    "a merge key": "{<<: {a: 1}}",
    "a merge key and a sound one": "{<<: {a: 1}, note: a}",
    "a merge key in a list": "[{<<: [1]}]",
    "a key that is a list": "{[1]: 2}",
    "null": "null",
    "a number": "7",
    "a number below nought": "-7.5",
    "a huge number": "1e400",
    "a very large number": "1e300",
    "a number of many digits": "9" * 40,
    "a tiny number": "1e-300",
    "not a number": ".nan",
    "nan as text": "nan",
    "no text": "''",
    "a blank": "' '",
    "long text": "x" * 5000,
    "two lines": '"a\\nb"',
    "a control mark": '"\\x1b[31m"',
    "a bidi control": '"\\u202e"',
    "a lone surrogate": '"\\ud800"',
    "a date": "2026-02-30",
    "true": "true",
    "yes": "yes",
    "binary": "!!binary aGFsbA==",
    "a set": "!!set {a, b}",
    "an alias": "*nothing",
    "an anchor": "&here 5",
    "a quantity": "5 mm",
    "a foreign quantity": "5 furlongs",
}


def write(data: Any, way: Way, put: str) -> tuple[str, int]:
    """Write data as YAML, an entry a line, with `put` at `way`; and say in which line that is.

    A way that ends in a key leads to its value; the line is the key's.
    """
    lines: list[str] = [""]
    found = [0]

    def emit(value: Any, here: Way) -> None:
        if here == way:
            found[0] = len(lines)
            lines[-1] += put
        elif isinstance(value, Mapping):
            lines[-1] += "{"
            for key, inner in value.items():
                lines.append(f"{json.dumps(key, ensure_ascii=False)}: ")
                emit(inner, (*here, key))
                lines[-1] += ","
            lines[-1] += "}"
        elif isinstance(value, list):
            lines[-1] += "["
            for place, inner in enumerate(value):
                lines.append("")
                emit(inner, (*here, place))
                lines[-1] += ","
            lines[-1] += "]"
        else:
            lines[-1] += json.dumps(value, ensure_ascii=False)

    emit(data, ())
    return "\n".join(lines) + "\n", found[0]


def list_ways(data: Any, here: Way = ()) -> Iterator[Way]:
    """List the way to every node below the whole."""
    inside: Iterator[tuple[Part, Any]] = iter(())
    if isinstance(data, Mapping):
        inside = iter(data.items())
    elif isinstance(data, list):
        inside = iter(enumerate(data))
    for part, value in inside:
        yield (*here, part)
        yield from list_ways(value, (*here, part))
