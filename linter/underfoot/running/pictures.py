"""Sheets as pictures, each made in a process that the system keeps to what a sheet may cost."""

from collections.abc import Callable, Sequence

from msgspec import Struct

from underfoot.checking.crash import is_lack_of_memory
from underfoot.drawing.printing import CannotPrintError, print_png
from underfoot.running.copies import can_copy
from underfoot.running.errors import CommandError
from underfoot.running.limits import Allowance, allowance_for, clock_seconds
from underfoot.running.pool import cores, run_in_pool
from underfoot.running.time_limit import hold_here
from underfoot.running.work import Ending, Hold

# A flat of ten rooms has fifty; a picture takes half a second.
MOST_PICTURES = 150


def print_pictures(sheets: Sequence[str]) -> list[bytes]:
    """Turn SVG sheets into PNG pictures, in their order; CommandError where one cannot be made."""
    if len(sheets) > MOST_PICTURES:
        raise CommandError(
            f"there are {len(sheets)} sheets, and at most {MOST_PICTURES} are made pictures of in "
            "one go: choose one room by --room, or write them as one PDF"
        )
    printing = Printing(sheets=tuple(sheets))
    places = range(len(sheets))
    if not can_copy():
        return list(map(printing.start(hold_here), places))
    return list(run_in_pool(places, printing, processes=min(cores(), len(sheets))))


class Printing(Struct, frozen=True, kw_only=True):
    """The making of pictures as the work of a pool; a job is a sheet's place among the sheets.

    The processes have the sheets already: a line holds only so much that nobody has read yet.
    """

    sheets: tuple[str, ...]

    def start(self, hold: Hold) -> Callable[[int], bytes]:
        """Return what makes one picture."""

        def print_one(place: int) -> bytes:
            sheet = self.sheets[place]
            try:
                picture: bytes = hold(self.allow(place), lambda: print_png(sheet))
            except CannotPrintError as error:
                raise CommandError(str(error)) from None
            except Exception as error:
                if is_lack_of_memory(error):
                    raise CommandError(_TOO_MUCH) from None
                raise
            return picture

        return print_one

    def allow(self, place: int) -> Allowance:
        """Return what one may cost."""
        return allowance_for(len(self.sheets[place]))

    def clock_seconds(self, place: int) -> float:
        """Return how long one may take by the clock."""
        return clock_seconds(self.allow(place))

    def is_read_once(self, place: int) -> bool:
        """A sheet can be begun again."""
        return False

    def give_up(self, place: int, ending: Ending) -> bytes:
        """CommandError: without one of its sheets a plan is not drawn."""
        if ending.ran_out_of_time:
            seconds = self.allow(place).seconds
            raise CommandError(
                f"making a picture of a sheet took longer than {seconds:g} s and was given up: "
                "write it as PDF or SVG"
            )
        raise CommandError(f"{_TOO_MUCH} (the process that made it {ending.how})")


_TOO_MUCH = (
    "making a picture of a sheet needed more memory than it may, and was given up: write it as PDF "
    "or SVG"
)
