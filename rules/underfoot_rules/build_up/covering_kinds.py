"""What coverings and boards are like, told from the words of their kind or material."""

from typing import Literal

Like = Literal["soft", "mineral", "stiff"]

_SOFT = (
    "vinyl", "pvc", "carpet", "rug", "cork", "lino", "rubber", "textile", "felt", "needle", "sisal",
    "coir", "seagrass", "jute", "wool", "cushion", "polyurethane", "polyolefin",
)  # fmt: skip
_MINERAL = (
    "tile", "ceramic", "porcelain", "stone", "slate", "marble", "granite", "terrazzo", "mosaic",
    "terracotta", "brick", "concrete",
)  # fmt: skip
_STIFF = ("wood", "parquet", "oak", "beech", "ash", "pine", "bamboo", "timber", "plank", "board")
_HARD = (
    "cement", "coated", "faced", "hardboard", "plywood", "chipboard", "particleboard", "osb", "mdf",
    "fibreboard", "gypsum", "plasterboard", "steel",
)  # fmt: skip
_YIELDING = (
    "foam", "polystyrene", "xps", "eps", "polyethylene", "polyurethane", "cork", "felt", "rubber",
    "wool", "paper", "carpet", "sheet", "cloth", "foil",
)  # fmt: skip


def tell_covering(kind: str | None) -> Like | None:
    """Tell a covering by the words of its kind; None where they say nothing.

    A cork tile is soft and a stone-look laminate stiff: the softest word goes first.
    """
    words = (kind or "").lower()
    if _names(words, _SOFT):
        return "soft"
    if "laminate" in words:
        return "stiff"
    if _names(words, _MINERAL):
        return "mineral"
    return "stiff" if _names(words, _STIFF) else None


def is_hard(material: str | None) -> bool:
    """Tell whether a board's material, or its face, bears a point load by itself."""
    return _names((material or "").lower(), _HARD)


def is_yielding(material: str) -> bool:
    """Tell whether a layer of a material gives way below a point load."""
    return not is_hard(material) and _names(material.lower(), _YIELDING)


def _names(words: str, known: tuple[str, ...]) -> bool:
    return any(each in words for each in known)
