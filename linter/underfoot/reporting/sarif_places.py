"""Places as SARIF 2.1.0 writes them: relative URIs, lines and columns from 1."""

import posixpath
from typing import Any
from urllib.parse import quote

from msgspec import Struct

ROOT = "PLANS"


class PathBase(Struct, frozen=True, kw_only=True):
    """Where paths for hosts start from: `here` is the folder of the run, `top` that of the plans.

    Both are absolute, with forward slashes; where they are None paths stand as they are.
    """

    here: str | None = None
    top: str | None = None

    @property
    def means(self) -> str:
        """Say in words where paths start."""
        if self.here == self.top:
            return "The folder where the check was run."
        return "The topmost folder of the plans, above the folder where the check was run."

    def path(self, path: str) -> str:
        """Return a path relative to the top, or to `here` where it lies outside; stdin is ``-``.

        A path that is absolute never stays so.
        """
        if path == "-" or self.here is None or self.top is None:
            return path
        place = posixpath.normpath(posixpath.join(self.here, path))
        if place.startswith(self.top.rstrip("/") + "/"):
            return posixpath.relpath(place, self.top)
        return posixpath.relpath(place, self.here) if posixpath.isabs(path) else path

    def uri(self, path: str) -> str:
        """Write a path as a URI relative to the top."""
        return quote(self.path(path), safe="/-._~")


# Paths as they stand.
AS_GIVEN = PathBase()


def locate(
    uri: str,
    line: int | None = None,
    column: int | None = None,
    *,
    path: str = "",
    index: int | None = None,
) -> dict[str, Any]:
    """Return a location: a file, a place in it, the dotted path of what stands there.

    `index` is the file's place among the artifacts, where it is one.
    """
    artifact: dict[str, Any] = {"uri": uri, "uriBaseId": ROOT}
    if index is not None:
        artifact["index"] = index
    physical: dict[str, Any] = {"artifactLocation": artifact}
    if line is not None:
        physical["region"] = {"startLine": line, "startColumn": column or 1}
    located: dict[str, Any] = {"physicalLocation": physical}
    if path:
        located["logicalLocations"] = [{"fullyQualifiedName": path, "kind": "member"}]
    return located
