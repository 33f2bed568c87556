"""What the book is printed from: words, numbers already written with their units, and pictures.

Nothing here knows a bench. Whoever fills it decides what is said; the book decides how it stands on paper.
"""

from __future__ import annotations

from dataclasses import dataclass

from bagside.findings import Basis, Finding
from bagside.spec.workshop import Ink, Paper


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """Words with what they rest on.

    Parameters
    ----------
    words
        As printed: thin spaces in thousands, true minus, unit after a space.
    basis
        Its mark stands after the words; None for none.
    bold
        Whether it is set bold.
    """

    words: str
    basis: Basis | None = None
    bold: bool = False


Words = str | Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table with hairlines between its rows.

    Parameters
    ----------
    headers
        One for each column; all empty leaves the head out.
    rows
        As many cells as headers in each.
    align
        One letter a column: ``l``, ``r`` or ``c``; the first ``l`` column takes the room that is left.
    title
        Over it; empty for none.
    """

    headers: tuple[str, ...]
    rows: tuple[tuple[Words, ...], ...]
    align: str
    title: str = ""

    def __post_init__(self) -> None:
        """Refuse rows and columns that do not belong together."""
        wide = len(self.headers)
        if len(self.align) != wide or set(self.align) - set("lrc") or any(len(r) != wide for r in self.rows):
            raise ValueError(
                f"table {self.title!r}: {wide} headers want {wide} of l, r, c and {wide} cells in each row"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing, printed at its own size.

    Parameters
    ----------
    svg
        The drawing.
    caption
        Under it; empty for none.
    """

    svg: str
    caption: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """A paragraph.

    Parameters
    ----------
    words
        Sentences.
    title
        A heading over it; empty for none.
    """

    words: Words
    title: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """What keeps people whole, printed reversed right before the step it belongs to.

    Parameters
    ----------
    what
        The sentence that must be read.
    why
        What follows; may be empty.
    """

    what: str
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Boxes:
    """Boxes to tick.

    Parameters
    ----------
    items
        How many boxes, and what they stand for.
    title
        Over them; empty for none.
    """

    items: tuple[tuple[int, str], ...]
    title: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """Findings that belong to this place, by weight.

    Parameters
    ----------
    items
        Weightiest first.
    """

    items: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Handwritten:
    """A line to be written on by hand.

    Parameters
    ----------
    fields
        What is written where, and its share of the width.
    """

    fields: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLine:
    """One step of the build.

    Parameters
    ----------
    number
        As printed.
    name
        What is done.
    do
        Sentences.
    boxes
        What is ticked when it is done.
    attended, unattended
        Times as printed; empty when there is none.
    cautions
        Printed before the step.
    """

    number: str
    name: str
    do: tuple[str, ...] = ()
    boxes: tuple[str, ...] = ()
    attended: str = ""
    unattended: str = ""
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """A run of steps under one heading.

    Parameters
    ----------
    title
        The chapter's name.
    items
        In order.
    """

    title: str
    items: tuple[StepLine, ...]


Block = Table | Picture | Paragraph | Caution | Boxes | Findings | Handwritten | Steps


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """A part of the book that begins on a new page.

    Parameters
    ----------
    title
        In large letters.
    facts
        Beside it in second ink.
    blocks
        In reading order.
    """

    title: str
    facts: tuple[str, ...] = ()
    blocks: tuple[Block, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlyPage:
    """One ply on one page.

    Parameters
    ----------
    title
        ``Ply 3``.
    facts
        Beside it: of how many, cloth, angle, where, pieces.
    picture
        The ply on the mould; empty when there is no surface to draw it on.
    scale
        Scale of the picture's colours; empty for none.
    second, second_scale
        A second map beside it, and its scale; empty for none.
    lines
        Sentences under the notes, as how well the threads keep their direction, or how cards are laid.
    tables
        Small tables under the flat pieces, as the joins.
    notes
        One sentence for each numbered ring.
    flats
        Its pieces, flat; one drawing or several.
    section
        The section; empty when there is none.
    boxes
        How many boxes, and what they stand for.
    cautions
        At the top, reversed.
    findings
        Those of this ply.
    """

    title: str
    facts: tuple[str, ...]
    picture: str
    scale: str = ""
    second: str = ""
    second_scale: str = ""
    lines: tuple[Words, ...] = ()
    tables: tuple[Table, ...] = ()
    notes: tuple[Words, ...] = ()
    flats: tuple[str, ...] = ()
    section: str = ""
    boxes: tuple[tuple[int, str], ...] = ()
    cautions: tuple[Caution, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BookInput:
    """Everything the book says, in printing order: cover, before, plies, after, last page.

    Parameters
    ----------
    title, subtitle
        Of the job.
    facts
        The key facts on the cover: what, how much.
    inputs
        Short digest of everything the plan was made from.
    made
        When the plan was made, as printed.
    cover
        Picture of the part; empty for none.
    findings
        All of them, weightiest first; the cover prints stop and decide, and points on for the rest.
    before
        Chapters before the plies: mould, laminate, cut list.
    plies
        In laying order.
    after
        Chapters after the plies: bag, cure, bond, finish, steps, time, money.
    sources
        What rests on what: what, on what.
    limits
        What this book is not.
    paper, ink
        What it is printed on, and with.
    """

    title: str
    subtitle: str
    facts: tuple[tuple[str, Words], ...]
    inputs: str
    made: str
    cover: str = ""
    findings: tuple[Finding, ...] = ()
    before: tuple[Chapter, ...] = ()
    plies: tuple[PlyPage, ...] = ()
    after: tuple[Chapter, ...] = ()
    sources: tuple[tuple[str, Words], ...] = ()
    limits: tuple[str, ...] = ()
    paper: Paper = Paper.A4
    ink: Ink = Ink.COLOUR
