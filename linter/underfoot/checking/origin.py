"""Where a setting comes from: the file, the line and the reason that it gives."""

from msgspec import Struct


class Origin(Struct, frozen=True, kw_only=True):
    """The settings file and line that changed something, and the reason it gives."""

    file: str
    line: int
    because: str

    @property
    def said(self) -> str:
        """The reason, and where it stands."""
        return f"{self.because} ({self.file}:{self.line})"


class MaterialsFrom(Struct, frozen=True, kw_only=True):
    """The only catalogues that materials may come from: as written, and where they really lie."""

    catalogues: tuple[str, ...]
    places: tuple[str, ...]
    origin: Origin
