"""Every file of a plan's package, by its name."""

from __future__ import annotations

import hashlib

from bagside.cutting import FlatPiece
from bagside.planning.cut_jobs import revision
from bagside.planning.piece import Piece
from bagside.planning.plan import BuildPlan
from bagside.planning.ply_pieces import ply_of
from bagside.planning.stages import Stages
from bagside.quantity import shown
from bagside.sheets.book import book_pdf
from bagside.sheets.book_plies import cloth_weight
from bagside.sheets.book_tiles import map_of
from bagside.sheets.cure_files import cure_files
from bagside.sheets.cut_steps import corners_of
from bagside.sheets.cutting_files import CutFor, cutting_files, faces_of
from bagside.sheets.fill import book_input
from bagside.sheets.found_cuts import cuts_toml
from bagside.sheets.glb import piece_glb
from bagside.sheets.maps import maps_of
from bagside.sheets.package import file_name
from bagside.sheets.pictures import pictures_of
from bagside.sheets.planjson import plan_message
from bagside.sheets.shapes_out import piece_dxf, piece_svg
from bagside.sheets.tiles import Template, templates_pdf
from bagside.spec.material import ClothKind
from bagside.spec.workshop import Paper

MAP = (420.0, 400.0)  # [mm] for a laying map that is printed large


def plan_files(plan: BuildPlan, made_from: str, stages: Stages) -> dict[str, bytes]:
    """Return every file of a plan: the book, templates, nests, the cure and the plan itself.

    Parameters
    ----------
    plan
        The build.
    made_from
        Digest of everything it was made from.
    stages
        Keeps what has been drawn before.

    Returns
    -------
    dict of bytes
        Content by relative name.
    """
    pictures = pictures_of(plan, stages)
    notes = tuple(_note(plan, p) for p in plan.cut)
    files = dict(
        stages.run("Drawing the templates", template_files, plan.cut, notes, plan.workshop.paper, plan.job.name)
    )
    if plan.patchwork is not None:
        files[f"laying-map-{plan.patchwork.ply + 1}.svg"] = map_of(plan, plan.patchwork, MAP).encode("utf-8")
    files |= stages.run(
        "Printing the cutting room's papers", cutting_files, plan.kits, told_of(plan), plan.library, plan.workshop
    )
    kinds = tuple(plan.library.prepreg[plan.job.plies[p.ply].material].kind for p in plan.pieces)
    if plan.pieces:
        files |= stages.run("Writing the pieces in space", piece_files, plan.pieces, kinds)
    if text := cuts_toml(plan):
        files["cuts.toml"] = text.encode("utf-8")
    for run, word in zip(plan.cure.runs, ("cure", "post-cure"), strict=False):
        files |= cure_files(run, plan.case, word)
    book = book_input(plan, pictures.drawn, pictures.bag, made_from)
    files["book.pdf"] = stages.run("Printing the book", book_pdf, book)
    sums = {k: hashlib.sha256(v).hexdigest() for k, v in files.items()}
    message = plan_message(plan, sums, made_from)
    files["plan.json"] = (message.model_dump_json(indent=1) + "\n").encode("utf-8")
    return files


def _note(plan: BuildPlan, piece: FlatPiece) -> str:
    k = ply_of(piece.label)
    return (
        f"{plan.job.name}, {piece.material}, warp {shown(plan.job.plies[k].angle, '°', 0)}, cut {piece.quantity}, "
        f"{shown(piece.area, 'cm²', 0 if piece.area > 2e-3 else 1)}, "
        f"{shown(cloth_weight(plan, k) * piece.area, 'g', 1)}"
    )


def told_of(plan: BuildPlan) -> CutFor:
    """Return what stands on the cutting room's papers besides the layouts.

    Parameters
    ----------
    plan
        The build.
    """
    job = plan.job
    faces = faces_of(job, plan.library)
    digest = revision(plan.cut, plan.kits)
    return CutFor(
        title=job.name,
        plies={job.name: len(job.plies), "": len(job.plies)},
        faces={p.label: faces[p.ply] for p in plan.cut if p.ply in faces},
        digest=digest,
        note=f"{job.name}, revision {digest}",
    )


def piece_files(pieces: tuple[Piece, ...], kinds: tuple[ClothKind, ...]) -> dict[str, bytes]:
    """Return each piece as it lies on the mould, as GLB in the colours of its page.

    Parameters
    ----------
    pieces
        As they drape.
    kinds
        Of the cloth of each.
    """
    files: dict[str, bytes] = {}
    for piece, kind in zip(pieces, kinds, strict=True):
        shown_map = maps_of([piece.drape], kind).first
        values = shown_map.of(piece.drape)
        name = f"drape/{file_name(piece.label)}.glb"
        files[name] = piece_glb(piece.drape, label=piece.label, bands=shown_map.bands, values=values)
    return files


def template_files(pieces: tuple[FlatPiece, ...], notes: tuple[str, ...], paper: Paper, title: str) -> dict[str, bytes]:
    """Return each piece at full size: SVG, DXF and tiled PDF.

    Parameters
    ----------
    pieces
        As they are cut.
    notes
        A line for each, on every sheet.
    paper
        In the printer.
    title
        Of the job.
    """
    files: dict[str, bytes] = {}
    together: dict[str, list[Template]] = {}
    for piece, note in zip(pieces, notes, strict=True):
        name = f"templates/{file_name(piece.label)}"
        files[f"{name}.svg"] = piece_svg(piece, note=note).encode("utf-8")
        files[f"{name}.dxf"] = piece_dxf(piece)
        template = Template(
            label=piece.label,
            loops=piece.loops,
            note=note,
            start=next((at for mark, at in piece.marks if mark == "start"), None),
            holes=tuple(at for mark, at in piece.marks if mark != "start"),
            seams=piece.seams,
            corners=_laid_by(piece),
        )
        # tiles of one ply go into one file: nobody prints them one by one
        ply, dash, _ = piece.label.partition("-")
        together.setdefault(f"{ply}-tiles" if dash else piece.label, []).append(template)
    for name, templates in together.items():
        file = f"templates/{file_name(name)}-{paper.value}.pdf"
        files[file] = templates_pdf(templates, on=paper, title=f"{title} {name}")
    return files


def _laid_by(piece: FlatPiece) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the corners by which a card is laid on the cloth, as the sheet for the cutting table measures them."""
    found = corners_of(piece)
    (ax, ay), (bx, by) = found.a, found.b
    return (float(ax), float(ay)), (float(bx), float(by))
