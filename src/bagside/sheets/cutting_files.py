"""Every file for the cutting room: the sheet for the table, labels, the list of kits, each nest as a drawing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from bagside.cutting import Nest, Offcuts, SheetNest, common_lines, cutting_order
from bagside.errors import InputError, did_you_mean
from bagside.planning.kit import MaterialKit
from bagside.planning.shelf import face_up
from bagside.sheets.cutting_sheet import ClothToCut, LeftOver, cutting_sheet_pdf
from bagside.sheets.kit_list import kit_lines, kit_list_pdf, natural
from bagside.sheets.label_words import Label, OffcutLabel, PieceLabel
from bagside.sheets.labels import labels_pdf, offcut_label, piece_labels
from bagside.sheets.nest_tiles import nest_tiles, nest_tiles_pdf
from bagside.sheets.on_table import LaidOut, part_words
from bagside.sheets.package import file_name
from bagside.sheets.shapes_out import nest_dxf, nest_svg
from bagside.spec.job import Face, Job
from bagside.spec.label_sheet import LabelSheet
from bagside.spec.library import Library
from bagside.spec.stock import Offcut
from bagside.spec.workshop import Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class CutFor:
    """What stands on the papers besides the layouts.

    Parameters
    ----------
    title
        Job or jobs.
    plies
        How many plies each job has, by its name.
    faces
        Which face of a one-faced cloth goes where, in words, by the name of the piece.
    digest
        Revision of the plan.
    note
        At the foot of each page.
    kept
        New offcuts in stock, in the order in which kits leave them; empty while it is planned only.
    used_labels
        Labels of the first sheet that are already used.
    called
        What the kits of each part are called in the records, by the part's name; empty where none are kept.
    """

    title: str
    plies: Mapping[str, int]
    faces: Mapping[str, str] = field(default_factory=dict)
    digest: str = ""
    note: str = ""
    kept: tuple[Offcut, ...] = ()
    used_labels: int = 0
    called: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def label_sheet_of(workshop: Workshop, library: Library) -> LabelSheet:
    """Return the labels in the printer: as the workshop states them, else the first of its paper.

    Parameters
    ----------
    workshop
        As stated.
    library
        With the sheets of labels.

    Raises
    ------
    InputError
        When there is no sheet of that name.
    """
    sheets = library.label_sheet
    if workshop.labels:
        if workshop.labels not in sheets:
            wanted = "there is no sheet of labels of this name"
            hint = did_you_mean(workshop.labels, sheets) or f"there are {', '.join(sorted(sheets))}"
            raise InputError.one("workshop.toml, labels", f'"{workshop.labels}"', wanted, hint)
        return sheets[workshop.labels]
    return next(s for s in sheets.values() if s.paper is workshop.paper)


def faces_of(job: Job, library: Library) -> dict[int, str]:
    """Return which face goes where, in words, for each ply of a one-faced cloth, by its number from 1.

    Parameters
    ----------
    job
        As stated.
    library
        Tells which cloth is one-faced.
    """
    return {
        k: f"resin-rich side to the {'mould' if ply.face is Face.MOULD else 'bag'}"
        for k, ply in enumerate(job.plies, 1)
        if library.prepreg[ply.material].one_faced
    }


def stock_label(offcut: Offcut, library: Library) -> OffcutLabel:
    """Return the label of an offcut; the face that is up stands on it where the cloth's faces differ.

    Parameters
    ----------
    offcut
        As the stock states it.
    library
        With its cloth.
    """
    cloth = library.prepreg[offcut.material]
    label = offcut_label(offcut, cloth.out_life)
    return label if cloth.one_faced else replace(label, face="")


def cutting_files(
    kits: Sequence[MaterialKit], told: CutFor, library: Library, workshop: Workshop, *, tiled: bool = False
) -> dict[str, bytes]:
    """Return every file for the cutting room.

    Parameters
    ----------
    kits
        What is cut from each cloth.
    told
        What else stands on the papers.
    library, workshop
        As stated.
    tiled
        Whether each nest is also printed at full size over many sheets.

    Returns
    -------
    dict of bytes
        Content by relative name.

    Raises
    ------
    InputError
        When the sheet of labels is not known, or words do not fit a label.
    """
    names = iter(told.kept)
    files: dict[str, bytes] = {}
    cloths: list[ClothToCut] = []
    labels: list[Label] = []
    cut_from: list[tuple[LaidOut, str, str]] = []
    for kit in kits:
        prepreg = library.prepreg[kit.material]
        up = face_up(prepreg) if prepreg.one_faced else ""
        named = names if kit.cut_on is None else iter(())  # what was cut before left its offcuts then
        of_rolls = [_kept(roll.offcuts, named) for roll in kit.rolls]  # named in this order when they go to stock
        of_sheets = [_kept(sheet.offcuts, named) for sheet in kit.sheets]
        for sheet, left in zip(kit.sheets, of_sheets, strict=True):
            over = bool(up) and sheet.offcut.up.value != up
            cloths.append(_cloth(sheet.nest, up, left, over=over))
            source = f"offcut {sheet.offcut.name}"
            cut_from.append((_in_order(cloths[-1]), sheet.offcut.batch, source))
            labels += _labels(
                cloths, told, source, sheet.offcut.batch, sheet.offcut.life_used, prepreg.out_life, prepreg.films
            )
        for roll, left in zip(kit.rolls, of_rolls, strict=True):
            over = bool(up) and roll.roll.up.value != up
            cloths.append(_cloth(roll.nest, up, left, roll.roll.called, roll.take.pull, over=over))
            source = f"roll {roll.roll.called}"
            cut_from.append((_in_order(cloths[-1]), roll.roll.batch, source))
            labels += _labels(
                cloths, told, source, roll.roll.batch, roll.roll.life_used, prepreg.out_life, prepreg.films
            )
    for cloth in cloths:
        files |= _drawn(cloth, files, workshop, told, tiled=tiled)
    files["cutting-sheet.pdf"] = cutting_sheet_pdf(
        cloths, title=told.title, note=told.note, on=workshop.paper, ink=workshop.ink
    )
    films = {p.label: library.prepreg[p.material].films for c in cloths for p in c.nest.pieces}
    lines = sorted(kit_lines(cut_from, films=films), key=lambda line: (natural(line.part), line.ply))
    plies = max(told.plies.values(), default=0) if len(set(told.plies) - {""}) == 1 else 0
    files["kit-list.pdf"] = kit_list_pdf(
        lines, plies=plies, title=told.title, note=told.note, on=workshop.paper, ink=workshop.ink,
        called={part_words(part): names for part, names in told.called.items()},
    )  # fmt: skip
    labels += [stock_label(offcut, library) for offcut in told.kept]
    files["labels.pdf"] = labels_pdf(
        labels,
        label_sheet_of(workshop, library),
        first=told.used_labels,
        base=workshop.address,
        title=f"labels {told.title}",
    )
    return files


def _kept(left: Offcuts, names: Iterator[Offcut]) -> tuple[LeftOver, ...]:
    """Return what is left with its name in stock, or a number while it has none."""
    return tuple(
        LeftOver(name=getattr(next(names, None), "name", f"left {k}"), outline=p) for k, p in enumerate(left.kept, 1)
    )


def _in_order(cloth: ClothToCut) -> Nest | SheetNest:
    """Return the layout of a cloth with its placements in the order of cutting."""
    assert isinstance(cloth.nest, Nest | SheetNest)
    return cloth.nest if cloth.order is None else replace(cloth.nest, placements=cloth.order)


def _cloth(
    nest: Nest | SheetNest,
    up: str,
    left: tuple[LeftOver, ...],
    roll: str = "",
    pull: float | None = None,
    *,
    over: bool,
) -> ClothToCut:
    return ClothToCut(
        nest=nest,
        order=cutting_order(nest),
        pull=pull,
        roll=roll,
        up=up,
        over=over,
        common=tuple(bit for line in common_lines(nest) for bit in line.segments),
        left=left,
    )


def _labels(
    cloths: Sequence[ClothToCut], told: CutFor, source: str, batch: str, used: float, life: float, films: int
) -> list[Label]:
    """Return the labels of the last cloth; its numbers run on from those before."""
    cloth = cloths[-1]
    before = sum(len(c.nest.placements) for c in cloths[:-1])
    found = piece_labels(
        cloth.nest,
        cloth.order,
        job=told.title,
        batch=batch,
        source=source,
        films=films,
        life_used=used,
        out_life=life,
        digest=told.digest,
        first=before + 1,
    )
    return [_told(label, told) for label in found]


def _told(label: PieceLabel, told: CutFor) -> PieceLabel:
    return replace(label, plies=told.plies.get(label.job, 0), face=told.faces.get(label.piece, ""))


def _drawn(
    cloth: ClothToCut, there: Mapping[str, bytes], workshop: Workshop, told: CutFor, *, tiled: bool
) -> dict[str, bytes]:
    nest = cloth.nest
    left = [(item.name, item.outline) for item in cloth.left]
    name = nest.sheet.name if isinstance(nest, SheetNest) else nest.pieces[0].material
    stem = f"nests/{file_name(name)}"
    stem = next(n for n in (stem, *(f"{stem}-{k}" for k in range(2, 1000))) if f"{n}.svg" not in there)
    files = {
        f"{stem}.svg": nest_svg(nest, pull=cloth.pull, common=cloth.common, left=left).encode("utf-8"),
        f"{stem}.dxf": nest_dxf(nest, pull=cloth.pull, common=cloth.common, left=left),
    }
    if tiled:
        paper = workshop.paper
        found = nest_tiles(
            nest, on=paper, pull=cloth.pull, roll=cloth.roll, common=cloth.common, left=left, note=told.note
        )
        files[f"{stem}-{paper.value}.pdf"] = nest_tiles_pdf(found, on=paper, title=f"{told.title} {stem}")
    return files
