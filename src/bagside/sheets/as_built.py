"""The as-built report on paper: what it says is put together elsewhere, here is how it leaves."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from bagside.findings import Basis
from bagside.sheets import marks, paper
from bagside.sheets.book import plain
from bagside.sheets.bookinput import Caution, Findings, Paragraph, Picture, Table, Words
from bagside.sheets.press import SIZES, pressed
from bagside.spec.workshop import Ink, Paper

RUNNING = 46
"""Most letters of the title on the pages that follow."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """Sentences under each other.

    Parameters
    ----------
    items
        Each.
    title
        Over them; empty for none.
    """

    items: tuple[Words, ...]
    title: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A photo as it is printed: a drawing that holds the picture, a caption, and a line under it."""

    svg: str
    caption: str
    under: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Photos:
    """Photos, three in a row."""

    items: tuple[Photo, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A part of the report: its title, a few words beside it, and what stands in it."""

    title: str
    blocks: tuple[Table | Picture | Paragraph | Caution | Findings | Listed | Photos, ...]
    aside: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AsBuilt:
    """Everything the report says, in printing order.

    Parameters
    ----------
    title, serial
        Of the part.
    kind
        As it stands on every page: ``as built, for the customer``.
    subtitle
        Under the title.
    workshop
        Who made it.
    verdict, why
        How it ended, in a sentence, and what is to be said with it.
    loud
        Whether the verdict is printed reversed: the part must not be used.
    facts
        What, how much.
    sections
        In order.
    limits
        What the report is, and is not.
    foot
        On every page.
    signed
        Whether lines to sign on are printed.
    paper, ink
        What it is printed on, and with.
    """

    title: str
    serial: str
    kind: str
    subtitle: str
    workshop: str
    verdict: str
    facts: tuple[tuple[str, Words], ...]
    sections: tuple[Section, ...]
    why: str = ""
    loud: bool = False
    limits: tuple[str, ...] = ()
    foot: str = ""
    signed: bool = False
    paper: Paper = Paper.A4
    ink: Ink = Ink.COLOUR


def as_built_pdf(report: AsBuilt) -> bytes:
    """Return the report as PDF; the same report gives the same bytes.

    Parameters
    ----------
    report
        What it says and shows.
    """
    data = plain(report)
    plain_title = report.title.replace("\u00ad", "").replace("\u200b", "")
    data["running"] = plain_title if len(plain_title) <= RUNNING else plain_title[: RUNNING - 1].rstrip() + "…"
    data = _together(data)
    data["width"], data["height"] = SIZES[report.paper]
    data["marks"] = {b.value: paper.sheet(2.0, 2.0, [marks.basis_mark(1.0, 1.0, b)], title=b.value) for b in Basis}
    return pressed("as_built.typ", data, ink=report.ink)


NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=(?:%|°C|K|g|kg|m|mm|µm|m²|mbar|min|h|L|mL|[A-Z]{3})(?![\w²]))")


def _together(value: Any, key: str = "") -> Any:
    """Return what is said with every number kept on one line with its unit; drawings as they are."""
    if isinstance(value, dict):
        return {k: _together(v, k) for k, v in value.items()}
    if isinstance(value, list):
        return [_together(v) for v in value]
    if isinstance(value, str) and key != "svg":
        return NUMBER_AND_UNIT.sub("\u00a0", value)
    return value
