"""Says where the tool itself fell down, and whether it only lacked memory."""

import sys
import traceback


class PassesThroughError(BaseException):
    """Passes through whatever takes in the errors of a rule: it is about the plan or the run.

    `rule` is the one of a set beside the standard one that was at work, if any.
    """

    rule: str = ""


def describe(error: BaseException, module: str | None = None) -> str:
    """Say kind, place and words of an exception in one line, the same on every machine.

    With the name of a `module`, its own innermost line counts, if it took part: whoever wrote a
    rule looks for the mistake there, and not in what the rule called.
    """
    called = list(traceback.extract_tb(error.__traceback__))
    own = getattr(sys.modules.get(module or ""), "__file__", None)
    frames = [frame for frame in called if frame.filename == own] or called
    place = ""
    if frames:
        file = frames[-1].filename.replace("\\", "/").rsplit("/", 2)
        place = f" at {'/'.join(file[-2:])}:{frames[-1].lineno}"
    text = " ".join(str(error).split())
    return f"{type(error).__name__}{place}: {text}" if text else f"{type(error).__name__}{place}"


def is_lack_of_memory(error: BaseException) -> bool:
    """Whether an error says that there was no memory left; compiled code has words of its own."""
    said = str(error)
    return isinstance(error, MemoryError) or "bad_alloc" in said or "could not allocate" in said
