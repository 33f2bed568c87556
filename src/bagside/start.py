"""Where the program starts: the commands, and the one that opens the pages.

Commands and pages do not know each other; here both are known.
"""

from __future__ import annotations

from collections.abc import Sequence

from bagside.cli import app as commands
from bagside.web.command import serve

commands.app.command("serve")(commands.ending(serve))


def main(arguments: Sequence[str] | None = None) -> None:
    """Run a command and end the process with its exit code.

    Parameters
    ----------
    arguments
        As typed; the process's own when None.
    """
    commands.main(arguments)
