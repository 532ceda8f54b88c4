"""Demo plans with all taken out that `lay` puts in."""

from collections.abc import Collection

from tests.demo_plans import PLANS
from underfoot.checking.mend import Edit
from underfoot.mending.text_edits import edit_text
from underfoot.reading.syntax import parse

LAID = (
    "rows", "elements", "leads", "sensor", "junction_box", "thermostat", "insulation", "membrane",
)  # fmt: skip


def strip(name: str, but: Collection[str] = ()) -> str:
    """Return a demo plan's text with outline, furniture, floor and demand alone in its rooms.

    Keys of a room named by `but` stay, too.
    """
    text = (PLANS / f"{name}.yaml").read_text("utf-8")
    data = parse(text.encode()).data
    edits = [
        Edit(op="remove", path=("rooms", room, key))
        for room, drawn in data["rooms"].items()
        for key in LAID
        if key in drawn and key not in but
    ]
    edited = edit_text(text, [*edits, Edit(op="remove", path=("circuits",))])
    assert edited is not None
    return edited.text
