"""Results of earlier runs, kept in a folder: a plan that is as it was need not be checked again.

An entry answers for a plan only where everything that its report hangs on is the same: its bytes
and its name, the review beside it, the settings in force, the rules and the program by the content
of their files, the versions of all that is installed, its catalogue by content, and the day where a
date counts. It holds plain JSON behind a digest; what is damaged or foreign is made anew.
"""

import hmac
import json
import os
import stat
from contextlib import suppress
from datetime import date
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

import msgspec
from msgspec import Struct

from underfoot.checking.check import CheckedPlan
from underfoot.checking.report import PlanReport, RulesAsked
from underfoot.checking.settings import Settings
from underfoot.reading.catalogue import CatalogueError, open_catalogue
from underfoot.reading.source_text import read_whole
from underfoot.running.errors import CommandError
from underfoot.running.plan_files import PlanFile
from underfoot.running.reviews import place_of_review

KEY_VARIABLE = "UNDERFOOT_CACHE_KEY"
LEAST_KEY = 16
# A report of more is made anew each time.
_MOST_ENTRY = 16 * 1024 * 1024


class CacheTerms(Struct, frozen=True, kw_only=True):
    """Where results are kept, what they hang on whatever the plan, and the key that signs them.

    `every_day` tells that each result holds for its day alone.
    """

    folder: str
    basis: str
    secret: bytes | None = None
    every_day: bool = False


class Ticket(Struct, frozen=True, kw_only=True):
    """What a plan's entry is filed under, and the review's digest that went into it."""

    name: str
    review: str


class Entry(Struct, frozen=True, kw_only=True):
    """What is kept of a plan: `catalogue` is its name, state and whether it may be used.

    Where `only_then` is set the report holds for `day` alone.
    """

    catalogue: tuple[str, str, bool | None] | None
    day: date
    only_then: bool
    report: PlanReport


@cache
def decoder() -> msgspec.json.Decoder[Entry]:
    """Make what reads an entry, type by type: what is no entry is refused (msgspec's errors)."""
    return msgspec.json.Decoder(Entry)


class ResultCache:
    """The results kept in one folder, as one run sees them."""

    def __init__(
        self,
        terms: CacheTerms,
        today: date,
        *,
        with_waivers: bool,
        asked: RulesAsked | None = None,
        mends: bool = False,
        in_brief: bool = False,
    ) -> None:
        self.terms = terms
        self.today = today
        day = today if terms.every_day else None
        self.basis = f"{terms.basis} {with_waivers} {day} {asked} {mends} {in_brief}"
        self._settings: tuple[Settings | None, str] = (None, "")
        self._catalogues: dict[tuple[str, str, str], str] = {}

    def ticket(self, source: bytes, file: PlanFile, settings: Settings) -> Ticket:
        """Return a plan's key in the cache. CommandError where locked settings forbid the cache."""
        if self._settings[0] is not settings:
            if settings.locked_by is not None and self.terms.secret is None:
                raise CommandError(
                    f"--cache: {settings.locked_by} is locked, and what it locks is not answered "
                    f"by results that anybody may have written: set {KEY_VARIABLE} to a secret of "
                    f"{LEAST_KEY} characters or more, or leave --cache out"
                )
            self._settings = settings, _digest_settings(settings)
        review = _digest_review(file)
        parts = [self.basis, self._settings[1], file.path, os.path.basename(file.lies), review]
        named = sha256("\0".join(parts).encode("utf-8", "surrogateescape"))
        named.update(b"\0")
        named.update(source)
        return Ticket(name=named.hexdigest(), review=review)

    def find(
        self, ticket: Ticket, file: PlanFile, settings: Settings, root: Path | None
    ) -> PlanReport | None:
        """Return the report kept for a plan, None where there is none that holds."""
        try:
            body = self._unsealed(ticket.name, _read_entry(self._place(ticket.name)))
            if body is None:
                return None
            entry = decoder().decode(body)
            if entry.catalogue is not None:
                name, *state = entry.catalogue
                found = [self._state_of(name, file, root), _is_owned(name, file, settings)]
                if found != state:
                    return None
            # Without a date that is still to come, no later day can change the report.
            if entry.day != self.today and (entry.only_then or entry.day > self.today):
                return None
            return entry.report
        except (OSError, ValueError, RecursionError, msgspec.MsgspecError):
            return None

    def keep(
        self, ticket: Ticket, examined: CheckedPlan, file: PlanFile, settings: Settings
    ) -> None:
        """Keep a report, unless a rule crashed or the review changed meanwhile.

        What cannot be written is not kept, and costs nothing.
        """
        report = examined.report
        if report.faults or _digest_review(file) != ticket.review:
            return
        taken = examined.taken
        state = None
        if taken is not None:
            owned = _is_owned(taken.name, file, settings)
            state = (taken.name, _state(taken.source, taken.error), owned)
        entry = Entry(
            catalogue=state, day=self.today, only_then=report.today is not None, report=report
        )
        # A name that is no text (UnicodeEncodeError) cannot be kept either.
        with suppress(OSError, UnicodeEncodeError):
            body = msgspec.json.encode(entry)
            if len(body) < _MOST_ENTRY:
                _write_entry(self._place(ticket.name), self._seal(ticket.name, body) + body)

    def _place(self, name: str) -> str:
        return os.path.join(self.terms.folder, name[:2], name[2:])

    def _seal(self, name: str, body: bytes) -> bytes:
        """Return the line before an entry's body: a digest of both, made with the key if any."""
        said = name.encode() + b"\n" + body
        secret = self.terms.secret
        if secret is None:
            return b"plain " + sha256(said).hexdigest().encode() + b"\n"
        return b"signed " + hmac.new(secret, said, sha256).hexdigest().encode() + b"\n"

    def _unsealed(self, name: str, entry: bytes) -> bytes | None:
        head, _, body = entry.partition(b"\n")
        sealed = self._seal(name, body)
        return body if hmac.compare_digest(head + b"\n", sealed) else None

    def _state_of(self, name: str, file: PlanFile, root: Path | None) -> str:
        key = name, file.folder, str(root)
        state = self._catalogues.get(key)
        if state is None:
            try:
                state = _state(open_catalogue(name, Path(file.folder), root), None)
            except CatalogueError as error:
                state = _state(None, str(error))
            self._catalogues[key] = state
        return state


def _is_owned(name: str, file: PlanFile, settings: Settings) -> bool | None:
    """Tell whether a catalogue lies where materials must come from; None where they need not."""
    owned = settings.materials_from
    if owned is None:
        return None
    return os.path.realpath(os.path.join(file.folder, name)) in owned.places


def _state(source: bytes | None, error: str | None) -> str:
    return f"not there: {error}" if source is None else sha256(source).hexdigest()


def _digest_review(file: PlanFile) -> str:
    beside = place_of_review(file.lies)
    try:
        with open(beside, "rb") as stream:
            return sha256(read_whole(stream)).hexdigest()
    except FileNotFoundError:
        return "none"
    except OSError as error:
        return f"not read: {error.strerror}"


def _digest_settings(settings: Settings) -> str:
    plain = [
        [name, _plain(getattr(settings, name))]
        for name, field in settings.__dataclass_fields__.items()
        if field.init
    ]
    return sha256(json.dumps(plain).encode()).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    if isinstance(value, Struct):
        return [_plain(getattr(value, field)) for field in value.__struct_fields__]
    if hasattr(value, "items"):
        return [[key, _plain(each)] for key, each in value.items()]
    return value


def _read_entry(place: str) -> bytes:
    """Read a regular file; never wait for a pipe, never follow a link."""
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOFOLLOW", 0)
    descriptor = os.open(place, flags | getattr(os, "O_BINARY", 0))
    with open(descriptor, "rb", buffering=0) as stream:
        found = os.fstat(descriptor)
        if not stat.S_ISREG(found.st_mode) or found.st_size > _MOST_ENTRY:
            raise OSError("no entry")
        return stream.read(found.st_size)


def _write_entry(place: str, entry: bytes) -> None:
    """Write beside the place, then put it there in one step: two runs cannot meet half-way."""
    beside = f"{place}.{os.urandom(6).hex()}.part"
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    try:
        descriptor = os.open(beside, flags, 0o666)
    except FileNotFoundError:
        os.makedirs(os.path.dirname(place), exist_ok=True)
        descriptor = os.open(beside, flags, 0o666)
    try:
        with open(descriptor, "wb") as stream:
            stream.write(entry)
        os.replace(beside, place)
    except BaseException:
        with suppress(OSError):
            os.unlink(beside)
        raise
