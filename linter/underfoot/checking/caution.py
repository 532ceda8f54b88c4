"""What every report says of itself: an aid that certifies nothing, and who decides."""

CAUTION = (
    "This check is an aid and certifies nothing. It does not replace the maker's manual, the "
    "local wiring regulations and building code, or the judgement of a licensed electrician, "
    "who tests and signs. Isolate, lock off and prove dead before any work."
)
CAUTION_IN_BRIEF = (
    "An aid that certifies nothing: the maker's manual, the local wiring regulations and a "
    "licensed electrician decide. Isolate, lock off and prove dead before any work."
)
DEFERS = "the local wiring regulations and a licensed electrician decide"
