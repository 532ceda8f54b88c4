"""Names as drawings have them -> ids of a plan."""

import re
import unicodedata
from collections.abc import Collection

from underfoot.plan_format.json_schema import RESERVED_IDS

_LONGEST = 40
_ASCII = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "þ": "th", "ð": "d"})
# What YAML or its readers might take for something other than text.
_NO_NAMES = frozenset({"true", "false", "null", "yes", "no", "on", "off", "y", "n"})


def make_id(name: str | None, otherwise: str, taken: Collection[str] = ()) -> str:
    """Make an id of a name: small letters, digits and dashes; `otherwise` where nothing is left.

    One that is taken, or has a meaning of its own, gets a number.
    """
    spelt = spell_as_id(name or "") or otherwise
    if not spelt[0].isalpha():
        spelt = f"{otherwise}-{spelt}"
    held = {*taken, *RESERVED_IDS, *_NO_NAMES}
    if spelt not in held:
        return spelt
    return next(
        made for number in range(2, len(held) + 3) if (made := f"{spelt}-{number}") not in held
    )


def spell_as_id(name: str) -> str:
    """Spell a name in the letters, digits and dashes of an id; "" where it has none of them."""
    plain = unicodedata.normalize("NFKD", name[:200].casefold().translate(_ASCII))
    letters = "".join(mark for mark in plain if not unicodedata.combining(mark))
    return re.sub(r"[^a-z0-9]+", "-", letters).strip("-")[:_LONGEST].strip("-")
