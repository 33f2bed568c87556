"""The element that shows a cloth with its copies, and what comes back from the hand on it."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from nicegui.element import Element

from bagside.errors import InputError
from bagside.sheets.themed import themed
from bagside.web.model.cut_bench import Put
from bagside.web.words.tongue import Tongue

WORDS = ("closer", "farther", "whole", "pin", "loosen", "turn", "keys")


class NestView(Element, component="nest.js"):
    """A cloth on the table.

    Parameters
    ----------
    tongue
        Of the reader.
    label
        What it shows, for people who do not see it.
    on_put
        Called with where a copy was put.
    on_loosen
        Called with piece and kit of a copy whose pin is taken off.
    """

    def __init__(
        self, tongue: Tongue, *, label: str, on_put: Callable[[Put], Any], on_loosen: Callable[[str, str], Any]
    ) -> None:
        super().__init__()
        self._props.update(
            svg="", label=label, can=False, words={name: tongue.say(f"cut.nest_{name}") for name in WORDS}
        )
        self.on("put", lambda e: on_put(put_from(e.args)))
        self.on("loosen", lambda e: on_loosen(str(e.args["piece"]), str(e.args["kit"])))

    def show(self, svg: str, *, can: bool) -> None:
        """Show a nest.

        Parameters
        ----------
        svg
            From `bagside.sheets.nest_view`.
        can
            Whether copies can be moved now.
        """
        drawn = themed(svg)
        if drawn != self._props["svg"] or can != self._props["can"]:
            self._props.update(svg=drawn, can=can)
            self.update()


def put_from(told: Any) -> Put:
    """Return where a copy was put, as the script says it.

    Parameters
    ----------
    told
        Sent by a browser.

    Raises
    ------
    InputError
        When it is no place.
    """
    try:
        turn, x, y = (float(told[name]) for name in ("turn", "x", "y"))
        put = Put(
            cloth=str(told["cloth"]),
            piece=str(told["piece"]),
            kit=str(told["kit"]),
            turn=turn,
            x=x,
            y=y,
            flipped=bool(told["flipped"]),
        )
    except (KeyError, TypeError, ValueError):
        raise InputError.one("nest", "", "a piece and where it was put are wanted") from None
    if not all(math.isfinite(v) for v in (turn, x, y)):
        raise InputError.one("nest", f"{put.piece}", "a place on the cloth is wanted")
    return put
