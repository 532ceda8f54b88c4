"""The servers that the tests of this folder ask: one for each module."""

from collections.abc import Iterator

import pytest
from lsprotocol import types as lsp

from tests.underfoot.editor.editing import Editor, Run, with_editor


@pytest.fixture(scope="module")
def served() -> Iterator[tuple[Editor, Run]]:
    """An editor that counts in UTF-16 and reads Markdown, and what runs waits on it."""
    yield from with_editor()


@pytest.fixture(scope="module")
def in_characters() -> Iterator[tuple[Editor, Run]]:
    """An editor that counts characters and reads no Markdown."""
    yield from with_editor([lsp.PositionEncodingKind.Utf32, lsp.PositionEncodingKind.Utf16])
