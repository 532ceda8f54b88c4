"""Places as SARIF 2.1.0 writes them: relative URIs, lines and columns from 1."""

from __future__ import annotations

import posixpath
from typing import Any
from urllib.parse import quote

ROOT = "PLANS"


def uri_of(path: str, base: str | None = None) -> str:
    """Write a plan's path as a relative URI; standard input is ``-``.

    A path that is absolute is told from the folder `base`.
    """
    if posixpath.isabs(path) and base is not None:
        path = posixpath.relpath(path, base)
    return quote(path, safe="/-._~")


def locate(
    uri: str,
    line: int | None = None,
    column: int | None = None,
    *,
    path: str = "",
    index: int | None = None,
) -> dict[str, Any]:
    """Give a location: a file, a place in it, the dotted path of what stands there.

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
