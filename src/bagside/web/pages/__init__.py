"""The pages at the desk; each module has ``register(house)``, which names its addresses."""

from __future__ import annotations

from importlib import import_module
from importlib.util import find_spec

from bagside.web.house import House

PAGES = (
    "board", "begin", "new_job", "mould", "plies", "laminate", "cut", "cure", "join", "finish", "time", "money",
    "freezer", "moulds", "materials", "workshop",
)  # fmt: skip


def register_pages(house: House) -> None:
    """Register every page.

    Parameters
    ----------
    house
        The workshop they show.
    """
    for name in PAGES:
        if find_spec(f"bagside.web.pages.{name}") is not None:
            import_module(f"bagside.web.pages.{name}").register(house)
