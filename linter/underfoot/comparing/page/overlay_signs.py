"""Signs on the overlay: what was brought in, what was left and what is cleared, by number.

A number stands as names do: ``+3`` is new, ``–2`` is gone, and in dashes; ``1`` was left.
"""

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from underfoot.checking.facts import Facts
from underfoot.checking.report import ReportedFinding
from underfoot.comparing.comparison import Comparison
from underfoot.drawing.balloons import Balloon, draw_leader, place_balloons
from underfoot.drawing.body import SheetOptions, make_scene
from underfoot.drawing.finding_signs import draw_balloon_sign
from underfoot.drawing.occupancy import Taken, nothing_taken, take
from underfoot.drawing.sheets import Box, Extent, View
from underfoot.drawing.svg import clean, escape, group, tag


class Sign(Struct, frozen=True, kw_only=True):
    """A finding to be shown: `which` revision it is of, and what became of it."""

    which: str
    finding: ReportedFinding
    mark: str
    became: str
    target: str
    id: str

    @property
    def key(self) -> tuple[str, int]:
        """Name the sign among all of its pair."""
        return (f"over-{self.which}", self.finding.number)


def signs_of(pair: Comparison, pair_id: str) -> list[Sign]:
    """Return the signs of a pair's findings; what was left stands where it is now."""
    several = [("new", each, "+", "brought in") for each in pair.brought_in]
    several += [("new", each.new, "", "left") for each in pair.left]
    several.sort(key=lambda each: each[1].number)
    several += [("old", each.finding, "–", "cleared") for each in pair.cleared]
    return [
        Sign(
            which=which,
            finding=finding,
            mark=mark,
            became=became,
            target=f"{pair_id}-{which}-{finding.number}",
            id=f"{pair_id}-over-{which}-{finding.number}",
        )
        for which, finding, mark, became in several
    ]


class Ground(Struct, frozen=True, kw_only=True):
    """Where the signs of a room go: both revisions lie on it alike. `taken` is what is lettered."""

    extent: Extent
    view: View
    whole: Box
    taken: Taken


def draw_signs(
    ground: Ground, sides: Mapping[str, Facts | None], room: str, signs: Iterable[Sign]
) -> tuple[str, list[Sign]]:
    """Draw the signs that have a place in a room, each a link; give also which they are."""
    drawn: list[str] = []
    placed: list[Sign] = []
    waiting = list(signs)
    for which in ("new", "old"):
        facts = sides[which]
        if facts is None or room not in facts.rooms:
            continue
        balloons = _place(ground, facts, room, [each for each in waiting if each.which == which])
        drawn.append(
            group(
                *(draw_leader(balloon) for _, balloon in balloons),
                *(_draw(sign, balloon) for sign, balloon in balloons),
                class_=which,
            )
        )
        placed += [sign for sign, _ in balloons]
    return "".join(drawn), placed


def _place(
    ground: Ground, facts: Facts, room: str, signs: Sequence[Sign]
) -> list[tuple[Sign, Balloon]]:
    scene = make_scene(
        facts.rooms[room], facts.plan, ground.extent, ground.view,
        ground.whole.inset(1.0, 1.0, 1.0, 1.0), "", SheetOptions(),
    )  # fmt: skip
    by_number = {sign.finding.number: sign for sign in signs}
    findings = [sign.finding for sign in signs]
    balloons, _ = place_balloons(
        scene, findings, ground.taken, ground.taken, nothing_taken(), ground.taken
    )
    for balloon in balloons:
        take(ground.taken, balloon.patch)
        take(ground.taken, (balloon.anchor, balloon.middle))
    return [(by_number[balloon.finding.number], balloon) for balloon in balloons]


def _draw(sign: Sign, balloon: Balloon) -> str:
    finding = sign.finding
    said = f"{sign.mark}{finding.number} {sign.became}, {finding.rule}: {finding.message}"
    return tag(
        "a",
        group(
            tag("title", escape(clean(said))),
            draw_balloon_sign(
                finding.severity,
                f"{sign.mark}{finding.number}",
                balloon.middle,
                waived=sign.which == "old",
            ),
            class_="balloon",
        ),
        href=f"#{sign.target}",
        id=sign.id,
    )
