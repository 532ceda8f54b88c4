"""Takes out waivers that do not hold."""

from collections.abc import Iterator

from underfoot.api.rules import Mender, Proposal, ToMend
from underfoot_rules.menders.spelled import parts_of, stands, take_out


def take_waiver_out(found: ToMend) -> Iterator[Proposal]:
    """Propose to take a waiver out; what it was to cover stands either way."""
    path = parts_of(found.data, found.path)
    if path[:1] == ("waivers",) and stands(found.data, path):
        yield Proposal(
            says=f"Take out the waiver of {' for '.join(found.items)}, which does not hold.",
            edits=(take_out(path),),
        )


MENDERS = (Mender(rule="waiver-lapsed", propose=take_waiver_out),)
