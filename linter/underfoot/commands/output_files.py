"""Where a report goes: standard output, or a file that is written whole or not at all."""

import os
import stat
import sys
from collections.abc import Iterable
from contextlib import suppress

from msgspec import Struct

from underfoot.commands.real_paths import RealPlaces
from underfoot.running.beside import NEW_FILE, as_bytes, name_beside, write_beside
from underfoot.running.errors import CommandError
from underfoot.running.signals import heed_no_more, turn_away_from, undisturbed


def check_output(place: str, plans: Iterable[str], option: str = "--output") -> None:
    """See before a long run that `place` can be written and is no plan. CommandError if not.

    `option` is what named it on the command line.
    """
    if place == "-":
        raise CommandError(f"{option} -: leave {option} out to write to standard output")
    folder = os.path.dirname(os.path.abspath(place))
    if os.path.isdir(place):
        raise CommandError(f"{option} {place}: this is a folder; name a file in it")
    if not os.path.isdir(folder):
        raise CommandError(f"{option} {place}: there is no folder {folder}")
    if not (os.access(folder, os.W_OK) or _is_special(place)):
        raise CommandError(f"{option} {place}: nothing can be written into the folder {folder}")
    real = os.path.realpath(place)
    places = RealPlaces()
    for plan in plans:
        if places.of(plan) == real:
            raise CommandError(f"{option} {place}: this would overwrite a plan that is checked")
    if real.lower().endswith((".yaml", ".yml")) and os.path.isfile(real):
        raise CommandError(
            f"{option} {place}: this would overwrite a YAML file, such as a plan, a catalogue or "
            "settings, and no report is one: give the report another ending"
        )


def write_file(place: str, pieces: Iterable[str | bytes]) -> None:
    """Write UTF-8 beside `place`, then put it there in one step; on failure nothing changes.

    Bytes are written as they are. A link is followed, so that what it leads to is replaced. A pipe
    or a device is written as it is. CommandError where it cannot be written.
    """
    write_files([Writing(place=place, pieces=pieces)])


class Writing(Struct, frozen=True, kw_only=True):
    """What is to be written where; `option` is what named the place on the command line."""

    place: str
    pieces: Iterable[str | bytes]
    option: str = "--output"


def write_files(writings: Iterable[Writing], *, ends_the_run: bool = False) -> None:
    """Write several files as `write_file` does one: either all are put in place or none.

    What goes into pipes and devices cannot be taken back; it is written last. Where nothing is to
    be done after it (`ends_the_run`), a signal that comes too late to stop it passes by.
    """
    ready: list[tuple[str, str, str]] = []
    special: list[Writing] = []
    named = ""
    try:
        for writing in writings:
            named = f"{writing.option} {writing.place}"
            if _is_special(writing.place):
                special.append(writing)
            else:
                real = os.path.realpath(writing.place)
                beside = name_beside(real)
                ready.append((beside, real, named))  # so that it is taken away whatever comes
                write_beside(beside, real, writing.pieces)
        with undisturbed():
            while ready:
                beside, real, named = ready[0]
                os.replace(beside, real)
                del ready[0]
            if ends_the_run and not special:
                heed_no_more()
        for writing in special:
            named = f"{writing.option} {writing.place}"
            with open(writing.place, "wb") as stream:
                stream.writelines(map(as_bytes, writing.pieces))
    except OSError as error:
        raise CommandError(f"{named}: {error.strerror or error}") from None
    finally:
        for beside, _, _ in ready:
            with suppress(FileNotFoundError):
                os.unlink(beside)


def write_new_file(place: str, text: str) -> None:
    """Write a file that is not there yet, whole or not at all; CommandError where it is there.

    Also one that comes to be there meanwhile stays as it is.
    """
    beside = name_beside(os.path.abspath(place))
    try:
        write_beside(beside, beside, [text])
        with undisturbed():
            try:
                os.link(beside, place)
            except FileExistsError:
                raise
            except OSError:  # no links on this file system
                os.close(os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL, NEW_FILE))
                os.replace(beside, place)
    except FileExistsError:
        raise CommandError(
            f"{place}: there is a file of this name already, which stays as it is; choose another "
            "name"
        ) from None
    except OSError as error:
        raise CommandError(f"{place}: {error.strerror or error}") from None
    finally:
        with suppress(FileNotFoundError):
            os.unlink(beside)


def _is_special(place: str) -> bool:
    try:
        return not stat.S_ISREG(os.stat(place).st_mode)
    except OSError:
        return False


_MARKUP = ("html", "svg", "junit")
_PLAIN = ("text", "lines", "markdown")


def disarmed(pieces: Iterable[str], form: str) -> Iterable[str]:
    """Let nothing in what is written as `form` be a command to a CI service.

    JSON sees to that where it is made; of annotations the beginning of a line is meant to be one.
    """
    # Not at the top: the list of commands is written without them.
    from underfoot.reporting.ci_words import disarm_lines, disarm_markup, disarm_within

    if form in _PLAIN:
        return disarm_lines(pieces)
    if form == "annotations":
        return map(disarm_within, pieces)
    return map(disarm_markup, pieces) if form in _MARKUP else pieces


def write_out(pieces: Iterable[str], form: str = "text") -> None:
    """Write to standard output: UTF-8 everywhere but on a terminal that reads something else.

    Anywhere but on a terminal nothing in it is a command to a CI service.
    """
    out = sys.stdout
    if not out.isatty():
        pieces = disarmed(pieces, form)
    raw = getattr(out, "buffer", None)
    if raw is None:
        for piece in pieces:
            out.write(piece)
        return
    encoding = (out.encoding or "utf-8") if out.isatty() else "utf-8"
    out.flush()
    for piece in pieces:
        raw.write(piece.encode(encoding, "replace"))
    raw.flush()


def say(message: str, more: Iterable[str] = ()) -> None:
    """Say one line on standard error, and below it what is written already.

    Where that cannot be written, as on a full disk, the status says what it would have said anyway.
    """
    from underfoot.reading.hidden import escape_invisible
    from underfoot.reporting.ci_words import disarm

    err = sys.stderr
    text = "\n".join((f"underfoot: {escape_invisible(message)}", *more, ""))
    if not err.isatty():
        text = disarm(text)
    encoding = err.encoding or "utf-8"
    try:
        err.write(text.encode(encoding, "replace").decode(encoding))
        err.flush()
    except BrokenPipeError:
        raise
    except OSError:
        turn_away_from(err)
