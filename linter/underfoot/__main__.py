"""Runs the command `underfoot`; no traceback ever reaches a user."""

import gc
import os
import sys
from collections.abc import Sequence

from underfoot.commands.ending import end_well
from underfoot.running.signals import heed_no_more, heed_signals, open_closed_streams

# Libraries begin a thread a core, each with addresses of its own: where there are many cores they
# alone would be more than a plan may cost. Sums shared out among threads take longer here, too, and
# their last digits hang on how many there are.
FEW_THREADS = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "RAYON_NUM_THREADS": "2"}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command line and give its exit status.

    Without `arguments` the process is taken to be the command's own.
    """
    if arguments is None:
        # What is imported stays: nothing of it is worth the collector's looking, now or at the end.
        gc.disable()
        os.environ.update(FEW_THREADS)  # before any of them is loaded
        open_closed_streams()
        heed_signals()
        try:
            return end_well(lambda: _run(sys.argv[1:], is_own=True))
        finally:
            heed_no_more()
            gc.freeze()
    return end_well(lambda: _run(list(arguments)))


def _run(arguments: list[str], *, is_own: bool = False) -> int:
    from underfoot.commands.group import underfoot

    if "_UNDERFOOT_COMPLETE" in os.environ:
        underfoot.main(arguments, prog_name="underfoot")
    with underfoot.make_context("underfoot", arguments) as context:
        context.obj = is_own
        return int(underfoot.invoke(context) or 0)


if __name__ == "__main__":
    sys.exit(main())
