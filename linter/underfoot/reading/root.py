"""How far up from a plan its settings and catalogues may stand."""

from pathlib import Path


def find_root(folder: Path, named: Path | None = None) -> Path:
    """Return the topmost folder that belongs to the plans in `folder`.

    That is the nearest one with a repository in it (a folder ``.git``). A file ``.git`` marks a
    submodule, or one of several work trees: what holds it may stand above, so the search goes on,
    and the outermost of them counts where there is no repository. Outside both it is `named`, the
    folder that the command line names, where that is `folder` or above it; else `folder` itself.
    """
    folder = folder.resolve()
    marked = folder
    is_marked = False
    for candidate in (folder, *folder.parents):
        git = candidate / ".git"
        if git.is_dir():
            return candidate
        if git.exists():
            marked, is_marked = candidate, True
    if is_marked or named is None:
        return marked
    top = named.resolve()
    return top if folder.is_relative_to(top) else folder
