"""What has changed, as a list of names says it or as git itself does."""

import os
import re
import subprocess
from collections.abc import Iterable, Mapping

from underfoot.commands.output_files import say
from underfoot.running.errors import CommandError

# How git writes a name with odd bytes in it, unless it is told to end names with a NUL.
_QUOTED = re.compile(rb'"(?:[^"\\]|\\.)*"', re.DOTALL)
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|.)", re.DOTALL)
_LETTERS = {
    b"a": b"\a",
    b"b": b"\b",
    b"f": b"\f",
    b"n": b"\n",
    b"r": b"\r",
    b"t": b"\t",
    b"v": b"\v",
}
_COMMIT = re.compile(rb"[0-9a-f]{40}(?:[0-9a-f]{24})?")
_GIT_SECONDS = 120
_NO_GIT = "the program called git does not answer as git does; see what `git` stands for in PATH"


def unquote(name: str) -> str:
    """Return the name that git meant where it put one in quotes, else the name as it is."""
    raw = os.fsencode(name)
    if not _QUOTED.fullmatch(raw):
        return name
    return os.fsdecode(_ESCAPE.sub(_unescape, raw[1:-1]))


def _unescape(match: re.Match[bytes]) -> bytes:
    said = match.group(1)
    if said.isdigit():
        return bytes([int(said, 8) & 0xFF])
    return _LETTERS.get(said, said)


def resolve_names(names: Iterable[str]) -> list[str]:
    """Return the absolute paths that a list's names may stand for.

    Names may be told from this folder or, as git tells them, from the top of its work tree: where
    they differ, both count, since a plan too many costs less than one too few.
    """
    tops = [os.path.abspath(os.curdir)]
    top = _find_work_tree(tops[0])
    if top is not None and top != tops[0]:
        tops.append(top)
    written = [form for name in names for form in dict.fromkeys((name, unquote(name)))]
    return [os.path.normpath(os.path.join(top, name)) for name in written for top in tops]


def _find_work_tree(folder: str) -> str | None:
    while True:
        if os.path.exists(os.path.join(folder, ".git")):
            return folder
        above = os.path.dirname(folder)
        if above == folder:
            return None
        folder = above


def ask_git(reference: str, folders: Iterable[str]) -> list[str]:
    """Return the absolute paths of all that differs from where HEAD and `reference` parted.

    What is not committed yet counts, and files that git does not know, was told not to look at, or
    was told to ignore. The repositories are those of `folders`. A submodule that does not know
    `reference` is answered for by the repository that holds it. CommandError where git cannot say.
    """
    if reference.startswith("-"):
        raise CommandError(f"--changed-since: {reference} is no name of a commit or a branch")
    changed: list[str] = []
    tops = _find_tops(folders, "--changed-since")
    for top in tops:
        names: list[bytes] = []
        if _knows(reference, top) or not _is_held(top, tops):
            base = _find_parting(reference, top)
            names = _run(
                ["diff", "--no-renames", "--no-ext-diff", "--no-relative",
                 "--ignore-submodules=none", "--name-only", "-z", os.fsdecode(base), "--"],
                top,
            ).split(b"\0")  # fmt: skip
        names += _run(["ls-files", "--others", "-z"], top).split(b"\0")
        # Before a file that git was told not to look at stands a small letter, or S.
        marked = _run(["ls-files", "-v", "-z"], top).split(b"\0")
        names += [name[2:] for name in marked if name[:1].islower() or name[:1] == b"S"]
        changed += [os.path.join(top, os.fsdecode(name)) for name in names if name]
    return changed


def _find_parting(reference: str, top: str) -> bytes:
    base = _run(["merge-base", reference, "HEAD"], top).strip()
    if not _COMMIT.fullmatch(base):
        raise CommandError(f"--changed-since: {_NO_GIT}")
    if base == _run(["rev-parse", "HEAD"], top).strip():
        say(
            f"--changed-since {reference}: it holds all commits of this branch, so only what is "
            "not committed counts as changed; on that branch itself check all plans"
        )
    return base


def _knows(reference: str, top: str) -> bool:
    try:
        _run(["rev-parse", "--verify", "--quiet", f"{reference}^{{commit}}"], top)
    except CommandError:
        return False
    return True


def _is_held(top: str, tops: Iterable[str]) -> bool:
    """Tell whether a repository is the submodule of one that is asked as well.

    That one names the submodule where anything in it differs, and so all that lies below it.
    """
    above = _run(["rev-parse", "--show-superproject-working-tree"], top)
    return bool(above.strip()) and os.path.realpath(os.fsdecode(above).rstrip("\n")) in tops


def list_tracked(folders: Iterable[str]) -> list[str]:
    """Return the absolute paths of all files that git has taken in, where `folders` lie."""
    known: list[str] = []
    for top in _find_tops(folders, "--tracked"):
        listed = _run(["ls-files", "--cached", "--recurse-submodules", "-z"], top, "--tracked")
        # What is only meant to be added (`git add -N`) is in no commit yet.
        meant = _run(["diff-files", "--name-only", "--diff-filter=A", "-z"], top, "--tracked")
        names = dict.fromkeys(listed.split(b"\0")).keys() - set(meant.split(b"\0"))
        known += [os.path.join(top, os.fsdecode(name)) for name in sorted(names) if name]
    return known


def list_not_there(folders: Iterable[str], option: str) -> list[str]:
    """Return the absolute paths of what git has taken in and a sparse checkout leaves out.

    For `--tracked` also of what was deleted here alone: the commit has it still.
    """
    absent = []
    for top in _find_tops(folders, option):
        for entry in _run(["ls-files", "-v", "-z"], top, option).split(b"\0"):
            place = os.path.join(top, os.fsdecode(entry[2:]))
            is_left_out = entry[:1] in b"Ss" or option == "--tracked"
            if entry and is_left_out and not os.path.lexists(place):
                absent.append(place)
    return absent


def list_empty_submodules(folders: Iterable[str], option: str) -> list[str]:
    """Return the absolute paths of the submodules that are not checked out, where `folders` lie."""
    empty = []
    for top in _find_tops(folders, option):
        for entry in _run(["ls-files", "--stage", "-z"], top, option).split(b"\0"):
            told, _, name = entry.partition(b"\t")
            place = os.path.join(top, os.fsdecode(name))
            if told.startswith(b"160000 ") and not os.path.exists(os.path.join(place, ".git")):
                empty.append(place)
    return empty


def is_in_work_tree(place: str) -> bool:
    """Tell whether a file lies where git can say something of it."""
    return _find_work_tree(os.path.dirname(os.path.realpath(place))) is not None


def _find_tops(folders: Iterable[str], option: str) -> list[str]:
    """Return the tops of the work trees that `folders` lie in, each once, asking git of each."""
    near = {os.path.realpath(folder): None for folder in folders}
    trees = dict.fromkeys(_find_work_tree(folder) or folder for folder in near)
    tops: dict[str, None] = {}
    for tree in trees:
        asked = _run(["rev-parse", "--is-inside-work-tree", "--show-toplevel"], tree, option)
        is_inside, _, top = os.fsdecode(asked).rstrip("\n").partition("\n")
        if is_inside != "true" or not os.path.isdir(top):
            raise CommandError(f"{option}: {_NO_GIT}")
        tops[os.path.realpath(top)] = None
    return list(tops)


# What git tells its hooks of the repository that they run for; another one has other answers.
_OF_A_HOOK = ("GIT_DIR", "GIT_WORK_TREE", "GIT_COMMON_DIR", "GIT_PREFIX", "GIT_INDEX_FILE")


def _run(arguments: list[str], folder: str, option: str = "--changed-since") -> bytes:
    return _run_under(_surroundings(folder, option), arguments, folder, option)


def _surroundings(folder: str, option: str) -> Mapping[str, str]:
    """Return the environment in which git answers for the repository of a folder.

    A hook's list of what is about to be committed holds for that hook's repository alone.
    """
    clean = {name: value for name, value in os.environ.items() if name not in _OF_A_HOOK}
    index = os.environ.get("GIT_INDEX_FILE")
    if not index:
        return clean
    own = _run_under(clean, ["rev-parse", "--absolute-git-dir"], folder, option)
    is_own = os.path.realpath(os.path.dirname(os.path.abspath(index))) == os.path.realpath(
        os.fsdecode(own).rstrip("\n")
    )
    return {**clean, "GIT_INDEX_FILE": os.path.abspath(index)} if is_own else clean


def _run_under(
    surroundings: Mapping[str, str], arguments: list[str], folder: str, option: str
) -> bytes:
    command = ["git", "-c", "core.fsmonitor=false", "-c", "core.quotePath=false", *arguments]
    try:
        done = subprocess.run(
            command,
            cwd=folder,
            env=surroundings,
            capture_output=True,
            check=False,
            timeout=_GIT_SECONDS,
        )
    except FileNotFoundError:
        raise CommandError(f"{option} needs git, which is not installed here") from None
    except (OSError, subprocess.TimeoutExpired) as error:
        raise CommandError(f"{option}: git could not be run: {error}") from None
    if done.returncode:
        words = done.stderr.decode("utf-8", "backslashreplace").strip().splitlines()
        said = _main_line(words) if words else "it did not say why"
        hint = ""
        if arguments[0] == "merge-base":
            said = _main_line(words) if words else "it finds no commit where the two parted"
            hint = "; in CI fetch the whole history (`fetch-depth: 0`)"
        raise CommandError(f"{option}: git {arguments[0]} failed: {said}{hint}")
    return done.stdout


def _main_line(words: list[str]) -> str:
    """Give what git says is the matter, which may stand above what it advises."""
    return next((line for line in words if line.startswith("fatal:")), words[-1])
