"""What one plan may cost, and how the system itself keeps a process to that."""

import os
import signal
import time

from msgspec import Struct

# A plan's file counts by parts of this size, each begun one whole: its work grows with its size.
PART_BYTES = 300_000
PART_SECONDS = 10.0
PART_MEMORY = 400_000_000
MOST_MEMORY = 2_000_000_000
# What the typesetter of PDF has for itself, before it sets a line.
TYPESETTER_MEMORY = 200_000_000
# What waits takes no processor time; so many times its allowance it may take by the clock.
PATIENCE = 10
# What the system ends a process by that has used up its processor time.
ALARM: int = getattr(signal, "SIGPROF", 0)


class Allowance(Struct, frozen=True, kw_only=True):
    """Processor time in seconds, and memory beyond what the process has when the work begins."""

    seconds: float
    memory_bytes: int


def allowance_for(size: int, seconds: float | None = None) -> Allowance:
    """What a plan of `size` bytes may cost; `seconds` go before what its size gives."""
    parts = max(1, -(-size // PART_BYTES))
    allowed = PART_SECONDS * parts if seconds is None else seconds
    return Allowance(seconds=allowed, memory_bytes=min(PART_MEMORY * parts, MOST_MEMORY))


def can_count() -> bool:
    """Whether the system counts processor time, and ends what has used up its own."""
    return hasattr(signal, "setitimer") and bool(ALARM)


def clock_seconds(allowance: Allowance) -> float:
    """Return how long work may take by the clock, where its allowance is processor time."""
    return allowance.seconds * (PATIENCE if can_count() else 1)


def limit_time(seconds: float) -> None:
    """Let the system end this process after so much processor time, also in compiled code."""
    if can_count():
        signal.signal(ALARM, signal.SIG_DFL)
        signal.setitimer(signal.ITIMER_PROF, seconds)


def lift_time() -> None:
    """Let the process take what time it needs again."""
    if can_count():
        signal.setitimer(signal.ITIMER_PROF, 0.0)


def limit_life(seconds: float) -> None:
    """Let the system end this process after so much processor time in all, in whole seconds."""
    import math
    import resource

    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    most = math.ceil(time.process_time() + seconds)
    if hard != resource.RLIM_INFINITY:
        most = min(most, hard)
    resource.setrlimit(resource.RLIMIT_CPU, (most, hard))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))  # what is ended so would leave its memory


def lift_life() -> None:
    """Let this process live as long as it may, whatever the one that it is a copy of may."""
    try:
        import resource
    except ImportError:
        return
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    resource.setrlimit(resource.RLIMIT_CPU, (hard, hard))


def memory_now() -> int:
    """How many bytes of addresses this process has; 0 where the system does not say."""
    try:
        with open("/proc/self/statm", "rb") as stream:
            return int(stream.read().split()[0]) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, ValueError):
        return 0


def make_room(more: int) -> None:
    """Let this process have so many bytes more, where it is limited to fewer than it may have."""
    try:
        import resource
    except ImportError:
        return
    limited, hard = resource.getrlimit(resource.RLIMIT_AS)
    if limited not in (hard, resource.RLIM_INFINITY):
        limit_memory(limited + more)


def limit_memory(most: int | None) -> None:
    """Let this process have at most so many bytes of addresses (None: as many as it may)."""
    try:
        import resource
    except ImportError:
        return
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    if most is None:
        most = hard
    elif hard != resource.RLIM_INFINITY:
        most = min(most, hard)
    resource.setrlimit(resource.RLIMIT_AS, (most, hard))
