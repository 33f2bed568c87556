"""``bagside stock``: what the workshop has, with its clocks."""

from __future__ import annotations

from collections.abc import Callable

from bagside.cli.stock.amounts import count, discard, spend
from bagside.cli.stock.begin import begin
from bagside.cli.stock.correct import correct
from bagside.cli.stock.due import due
from bagside.cli.stock.freezer import freezer
from bagside.cli.stock.label import label
from bagside.cli.stock.list import list_stock
from bagside.cli.stock.mould import mould_release, mould_repair, mould_show, mould_test
from bagside.cli.stock.move import move
from bagside.cli.stock.open import open_bag
from bagside.cli.stock.place import place
from bagside.cli.stock.receive import receive
from bagside.cli.stock.show import show

COMMANDS: tuple[tuple[str, Callable[..., int]], ...] = (
    ("begin", begin),
    ("list", list_stock),
    ("show", show),
    ("receive", receive),
    ("move", move),
    ("open", open_bag),
    ("count", count),
    ("spend", spend),
    ("discard", discard),
    ("correct", correct),
    ("place", place),
    ("freezer", freezer),
    ("due", due),
    ("label", label),
)
"""Of ``bagside stock``, in the order of its help."""

MOULD_COMMANDS: tuple[tuple[str, Callable[..., int]], ...] = (
    ("show", mould_show),
    ("release", mould_release),
    ("repair", mould_repair),
    ("test", mould_test),
)
"""Of ``bagside stock mould``."""
