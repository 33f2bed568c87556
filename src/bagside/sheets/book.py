"""The book: everything the floor needs, on paper."""

from __future__ import annotations

import dataclasses
from enum import Enum
from typing import Any

from bagside.findings import Basis, Finding, sentence
from bagside.sheets import marks, paper
from bagside.sheets.bookinput import BookInput, Said
from bagside.sheets.press import SIZES, pressed


def book_pdf(book: BookInput) -> bytes:
    """Return the book as PDF.

    Parameters
    ----------
    book
        What it says and shows.

    Returns
    -------
    bytes
        A4 or Letter, as the input states.
    """
    data = plain(book)
    data["width"], data["height"] = SIZES[book.paper]
    data["marks"] = {b.value: paper.sheet(2.0, 2.0, [marks.basis_mark(1.0, 1.0, b)], title=b.value) for b in Basis}
    rings = max((len(p.notes) for p in book.plies), default=0)
    data["ring"] = [
        paper.sheet(4.2, 4.2, [marks.number_ring(2.1, 2.1, str(k), radius=1.85)], title=str(k))
        for k in range(1, rings + 1)
    ]
    return pressed("book.typ", data, ink=book.ink)


def plain(value: Any) -> Any:
    """Return what a sheet says as values that JSON knows.

    Parameters
    ----------
    value
        Findings, said words, and frozen values of the blocks of a sheet.
    """
    if isinstance(value, Finding):
        return {
            "severity": value.severity.value,
            "place": value.place,
            "what": sentence(value.what),
            "why": sentence(value.why),
            "do": sentence(value.do),
            "basis": value.basis.value,
            "source": value.source,
        }
    if isinstance(value, Said):
        return {"words": value.words, "basis": value.basis.value if value.basis else "", "bold": value.bold}
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        out = {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
        return {"kind": type(value).__name__, **out}
    if isinstance(value, Enum):
        return value.name
    if isinstance(value, tuple | list):
        return [plain(v) for v in value]
    return value
