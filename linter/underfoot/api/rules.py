"""What a rule set is made of: rules, the ways plans are got wrong, and are mended, and words.

A rule (`Rule`) lists subjects and judges each: a `Finding`, a `CannotTell`, or None. `above` and
`below` hold a measure against a limit, which `at_least` and `at_most` make; `format_quantity` and
the like write it.
"""

from underfoot.checking.finding import (
    NOISE,
    Basis,
    CannotTell,
    Finding,
    Severity,
    Subject,
    above,
    below,
)
from underfoot.checking.mend import (
    Edit,
    Mender,
    Proposal,
    ToMend,
)
from underfoot.checking.mutation import (
    Damaged,
    Data,
    Expected,
    Mutation,
)
from underfoot.checking.numbers import (
    format_at_least,
    format_at_most,
    format_quantity,
    format_size,
)
from underfoot.checking.rule import (
    API_VERSION,
    Limit,
    Limits,
    LimitUse,
    Rule,
    RuleSet,
    Subjects,
    Suppression,
    at_least,
    at_most,
)
from underfoot.checking.words import (
    join_names,
    move_text,
    point_text,
)
from underfoot.reading.quantities import (
    read as read_quantity,
)

__all__ = [
    "API_VERSION",
    "NOISE",
    "Basis",
    "CannotTell",
    "Damaged",
    "Data",
    "Edit",
    "Expected",
    "Finding",
    "Limit",
    "LimitUse",
    "Limits",
    "Mender",
    "Mutation",
    "Proposal",
    "Rule",
    "RuleSet",
    "Severity",
    "Subject",
    "Subjects",
    "Suppression",
    "ToMend",
    "above",
    "at_least",
    "at_most",
    "below",
    "format_at_least",
    "format_at_most",
    "format_quantity",
    "format_size",
    "join_names",
    "move_text",
    "point_text",
    "read_quantity",
]
