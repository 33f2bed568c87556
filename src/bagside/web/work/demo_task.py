"""The task that sets the demo workshop up: its moulds are made by formula, which takes a second or two."""

from __future__ import annotations

from pathlib import Path

from bagside import demo_shop
from bagside.web.work.child import Teller


def set_up_demo(tell: Teller, folder: Path) -> None:
    """Set the demo workshop up in a folder; see `bagside.demo_shop.set_up`.

    Parameters
    ----------
    tell
        Is told nothing.
    folder
        That is empty.

    Raises
    ------
    InputError, OutputError
        As there.
    """
    demo_shop.set_up(folder)
