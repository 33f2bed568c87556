"""What a part is made of: its plies as they lie, its cloth with batch and life, and what was used up on it."""

from __future__ import annotations

from datetime import tzinfo

from bagside.findings import Basis
from bagside.ledger.actual.cloth import GoodsUsed, Used
from bagside.ledger.actual.compared import PlanAgainstActual
from bagside.ledger.actual.laid import PlyActual
from bagside.ledger.actual.missing import runs
from bagside.ledger.clocks.life import Clock
from bagside.quantity import shown
from bagside.sheets.as_built import Section
from bagside.sheets.as_built_words import NONE, breakable, short
from bagside.sheets.bookinput import Paragraph, Picture, Said, Table, Words
from bagside.sheets.stack_view import PlyInStack, stack_view
from bagside.sheets.typeface import CAPTION, width

WIDE, BARS = 184.0, 58.0  # [mm]


def made_of(found: PlanAgainstActual, zone: tzinfo, *, internal: bool) -> Section:
    """Return what the part is made of.

    Parameters
    ----------
    found
        The part.
    zone
        To show times in.
    internal
        Whether names that mean something only in the workshop, and people, are told.
    """
    blocks: list[Table | Picture | Paragraph] = []
    if found.plies:
        blocks.append(Picture(svg=stack(found, zone)))
    if found.cloth:
        blocks.append(_cloth(found, internal=internal))
    else:
        blocks.append(Paragraph(words="No cloth was recorded."))
    if internal and found.goods:
        blocks.append(_goods(found.goods))
    missing = sorted({n for u in found.cloth if not u.batches for n in u.plies})
    if missing and not internal:
        words = "of ply" if len(missing) == 1 else "of plies"
        blocks.append(Paragraph(words=f"Batch and life {words} {runs(missing)} were not recorded."))
    return Section(title="What it is made of", blocks=tuple(blocks))


def stack(found: PlanAgainstActual, zone: tzinfo) -> str:
    """Return the plies as they lie, mould at the bottom, each with its cloth, pieces and tick.

    Parameters
    ----------
    found
        The part, with a ply at least.
    zone
        To show times in.
    """
    largest = max(p.area for p in found.plies) or 1.0
    return stack_view(
        [
            PlyInStack(
                number=str(p.number),
                share=p.area / largest if p.area > 0.0 else 1.0,
                words=_fitted(_ply_words(p, zone), WIDE - BARS - 12.0),
                state="laid" if p.laid else "to come",
            )
            for p in found.plies
        ],
        wide=WIDE,
        bars=BARS,
    )


def _ply_words(ply: PlyActual, zone: tzinfo) -> str:
    pieces = [p.label for p in ply.pieces]
    named = ", ".join(pieces) if len(pieces) <= 4 else f"{len(pieces)} pieces, {pieces[0]} to {pieces[-1]}"
    ticks = ply.ticks
    if ply.laid and ticks:
        when = f"laid {short(ticks[-1].at, zone)}"
    elif ticks:
        when = f"{len(ticks)} of {len(pieces)} pieces ticked"
    else:
        when = "not ticked"
    return f"{when} · {ply.material} · {named}"


def _fitted(words: str, room: float) -> str:
    """Return words cut so that they fit; what is cut off is in the table of plies."""
    if width(words, CAPTION) <= room:
        return words
    while words and width(words + "…", CAPTION) > room:
        words = words[:-1]
    return words.rstrip() + "…"


def used_up(clock: Clock | None) -> Words:
    """Return a share of a clock with what it rests on; that nobody knows it otherwise.

    Parameters
    ----------
    clock
        Out-life or tack.
    """
    if clock is None:
        return NONE
    most = "" if clock.sure else "at most "  # what is not known is counted on the safe side
    return Said(words=f"{most}{shown(clock.share, '%', 0)} of {shown(clock.whole, 'h', 0)}", basis=clock.basis)


def _cloth(found: PlanAgainstActual, *, internal: bool) -> Table:
    cured = any(u.cured for u in found.cloth)
    tack = internal and any(u.tack is not None for u in found.cloth)
    headers = ["cloth", "plies", "batch", "roll" if not internal else "from", "kit"]
    headers += ["out-life used " + ("at the cure" if cured else "by now")] + (["tack used"] if tack else [])
    headers.append("use by")
    rows = [tuple(_cloth_row(u, internal=internal, tack=tack)) for u in found.cloth]
    return Table(headers=tuple(headers), rows=tuple(rows), align="lllll" + "r" * (1 + tack) + "l", title="Cloth")


def _cloth_row(u: Used, *, internal: bool, tack: bool) -> list[Words]:
    batches = ", ".join(u.batches) if u.batches else NONE
    came = u.sources if internal else u.rolls
    row: list[Words] = [
        breakable(u.material or "not known"),
        runs(u.plies),
        breakable(batches),
        breakable(", ".join(came)) if came else NONE,
        breakable(u.kit) if u.kit else NONE,
        used_up(u.out),
    ]
    if tack:
        row.append(used_up(u.tack))
    row.append(f"{u.use_by:%Y-%m-%d}" if u.use_by else "–")
    return row


def _goods(goods: tuple[GoodsUsed, ...]) -> Table:
    def much(g: GoodsUsed) -> Words:
        parts = [
            *([shown(g.mass, "g", 0)] if g.mass is not None else []),
            *([shown(g.volume, "mL", 0)] if g.volume is not None else []),
            *([f"{g.count}"] if g.count is not None else []),
        ]
        return Said(words=", ".join(parts), basis=Basis.MEASURED) if parts else "–"

    rows = tuple(
        (
            breakable(g.name),
            breakable(g.material) or ("not in the ledger" if g.sort is None else "–"),
            breakable(g.batch) or "–",
            g.what_for,
            much(g),
            f"{g.heats}" if g.sort is not None else "–",
            f"{g.use_by:%Y-%m-%d}" if g.use_by else "–",
        )
        for g in goods
    )
    headers = ("name", "what", "batch", "for", "used up", "cures seen by now", "use by")
    return Table(headers=headers, rows=rows, align="llllrrl", title="Used on it")
