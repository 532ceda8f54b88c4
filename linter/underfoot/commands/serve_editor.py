"""`underfoot serve-editor`: a language server on standard input and output."""

from importlib.util import find_spec

import click

from underfoot.running.errors import CommandError

INSTALL = "pip install 'underfoot[editor]'"


@click.command("serve-editor", short_help="Serve an editor: findings and help while typing.")
def serve_editor() -> int:
    """Speak the Language Server Protocol on standard input and output, for an editor.

    Started by the editor, not by hand. Plans are judged as they are typed, by the settings beside
    them; what is saved on disk is not changed. Needs the extra `editor`: pip install
    'underfoot[editor]'.
    """
    if find_spec("pygls") is None:
        raise CommandError(f"serve-editor needs the extra `editor`: {INSTALL}")
    from underfoot.editor.server import serve

    return 0 if serve() else 1
