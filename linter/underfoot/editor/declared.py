"""What the plan format declares of a place: the key that stands there, and its kind of value."""

from collections.abc import Sequence

from msgspec import Struct

from underfoot.plan_format.declaration import (
    ById,
    Choice,
    ConductorSize,
    IdOf,
    Key,
    Kind,
    ListOf,
    Quantity,
    Text,
    Thing,
    Whole,
    WordOr,
    YesNo,
    say_whole,
)
from underfoot.plan_format.files import DECLARED
from underfoot.plan_format.kinds import ID, NOTE, STOP
from underfoot.plan_format.meanings import MEANINGS
from underfoot.plan_format.reference import example_of
from underfoot.plan_format.yaml_line import write_inline

_NOTE = Key("note", NOTE)
# Keys whose text names a thing, where the kind of value does not say which.
_NAMED_BY_KEY = {"circuit": "circuit", "shares": "circuit", "rcd_group": "group"}


class Declared(Struct, frozen=True, kw_only=True):
    """What is declared of a place: `kind` of its value; its `key` in a thing, where it has one."""

    kind: Kind
    key: Key | None = None
    holder: Thing | None = None


def find_declared(path: Sequence[str], format_: str = "plan") -> Declared | None:
    """What is declared of a place in a file; None where nothing is known there."""
    found = Declared(kind=DECLARED[format_])
    for part in path:
        step = _step(found.kind, part)
        if step is None:
            return None
        found = step
    return found


def _step(kind: Kind, part: str) -> Declared | None:
    if isinstance(kind, Thing):
        if kind.or_list is not None and part.isdecimal():
            return Declared(kind=kind.or_list)
        key = next((each for each in (*kind.keys, _NOTE) if each.name == part), None)
        return None if key is None else Declared(kind=key.of, key=key, holder=kind)
    if isinstance(kind, ById):
        return Declared(kind=kind.of)
    if isinstance(kind, ListOf):
        return Declared(kind=kind.of) if part.isdecimal() else None
    if isinstance(kind, Text) and kind.or_list is not None:
        return Declared(kind=kind.or_list.of) if part.isdecimal() else None
    return None


def thing_at(path: Sequence[str]) -> Thing | None:
    """The thing of a plan whose keys stand right below a place."""
    found = find_declared(path, "plan")
    return found.kind if found is not None and isinstance(found.kind, Thing) else None


def named_kind(path: Sequence[str], declared: Declared) -> str | None:
    """Which kind of thing a value at this place names by its id: "film", "circuit", "stop" ..."""
    kind = declared.kind
    if isinstance(kind, IdOf):
        return kind.kind
    if kind is STOP:
        return "stop"
    if kind is ID and path:
        return _NAMED_BY_KEY.get(path[-1])
    if tuple(path[:1]) == ("waivers",) and path[-1] in ("rule", "item"):
        return "rule" if path[-1] == "rule" else "any"
    return None


def list_words(kind: Kind) -> tuple[str, ...]:
    """The words that a value of a kind may be, as they are written."""
    if isinstance(kind, Choice):
        return tuple(str(each) for each in kind.options)
    if isinstance(kind, YesNo):
        return ("true", "false")
    return kind.words if isinstance(kind, WordOr) else ()


def explain_words(declared: Declared) -> dict[str, str]:
    """What each of the words means that a value may be, where that is told."""
    if declared.key is None or declared.holder is None:
        return {}
    meanings = MEANINGS.get((declared.holder.name, declared.key.name), {})
    return {str(word): says for word, says in meanings.items()}


def say_meaning(key: Key) -> str:
    """What a key means, in a sentence."""
    says = key.says or getattr(key.of, "says", "")
    if not says and isinstance(key.of, ListOf | ById):
        says = getattr(key.of.of, "says", "")
    return says or f"{_say_kind(key.of)[:1].upper()}{_say_kind(key.of)[1:]}."


def say_key(key: Key, holder: Thing) -> str:
    """All that is to be said of a key, in Markdown: meaning, unit, default, an example."""
    rows = [f"**`{key.name}`** of {holder.title}", "", say_meaning(key), ""]
    rows.append(f"- written as: {_say_kind(key.of)}")
    unit = _unit_of(key.of)
    if unit:
        rows.append(f"- unit: {unit}")
    if key.default is not None:
        rows.append(f"- left out, it is `{write_inline(key.default)}`")
    elif key.needed:
        rows.append("- it is needed")
    for word, says in explain_words(Declared(kind=key.of, key=key, holder=holder)).items():
        rows.append(f"- `{word}`: {says}")
    example = example_value(key)
    if example is not None:
        rows.append(f"- for instance `{key.name}: {write_inline(example)}`")
    return "\n".join(rows)


def _unit_of(kind: Kind) -> str:
    if isinstance(kind, ListOf | ById):
        return _unit_of(kind.of)
    if isinstance(kind, Quantity):
        bare = f"; a bare number is {kind.bare}" if kind.bare else ""
        return f"kept in {' or '.join((kind.unit, *kind.also))}, any unit of its kind{bare}"
    if isinstance(kind, ConductorSize | WordOr):
        return f"{kind.unit}"
    if isinstance(kind, Thing) and kind.or_quantity is not None:
        return _unit_of(kind.or_quantity)
    return ""


def _say_kind(kind: Kind) -> str:
    """How a value is written, in a few words."""
    if isinstance(kind, Quantity):
        return kind.title if kind.bound == "any" else f"{kind.title}, {kind.bound}"
    if isinstance(kind, ById):
        return f"{kind.title}, each by an id of its own"
    if isinstance(kind, ListOf):
        return kind.title or f"a list, each entry {_say_kind(kind.of)}"
    if isinstance(kind, IdOf):
        return f"the id of a {kind.kind}"
    if isinstance(kind, Whole):
        return say_whole(kind)
    words = list_words(kind)
    if words:
        told = " or ".join((", ".join(words[:-1]), words[-1])) if len(words) > 1 else words[0]
        return f"{told}, or a figure" if isinstance(kind, WordOr) else told
    return getattr(kind, "title", "") or "text"


def example_value(key: Key) -> object:
    """A value that the key could have; None where there is none to be told in a line."""
    if key.examples:
        return key.examples[0]
    examples = getattr(key.of, "examples", ())
    if examples:
        return examples[0]
    if isinstance(key.of, Thing):
        return example_of(key.of)
    words = list_words(key.of)
    return _plain(words[0]) if words else None


def _plain(word: str) -> object:
    return {"true": True, "false": False}.get(word, int(word) if word.isdecimal() else word)
