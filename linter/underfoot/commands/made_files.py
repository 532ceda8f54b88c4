"""What a command makes of one plan: its format by the file's ending, and where it goes."""

import os
import sys
from collections.abc import Iterable, Mapping

from underfoot.commands.output_files import check_output, disarmed, write_file, write_out
from underfoot.running.errors import CommandError


def form_of(output: str | None, endings: Mapping[str, str], otherwise: str) -> str:
    """Find the format that a file's ending means; `endings` has them by format."""
    ending = os.path.splitext(output or "")[1].lower()
    return next((form for form, own in endings.items() if own == ending), otherwise)


def is_folder(output: str) -> bool:
    """Whether `--output` names a folder, there or to be made."""
    return os.path.isdir(output) or output.endswith(("/", os.sep))


def see_ending(output: str, form: str, endings: Mapping[str, str]) -> None:
    """CommandError for a name that ends as something else than what is written."""
    if os.path.exists(output) and not os.path.isfile(output):
        return  # a pipe or a device, such as /dev/null
    stem, ending = os.path.splitext(output)
    if ending and ending.lower() != endings[form]:
        raise CommandError(
            f"--output {output}: what is written is {form}, so name it {stem}{endings[form]}; "
            f"--format can be {', '.join(endings)}"
        )


def write_made(place: str, content: str | bytes, form: str, plans: Iterable[str]) -> None:
    """Write text or bytes into a file that is none of the plans; CommandError."""
    check_output(place, plans)
    write_file(place, [content] if isinstance(content, bytes) else disarmed([content], form))


def write_made_out(content: str | bytes, form: str) -> None:
    """Write text or bytes to standard output; CommandError where a terminal cannot show it."""
    if isinstance(content, str):
        write_out([content], form)
        return
    if sys.stdout.isatty():
        raise CommandError(f"a terminal cannot show {form}: name a file with --output")
    sys.stdout.buffer.write(content)
    sys.stdout.buffer.flush()


def stem_of(plan_file: str) -> str:
    """Return what files made of a plan are called after it, of standard input `plan`."""
    return os.path.splitext(os.path.basename(plan_file))[0].strip("-.") or "plan"
