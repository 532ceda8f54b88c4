"""What is told of a submission that is not quite on the brief it was handed in for."""


class Told:
    """Changes to the brief, which a trainer must know, and remarks on what changes nothing."""

    def __init__(self) -> None:
        self.changes: list[tuple[str, str]] = []
        self.remarks: list[str] = []

    def change(self, part: str, said: str) -> None:
        """Tell that a part of the brief was changed."""
        self.changes.append((part, said))

    def remark(self, said: str) -> None:
        """Remark on what changes no mark."""
        self.remarks.append(said)
