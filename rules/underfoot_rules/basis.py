"""What limits rest on, where several rules say the same."""

from underfoot.api.rules import Basis

COMMON_PRACTICE = Basis(
    kind="common practice",
    text="common practice in the trade, no source; the maker's manual decides",
)
MAKER = Basis(kind="maker's manual", text="the maker's figure as the plan's materials state it")
CLEARANCE = Basis(
    kind="maker's manual", text="the maker's figure as the plan states it (`clearance`)"
)


def common_practice(reason: str) -> Basis:
    """Return the common practice of the trade with its reason."""
    return Basis(
        kind="common practice",
        text=f"common practice in the trade, no source: {reason}; the maker's manual decides",
    )


def own_default(reason: str) -> Basis:
    """Return a figure chosen by this project, with its reason."""
    return Basis(kind="own default", text=f"a figure of this project's own: {reason}")


def standard(text: str) -> Basis:
    """Return a standard with its clause."""
    return Basis(kind="standard", text=text)
