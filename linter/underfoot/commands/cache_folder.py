"""The folder of kept results: made ready before a run, kept within bounds after it."""

import os
import platform
import re
import sys
from collections.abc import Iterator, Sequence
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from time import time

from underfoot import __version__
from underfoot.checking.rule import RuleSet
from underfoot.running.errors import CommandError
from underfoot.running.result_cache import KEY_VARIABLE, LEAST_KEY, CacheTerms

# Raised when entries are written in another way.
_FORMAT = 1
_STANDARD = "standard"
# All that decides over a report; pages and templates do not.
_DECIDING = (".py", ".json", ".yaml", ".so", ".pyd")
MOST_BYTES = 1024 * 1024 * 1024
# A thinned cache has room for a while.
_THINNED = 0.8
_HOUR = 3600.0
_LOOKED_AT = "looked-at"
_IGNORE = ".gitignore"
# Entries are called by a digest, and so are those that were never written to their end.
_SHELF = re.compile(r"[0-9a-f]{2}")
_ENTRY = re.compile(r"[0-9a-f]{62}(\.[0-9a-f]{12}\.part)?")


def open_cache(folder: str, sets: Sequence[RuleSet]) -> CacheTerms:
    """Make a folder ready and tell on what all its results hang. CommandError where it cannot be.

    The day counts for every plan where rules beside the standard ones may judge by it.
    """
    secret = os.environ.get(KEY_VARIABLE, "").encode("utf-8", "surrogateescape")
    if secret and len(secret.strip()) < LEAST_KEY:
        raise CommandError(
            f"{KEY_VARIABLE} has {len(secret.strip())} characters: give {LEAST_KEY} or more"
        )
    try:
        os.makedirs(folder, exist_ok=True)
        _see_that_it_is_its_own(folder)
        ignore = os.path.join(folder, _IGNORE)
        if not os.path.lexists(ignore):
            with open(ignore, "x", encoding="utf-8") as stream:
                stream.write("*\n")
    except FileExistsError:
        if not os.path.isdir(folder):
            raise CommandError(f"--cache {folder}: this is a file; name a folder") from None
    except OSError as error:
        raise CommandError(f"--cache {folder}: {error.strerror or error}") from None
    every_day = any(each.name != _STANDARD for each in sets)
    return CacheTerms(
        folder=os.path.abspath(folder),
        basis=_basis(sets),
        secret=secret or None,
        every_day=every_day,
    )


def _see_that_it_is_its_own(folder: str) -> None:
    """See that nothing else lies there: git is told to ignore whatever does. CommandError."""
    for name in sorted(os.listdir(folder)):
        if name not in (_IGNORE, _LOOKED_AT) and not _SHELF.fullmatch(name):
            raise CommandError(
                f"--cache {folder}: {name} lies there, which is no kept result: name a folder that "
                "holds nothing else"
            )


def _basis(sets: Sequence[RuleSet]) -> str:
    """Digest the program, the rule sets and the names and versions of all that is installed."""
    digest = sha256()
    said = [
        _FORMAT, __version__, sys.version, sys.platform, platform.machine(), *_list_installed(),
        *(f"{each.name}: {' '.join(rule.id for rule in each.rules)}" for each in sets),
    ]  # fmt: skip
    digest.update("\0".join(map(str, said)).encode("utf-8", "surrogateescape"))
    tops = {rule.module.partition(".")[0] for each in sets for rule in each.rules}
    for top in sorted({"underfoot", *tops}):
        for name, place in _list_files(top):
            digest.update(f"\0{name}\0".encode("utf-8", "surrogateescape"))
            digest.update(sha256(place.read_bytes()).digest())
    return digest.hexdigest()


def _list_installed() -> list[str]:
    """List what is installed by the folders that pip writes: `shapely-2.1.0.dist-info`."""
    found: set[str] = set()
    for place in sys.path:
        with suppress(OSError):
            found.update(
                name
                for name in os.listdir(place or ".")
                if name.endswith((".dist-info", ".egg-info"))
            )
    return sorted(found)


def _list_files(top: str) -> Iterator[tuple[str, Path]]:
    module = sys.modules[top]
    if not hasattr(module, "__path__"):
        if module.__file__ is not None:
            yield top, Path(module.__file__)
        return
    for folder in module.__path__:
        for place in sorted(Path(folder).rglob("*")):
            if place.suffix in _DECIDING and place.is_file():
                yield place.relative_to(folder).as_posix(), place


def thin_out(folder: str, most: int = MOST_BYTES) -> None:
    """Take the entries written longest ago out of a folder that has outgrown `most` bytes.

    Looks once an hour at most.
    """
    looked_at = os.path.join(folder, _LOOKED_AT)
    with suppress(OSError):
        if 0.0 <= time() - os.lstat(looked_at).st_mtime < _HOUR:
            return
    with suppress(OSError):
        entries = sorted(_list_entries(folder))
        total = sum(size for _, _, size in entries)
        if total > most:
            for _, place, size in entries:
                if total <= most * _THINNED:
                    break
                with suppress(OSError):
                    os.unlink(place)
                total -= size
        # Anew, for what stands there may be a link to a file that is somebody's.
        with suppress(FileNotFoundError):
            os.unlink(looked_at)
        with open(looked_at, "x", encoding="utf-8"):
            pass


def _list_entries(folder: str) -> Iterator[tuple[float, str, int]]:
    """List what was kept here: a folder that is named by mistake holds files of other names."""
    for shelf in os.scandir(folder):
        if _SHELF.fullmatch(shelf.name) and shelf.is_dir(follow_symlinks=False):
            for entry in os.scandir(shelf.path):
                if _ENTRY.fullmatch(entry.name):
                    found = entry.stat(follow_symlinks=False)
                    yield found.st_mtime, entry.path, found.st_size
