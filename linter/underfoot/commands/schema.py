"""`underfoot schema`: JSON Schemas for editors and other programs."""

import click

from underfoot.commands.options import format_option
from underfoot.commands.output_files import write_out
from underfoot.plan_format import DECLARED, write_pretty
from underfoot.plan_format.for_editors import write_for_editors
from underfoot.plan_format.reference import write_reference

_FILES = {
    "settings": ("underfoot.reading", "settings.schema.json"),
    "review": ("underfoot.reading", "review.schema.json"),
    "scheme": ("underfoot.reading", "scheme.schema.json"),
    "comments": ("underfoot.reading", "comments.schema.json"),
    "answers": ("underfoot.reading", "answers.schema.json"),
    "key": ("underfoot.reading", "key.schema.json"),
    "report": ("underfoot.reporting", "report.schema.json"),
}


@click.command(short_help="Print the plan format, for editors or for people.")
@click.option(
    "--of",
    "of",
    type=click.Choice([*DECLARED, *_FILES]),
    default="plan",
    show_default=True,
    help="Which file the schema is of.",
)
@format_option(
    ["json", "markdown"],
    "A JSON Schema, or a page for people about plans and catalogues.",
    default="json",
)
def schema(of: str, format_: str) -> int:
    """Print a JSON Schema: of plans, or of the other files that underfoot reads and writes."""
    if format_ == "markdown":
        if of not in DECLARED:
            raise click.UsageError(
                f"--format markdown describes plans and catalogues; of {of} there is the JSON "
                "Schema alone"
            )
        write_out(write_reference())
        return 0
    if of in DECLARED:
        write_out([write_pretty(write_for_editors(of)), "\n"], "json")
        return 0
    from importlib.resources import files

    package, name = _FILES[of]
    write_out([files(package).joinpath(name).read_text("utf-8")], "json")
    return 0
