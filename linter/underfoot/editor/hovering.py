"""What is explained where the pointer rests: an id, or a key."""

from msgspec import Struct

from underfoot.editor.declared import find_declared, say_key
from underfoot.editor.ids import at_place
from underfoot.editor.outline import outline
from underfoot.editor.text_places import Place, Span


class Pointed(Struct, frozen=True, kw_only=True):
    """What is pointed at: words on the key that stands there, and the kind and name of an id."""

    span: Span
    says: str = ""
    id: tuple[str, str] | None = None


def find_pointed(text: str, place: Place) -> Pointed | None:
    """Find what is pointed at; None where nothing is to be said."""
    entry = outline(text).at(place)
    if entry is None:
        return None
    named = at_place(text, place)
    at_key = entry.key is not None and entry.key.holds(place)
    at_value = entry.value is not None and entry.value.holds(place)
    if not at_key and not at_value and named is None:
        return None
    declared = find_declared(entry.path)
    says = ""
    if declared is not None and declared.key is not None and declared.holder is not None:
        says = say_key(declared.key, declared.holder)
    if not says and named is None:
        return None
    span = entry.key if at_key and entry.key is not None else entry.value
    return Pointed(span=span or entry.whole, says=says, id=named)
