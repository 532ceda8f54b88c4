"""How long the tests look for counter-examples.

`HYPOTHESIS_PROFILE=long` looks for much longer, and at other examples each time. What runs every
day looks at the same examples each time.

What is marked `long` runs where `-m long` asks for it. What is neither `oracle` nor `process` nor
`slow` a person runs while working; what draws its examples (hypothesis) is an `oracle` by itself.
"""

import os
import signal

import pytest
from hypothesis import settings

from underfoot.__main__ import FEW_THREADS

os.environ.update(FEW_THREADS)  # before any library is loaded, as where the command is run

settings.register_profile("ci", derandomize=True, deadline=None, database=None, print_blob=True)
settings.register_profile("long", deadline=None, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))

# In the background of a shell interrupts are ignored, and so would be those of the runs we start.
if signal.getsignal(signal.SIGINT) == signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    for item in items:
        if getattr(getattr(item, "obj", None), "is_hypothesis_test", False):
            item.add_marker(pytest.mark.oracle)
    if "long" in config.option.markexpr:
        return
    left_out = [item for item in items if item.get_closest_marker("long") is not None]
    if left_out:
        items[:] = [item for item in items if item.get_closest_marker("long") is None]
        config.hook.pytest_deselected(items=left_out)
