"""What goes into the folder of each part, in the order of packing: last ply first, so that the first lies on top."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bagside.errors import InputError
from bagside.planning.cautions import cautions_for
from bagside.sheets.label_words import lay_words, ordinal
from bagside.sheets.on_table import LaidOut, part_words, piece_of
from bagside.sheets.press import SIZES, pressed
from bagside.spec.workshop import Ink, Paper


@dataclass(frozen=True, slots=True, kw_only=True)
class KitLine:
    """One cut copy of a part.

    Parameters
    ----------
    part
        The part it is for: ``lid 2``.
    piece
        Its name.
    ply
        From 1 in the order of laying; 0 when it has none: it is laid last.
    material, batch
        Of the cloth; the batch may be empty.
    source
        The roll or offcut it is cut from: ``offcut O-11``.
    films
        Backing films on it; None when not known.
    number
        In the order of cutting; 0 when not known.
    """

    part: str
    piece: str
    ply: int = 0
    material: str = ""
    batch: str = ""
    source: str = ""
    films: int | None = None
    number: int = 0


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Return a key by which names sort as people count: 2 before 10.

    Parameters
    ----------
    text
        A name.

    Examples
    --------
    >>> sorted(["lid 10", "lid 2", "3B", "3A"], key=natural)
    ['3A', '3B', 'lid 2', 'lid 10']
    """
    parts = re.findall(r"\d+|\D+", text)
    return tuple((0, int(p), "") if p.isdecimal() else (1, 0, p.casefold()) for p in parts)


def kit_lines(
    nests: Sequence[tuple[LaidOut, str, str]], *, films: Mapping[str, int] | int | None = None, first: int = 1
) -> tuple[KitLine, ...]:
    """Return every copy of several nests in the order of laying, part after part.

    Parameters
    ----------
    nests
        Layout, batch, and the roll or offcut it is on; placements in the order of cutting.
    films
        Backing films on each copy, or by the name of the piece; None when not known.
    first
        Number of the first copy in the order of cutting.
    """
    out = []
    number = first
    for nest, batch, source in nests:
        for placement in nest.placements:
            piece = piece_of(nest, placement)
            count = films.get(piece.label) if isinstance(films, Mapping) else films
            out.append(
                KitLine(
                    part=part_words(nest.kit(placement)),
                    piece=piece.label,
                    ply=piece.ply,
                    material=piece.material,
                    batch=batch,
                    source=source,
                    films=count,
                    number=number,
                )
            )
            number += 1
    return tuple(sorted(out, key=lambda line: (natural(line.part), line.ply or 10**6, natural(line.piece))))


def packed(lines: Sequence[KitLine]) -> dict[str, tuple[KitLine, ...]]:
    """Return the lines of each part in the order of packing.

    Parameters
    ----------
    lines
        In the order of laying, or in any order when every line has its ply; of one ply the later is packed first.
    """
    parts: dict[str, list[KitLine]] = {}
    for line in lines:
        parts.setdefault(line.part, []).append(line)
    return {part: tuple(sorted(of, key=lambda x: x.ply or 10**6)[::-1]) for part, of in parts.items()}


def kit_list_pdf(
    lines: Sequence[KitLine],
    *,
    plies: int = 0,
    title: str = "kits",
    note: str = "",
    on: Paper = Paper.A4,
    called: Mapping[str, Sequence[str]] | None = None,
    ink: Ink = Ink.COLOUR,
) -> bytes:
    """Return a page for the folder of each part as one PDF.

    Parameters
    ----------
    lines
        In the order of laying, at least one.
    plies
        How many plies are laid; 0 when not known.
    title
        Job, as it stands on each page.
    note
        Date and revision, at the foot of each page.
    on
        Paper.
    called
        Names of the kits of a part in the records, by the part as its lines name it.
    ink
        In the printer.

    Raises
    ------
    InputError
        When there is no line.
    """
    if not lines:
        raise InputError.one("kit list", "no piece", "at least one piece to pack")
    size = SIZES[on]
    cautions = [[c.head, c.text] for c in cautions_for(("prepreg",))]
    names = called or {}
    folders = [_folder(part, of, plies, title, names.get(part, ())) for part, of in packed(lines).items()]
    data = {"title": title, "note": note, "width": size[0], "height": size[1], "cautions": cautions}
    return pressed("kit_list.typ", {**data, "folders": folders}, ink=ink)


def _folder(
    part: str, lines: tuple[KitLine, ...], plies: int, title: str, called: Sequence[str]
) -> dict[str, object]:
    films = [line.films for line in lines]
    known = [f for f in films if f is not None]
    count = f"{len(lines)} pieces" if len(lines) > 1 else "1 piece"
    sheets = f", {sum(known)} films on them" if len(known) == len(films) and known else ""
    rows = [
        [
            ordinal(k),
            line.piece,
            lay_words(line.ply, plies) or "last",
            "–" if line.films is None else str(line.films),
            line.material,
            line.batch or "–",
            f"{line.source}, no. {line.number}" if line.number and line.source else line.source or "–",
        ]
        for k, line in enumerate(lines, 1)
    ]
    how = (
        f"Last ply first into the folder: piece {lines[0].piece} goes to the bottom, piece {lines[-1].piece} ends on "
        "top and is laid first. Every film stays on; each piece lies flat with its label up."
    )
    boxes = ["Counted: as many pieces in the folder as there are ticks."]
    if sheets:
        boxes.append("Films counted. When a piece is laid its films are counted off; none may stay in the part.")
    boxes.append("Folder flat in a closed bag, this page outside it. Back to the freezer unless it is laid today.")
    return {
        "title": f"Pack {part}",
        "facts": [f for f in (title, count, f"in the records: {', '.join(called)}" if called else "") if f],
        "how": how,
        "rows": rows,
        "sum": f"{count}{sheets}.",
        "boxes": boxes,
    }
