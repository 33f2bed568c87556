"""What a cure is held to, as the job states it: service, margin, degree of cure, demould, vacuum before heat."""

from __future__ import annotations

from typing import Any

from bagside.quantity import Quantity
from bagside.spec.fields import Difference, Fraction, SomeTime, Temperature
from bagside.web.parts.amount import amount
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.html import words
from bagside.web.parts.kept_parts import KeptParts

FIELDS: tuple[tuple[str, Quantity, str, Any, str], ...] = (
    ("service", Quantity.TEMPERATURE, "°C", Temperature, ""),
    ("margin", Quantity.DIFFERENCE, "K", Difference, "20 K"),
    ("target", Quantity.FRACTION, "%", Fraction, "90 %"),
    ("demould", Quantity.TEMPERATURE, "°C", Temperature, "50 °C"),
    ("vacuum_hold", Quantity.TIME, "h", SomeTime, "1 h"),
    ("start", Quantity.TEMPERATURE, "°C", Temperature, "20 °C"),
)
"""Name under ``[cure]``, kind, unit, type, and what counts when it is left out."""


def wanted_fields(sheet: JobSheet, document: Any, parts: KeptParts) -> None:
    """Show the lines to write on.

    Parameters
    ----------
    sheet
        The page.
    document
        Of the job; nothing is shown when it states no cure of its own.
    parts
        Of the page; the lines stay while one of them is written.
    """
    cure = document.get("cure")
    if cure is None:
        return
    words(sheet.say("cure.held_to"), tag="h2", look="b lead")
    for name, kind, unit, wanted, usual in FIELDS:
        stated = cure.get(name)

        def write(text: str, name: str = name) -> None:
            def change(d: Any) -> None:
                if text:
                    d["cure"][name] = text
                else:
                    d["cure"].pop(name, None)

            with parts.keeping("wanted"):
                sheet.edit(sheet.say("cure.wanted_changed", what=sheet.say(f"cure.wanted_{name}")), change)

        amount(
            sheet.tongue,
            sheet.say(f"cure.wanted_{name}"),
            str(stated if stated is not None else usual),
            kind,
            unit,
            write,
            wanted=wanted,
            hint=sheet.say("cure.usual") if stated is None else sheet.say(f"cure.wanted_{name}_how"),
            may_be_empty=bool(usual),
        )


def wanted_state(document: Any) -> object:
    """Return what these fields show: everything a cure is held to, but not how it gets there.

    Parameters
    ----------
    document
        The job's file.
    """
    cure = document.get("cure")
    return None if cure is None else {k: v for k, v in cure.unwrap().items() if k not in ("segments", "post_cure")}
