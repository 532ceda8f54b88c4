"""What a submission changed in the brief that it was handed in for."""


class BriefChanges:
    """Changes to the brief, which a trainer must know, and remarks on what changes nothing."""

    def __init__(self) -> None:
        self.changes: list[tuple[str, str]] = []
        self.remarks: list[str] = []

    def change(self, part: str, said: str) -> None:
        """Note that a part of the brief was changed."""
        self.changes.append((part, said))

    def remark(self, said: str) -> None:
        """Remark on what changes no mark."""
        self.remarks.append(said)
