"""Every file of a plan's package, by its name."""

from __future__ import annotations

import hashlib
import re

from bagside.planning.kit_stage import flat_piece
from bagside.planning.plan import BuildPlan
from bagside.quantity import shown
from bagside.sheets.book import book_pdf
from bagside.sheets.cure_csv import cure_csv
from bagside.sheets.fill import book_input
from bagside.sheets.planjson import plan_message
from bagside.sheets.shapes_out import nest_dxf, nest_svg, piece_dxf, piece_svg
from bagside.sheets.tiles import Template, templates_pdf


def plan_files(plan: BuildPlan, made_from: str) -> dict[str, bytes]:
    """Return every file of a plan: the book, templates, nests, the cure and the plan itself.

    Parameters
    ----------
    plan
        The build.
    made_from
        Digest of everything it was made from.

    Returns
    -------
    dict of bytes
        Content by relative name.
    """
    files: dict[str, bytes | str] = {}
    paper = plan.workshop.paper
    for piece in plan.pieces:
        flat = flat_piece(piece, plan.job, plan.library)
        name = f"templates/{file_name(piece.label)}"
        files[f"{name}.svg"] = piece_svg(flat)
        files[f"{name}.dxf"] = piece_dxf(flat)
        ply = plan.job.plies[piece.ply]
        template = Template(
            label=piece.label,
            loops=piece.pattern.loops,
            note=f"{plan.job.name}, {ply.material}, warp {shown(ply.angle, '°', 0)}, cut {plan.job.quantity}",
            start=(0.0, 0.0),
            holes=tuple(uv for _, uv in piece.holes),
        )
        files[f"{name}-{paper.value}.pdf"] = templates_pdf([template], on=paper, title=f"{plan.job.name} {piece.label}")
    for kit in plan.kits:
        name = f"nests/{file_name(kit.material)}"
        files[f"{name}.svg"] = nest_svg(kit.nest, pull=kit.take.pull)
        files[f"{name}.dxf"] = nest_dxf(kit.nest, pull=kit.take.pull)
    files["cure.csv"] = cure_csv(plan.cure.first, plan.cure.resin)
    if plan.cure.post is not None:
        files["post-cure.csv"] = cure_csv(plan.cure.post, plan.cure.resin)
    files["book.pdf"] = book_pdf(book_input(plan, made_from))
    done = {k: v.encode("utf-8") if isinstance(v, str) else v for k, v in files.items()}
    sums = {k: hashlib.sha256(v).hexdigest() for k, v in done.items()}
    message = plan_message(plan, sums, made_from)
    done["plan.json"] = (message.model_dump_json(indent=1) + "\n").encode("utf-8")
    return done


def file_name(label: str) -> str:
    """Return a label as a file name that every system takes.

    Examples
    --------
    >>> file_name("3A")
    '3A'
    """
    return re.sub(r"[^\w.-]+", "-", label).strip("-.") or "piece"
