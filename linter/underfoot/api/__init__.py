"""All that a rule set may import, in four modules.

`rules`: what a rule set is made of; `facts`: what follows from a plan; `plan`: the types of what a
plan holds; `physics`: sizes, ratings, heat and geometry.
"""

from underfoot.checking.rule import API_VERSION

__all__ = ["API_VERSION"]


def __getattr__(name: str) -> object:
    """Say where a name is that stood here in the first version."""
    from importlib import import_module

    if not name.startswith("_") and name not in _MODULES:
        for module in _MODULES:
            if hasattr(import_module(f"{__name__}.{module}"), name):
                raise ImportError(f"`{name}` is in `{__name__}.{module}` from version 2 on")
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


_MODULES = ("rules", "facts", "plan", "physics")
