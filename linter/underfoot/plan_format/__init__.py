"""The format of plans and of their catalogues, declared once, each thing with its keys.

What a key is, how it may be written, in which unit it is kept and what it may not be less than
stands here alone: the JSON Schema, reading, the comparison of revisions and the description for
people follow from it. Begin with `files`, or with the module that a thing's name leads to.
"""

from underfoot.plan_format.files import DECLARED
from underfoot.plan_format.json_schema import RESERVED_IDS, write_pretty, write_schema

__all__ = ["DECLARED", "RESERVED_IDS", "write_pretty", "write_schema"]
