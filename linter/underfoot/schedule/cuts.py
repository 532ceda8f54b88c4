"""The cut list: every strip from which roll or offcut, in which order, and what is left."""

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from underfoot.checking.facts import Facts
from underfoot.checking.words import name_runs
from underfoot.plan import Element, Film
from underfoot.schedule.cutting import Bar, Cutting, cut
from underfoot.schedule.document import Cell, Column, Part, Table
from underfoot.schedule.marks import list_marks
from underfoot.schedule.stock import Stock
from underfoot.schedule.strips import word

_CLOSE = 1e-6
# More new rolls than this are not begun one by one: nobody buys so many at once.
MOST_ROLLS = 400


class _Source(Struct, frozen=True, kw_only=True):
    """A roll or an offcut: `length` in mm, None where a roll has no end."""

    name: str
    length: float | None
    is_new: bool


class FilmCuts(Struct, frozen=True, kw_only=True):
    """The cuts of one film: pieces by source, in order, and what is proved of them.

    A piece is (room, strip, mm cut); `missing` are strips that nothing is long enough for.
    """

    film: Film
    sources: tuple[_Source, ...]
    pieces: tuple[tuple[tuple[str, Element, float], ...], ...]
    missing: tuple[tuple[str, Element, float], ...]
    cutting: Cutting | None
    unused: tuple[str, ...]
    off_line: tuple[str, ...]

    @property
    def wanted(self) -> float:
        """What all strips take, mm."""
        return sum(mm for pieces in self.pieces for _, _, mm in pieces)

    @property
    def rolls_begun(self) -> int:
        """How many new rolls are begun."""
        return sum(source.is_new for source in self.sources)

    @property
    def left_of_rolls(self) -> float:
        """What is left of all new rolls that are begun, mm."""
        return sum(
            source.length - sum(mm for _, _, mm in pieces)
            for source, pieces in zip(self.sources, self.pieces, strict=True)
            if source.is_new and source.length is not None
        )

    def find_waste(self, keep: float) -> float:
        """Add up the rests that are too short to be kept, mm."""
        rests = [
            source.length - sum(mm for _, _, mm in pieces)
            for source, pieces in zip(self.sources, self.pieces, strict=True)
            if source.length is not None
        ]
        return round(sum(rest for rest in rests if rest < keep - _CLOSE), 3)


def cut_films(facts: Facts, stock: Stock) -> tuple[FilmCuts, ...]:
    """Divide the strips of every film over what there is of it."""
    return tuple(_cut_film(facts, film, stock) for film in facts.films_in_use.values())


def schedule_cuts(facts: Facts, stock: Stock, found: Sequence[FilmCuts]) -> Part:
    """List the cuts, and set the strips out on the floor."""
    at_hand = [
        *((each.name, each.film) for each in stock.offcuts),
        *(("a roll", film) for film in stock.rolls if film),
    ]
    strangers = [f"{name} of {film}" for name, film in at_hand if film not in facts.films_in_use]
    says = [
        "Cut in this order, each piece on a cut line, and write its name on it at once. Measure "
        "twice: a strip that is cut too short cannot be mended.",
    ]
    if strangers:
        says.append(f"Of no use here, since no strip is of that film: {', '.join(strangers)}.")
    return Part(
        key="cuts",
        title="Cut list and marks on the floor",
        says=tuple(says),
        tables=(_list_cuts(found), _list_sources(found, stock), list_marks(facts)),
    )


def _cut_film(facts: Facts, film: Film, stock: Stock) -> FilmCuts:
    unit = film.cut_every or 1.0
    strips = [
        (room.id, element)
        for room in facts.heated_rooms
        for element in room.elements
        if element.film.id == film.id
    ]
    units = {element.id: math.ceil(element.length / unit - _CLOSE) for _, element in strips}
    roll = stock.roll_of(film)
    offcuts = [
        _Source(name=each.name, length=each.length, is_new=False)
        for each in stock.offcuts
        if each.film == film.id
    ]
    longest = max(
        [source.length or 0.0 for source in offcuts] + [math.inf if roll is None else roll]
    )
    fits = {name: length * unit <= longest + _CLOSE for name, length in units.items()}
    missing = [strip for strip in strips if not fits[strip[1].id]]
    placed = [strip for strip in strips if fits[strip[1].id]]
    sources, cutting = _divide([units[element.id] for _, element in placed], offcuts, roll, unit,
                               stock.keep)  # fmt: skip
    pieces = _hand_out(placed, units, unit, len(sources), cutting)
    begun = [at for at, own in enumerate(pieces) if own]
    return FilmCuts(
        film=film,
        sources=tuple(sources[at] for at in begun),
        pieces=tuple(pieces[at] for at in begun),
        missing=tuple((room, each, units[each.id] * unit) for room, each in missing),
        cutting=cutting,
        unused=tuple(
            source.name
            for at, source in enumerate(sources)
            if at not in begun and not source.is_new
        ),
        off_line=tuple(
            each.id for _, each in strips if units[each.id] * unit - each.length > _CLOSE
        ),
    )


def _divide(
    pieces: Sequence[int], offcuts: Sequence[_Source], roll: float | None, unit: float, keep: float
) -> tuple[list[_Source], Cutting | None]:
    bars = [Bar(units=_floor(source.length or 0.0, unit), is_new=False) for source in offcuts]
    if roll is None:
        endless = Bar(units=max(1, sum(pieces)) * 2 + math.ceil(keep / unit), is_new=True)
        sources = [*offcuts, _Source(name="roll", length=None, is_new=True)]
        return sources, cut(pieces, [*bars, endless], math.ceil(keep / unit - _CLOSE))
    most = min(_count_rolls(pieces, _floor(roll, unit)), MOST_ROLLS)
    new = [_Source(name=f"roll {n}", length=roll, is_new=True) for n in range(1, most + 1)]
    bars += [Bar(units=_floor(roll, unit), is_new=True)] * most
    return [*offcuts, *new], cut(pieces, bars, math.ceil(keep / unit - _CLOSE))


def _floor(length: float, unit: float) -> int:
    return math.floor(length / unit + _CLOSE)


def _count_rolls(pieces: Sequence[int], roll: int) -> int:
    """Count the rolls that are enough: what the longest first takes without any offcut."""
    left: list[int] = []
    for piece in sorted(pieces, reverse=True):
        at = next((at for at, rest in enumerate(left) if rest >= piece), None)
        if at is None:
            left.append(roll - piece)
        else:
            left[at] -= piece
        if len(left) > MOST_ROLLS:
            break
    return len(left)


def _hand_out(
    strips: Sequence[tuple[str, Element]],
    units: Mapping[str, int],
    unit: float,
    sources: int,
    cutting: Cutting | None,
) -> list[tuple[tuple[str, Element, float], ...]]:
    """Give each strip a source that has a piece of its length, in the order of laying."""
    given: list[list[tuple[str, Element, float]]] = [[] for _ in range(sources)]
    if cutting is None or not cutting.taken:
        return [tuple(own) for own in given]
    free: dict[int, list[int]] = defaultdict(list)
    for at, taken in enumerate(cutting.taken):
        for length, count in taken.items():
            free[length] += [at] * count
    turn = {length: iter(places) for length, places in free.items()}
    for room, element in strips:
        at = next(turn[units[element.id]])
        given[at].append((room, element, units[element.id] * unit))
    return [tuple(own) for own in given]


def _list_cuts(found: Sequence[FilmCuts]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for film in found:
        for source, pieces in zip(film.sources, film.pieces, strict=True):
            done = 0.0
            for place, (room, element, mm) in enumerate(pieces, 1):
                done += mm
                left = None if source.length is None else source.length - done
                rows.append((film.film.id, source.name, place, room, element.id, mm, done, left))
        rows += [
            (film.film.id, "nothing is long enough", None, room, element.id, mm, None, None)
            for room, element, mm in film.missing
        ]
    return Table(
        key="cuts",
        title="Cuts, in order",
        columns=(word("film"), word("source", "from"),
                 Column(key="cut", title="cut", decimals=0), word("room"), word("strip"),
                 Column(key="length_mm", title="length", unit="mm", decimals=0),
                 Column(key="end_mm", title="ends at", unit="mm", decimals=0),
                 Column(key="left_mm", title="left", unit="mm", decimals=0)),
        rows=tuple(rows),
        says=tuple(_say_off_line(found)),
        if_empty="No strips are drawn.",
    )  # fmt: skip


def _say_off_line(found: Sequence[FilmCuts]) -> Iterator[str]:
    for film in found:
        if film.off_line:
            yield (
                f"{name_runs(film.off_line)} of {film.film.id} would end between two cut lines: "
                "here each is cut at the next line, longer than it is drawn. Put the plan right."
            )


def _list_sources(found: Sequence[FilmCuts], stock: Stock) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for film in found:
        for source, pieces in zip(film.sources, film.pieces, strict=True):
            used = sum(mm for _, _, mm in pieces) / 1000
            rest = None if source.length is None else source.length / 1000 - used
            length = None if source.length is None else source.length / 1000
            rows.append(
                (film.film.id, source.name, length, len(pieces), used, rest, _say_rest(rest, stock))
            )
    return Table(
        key="sources",
        title="What is cut from, and what is left of it",
        columns=(word("film"), word("source", "from"),
                 Column(key="length_m", title="length", unit="m", decimals=2),
                 Column(key="pieces", title="pieces", decimals=0),
                 Column(key="used_m", title="cut", unit="m", decimals=2),
                 Column(key="rest_m", title="left", unit="m", decimals=2),
                 word("becomes", "which is")),
        rows=tuple(rows),
        says=tuple(said for film in found for said in _say_proved(film, stock)),
        if_empty="Nothing is cut.",
    )  # fmt: skip


def _say_rest(rest: float | None, stock: Stock) -> str | None:
    if rest is None:
        return None
    if rest < 5e-4:
        return "nothing"
    return "kept" if rest * 1000 >= stock.keep - _CLOSE else "waste"


def _say_proved(film: FilmCuts, stock: Stock) -> Iterator[str]:
    """Say what all comes to, and how sure it is that no other way is better."""
    name, cutting, roll = film.film.id, film.cutting, stock.roll_of(film.film)
    if film.missing:
        yield (
            f"Of {name} nothing is long enough for "
            f"{name_runs(element.id for _, element, _ in film.missing)}."
        )
    if cutting is None:
        yield f"Of {name} there is not enough: more than {MOST_ROLLS} rolls would be begun."
        return
    rolls, lost, _ = cutting.figures
    unit = film.film.cut_every or 1.0
    if roll is None:
        yield (
            f"{name}: {film.wanted / 1000:g} m in all. How long a roll is was not said (`roll` of "
            "the film, or --roll 50m): the rest comes from one that is long enough."
        )
    else:
        yield (
            f"{name}: {film.wanted / 1000:g} m in all; {rolls} new "
            f"{'roll' if rolls == 1 else 'rolls'} of {roll / 1000:g} m begun, "
            f"{_say_waste(film.find_waste(stock.keep), lost * unit, stock.keep)}."
        )
    if film.unused:
        yield f"{name}: not needed: {', '.join(film.unused)}."
    if cutting.solved:
        yield (
            f"{name}: the solver proved that no other way begins fewer new rolls, of those none "
            "loses less, and of those none takes less from new rolls."
        )
    elif cutting.is_least:
        yield (
            f"{name}: that is the least: fewer new rolls do not hold what the offcuts lack, and "
            "nothing is lost."
        )
    else:
        least_rolls, _, least_new = cutting.least
        yield (
            f"{name}: this is not proved to be least. No way begins fewer than {least_rolls} new "
            f"rolls or takes less than {least_new * unit / 1000:g} m from them"
            f"{_why_not_solved()}."
        )


def _say_waste(waste: float, lost: float, keep: float) -> str:
    under = f"rests under {keep / 1000:g} m"
    if not waste:
        return f"nothing is lost in {under}"
    if not lost:
        return f"{waste / 1000:g} m is waste, in rests too short for a cut"
    return f"{waste / 1000:g} m is waste, {lost / 1000:g} m of it in whole cuts: {under}"


def _why_not_solved() -> str:
    from importlib.util import find_spec

    if find_spec("scipy") is None:
        return "; the solver needs the extra 'schedule': pip install 'underfoot[schedule]'"
    return "; the job is too large for the solver"
