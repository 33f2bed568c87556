"""``bagside drape MESH``: how one ply lies on a surface, where it is cut, and its flat pieces."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson, MeshFile, Side, Unit


def drape(
    mesh: MeshFile,
    unit: Unit,
    side: Side,
    start: Annotated[str, typer.Option(help='Where laying starts, as in "0 0 12 mm".')],
    direction: Annotated[str, typer.Option(help='Where the warp points there, as in "1 0 0".')] = "1 0 0",
    kind: Annotated[str, typer.Option(help="woven, unidirectional, non-crimp or veil.")] = "woven",
    locking: Annotated[str, typer.Option(help="Shear at which the cloth wrinkles.")] = "40°",
    size: Annotated[str, typer.Option(help="Edge length of the triangles to work with.")] = "3 mm",
    noise: Annotated[str, typer.Option(help="Roughness of a scan, to be faired away.")] = "0 mm",
    cut: Annotated[
        list[str] | None,
        typer.Option(help='A line to cut along, as in "0 0 9; 90 0 9 mm"; from rim to rim a split, else a dart.'),
    ] = None,
    join: Annotated[str, typer.Option(help="How cuts lie: overlap, butt or slip joint.")] = "overlap",
    overlap: Annotated[str, typer.Option(help="Width of overlaps.")] = "15 mm",
    auto: Annotated[bool, typer.Option("--auto", help="Look for the fewest cuts that keep its limits.")] = False,
    first: Annotated[str, typer.Option(help='A line laid first, as in "0 0 9; 90 0 9 mm".')] = "",
    refine: Annotated[bool, typer.Option("--refine", help="Work it out to the last digits.")] = False,
    out: Annotated[Path | None, typer.Option(help="Folder for pieces: GLB in colours, flat as SVG and DXF.")] = None,
    preview: Annotated[bool, typer.Option("--preview", help="A quick look by a net of threads; no piece.")] = False,
    json: AsJson = False,
) -> int:
    """Lay one ply on a surface: shear, stretch, cuts, and the flat pieces to cut."""
    import numpy as np

    from bagside import drape as draping
    from bagside.cli import options
    from bagside.cli.drape_pieces import Asked, laid, show_pieces
    from bagside.errors import InputError, did_you_mean
    from bagside.planning.content import ContentFile
    from bagside.planning.mould_stage import opened_mould
    from bagside.quantity import Quantity
    from bagside.spec.job import Mould
    from bagside.spec.lines import Join
    from bagside.spec.material import ClothKind

    kinds, joins = [k.value for k in ClothKind], [j.value for j in Join]
    for option, text, known in (("--kind", kind, kinds), ("--join", join, joins)):
        if text not in known:
            raise InputError.one(option, f'"{text}"', f"one of {', '.join(known)} is wanted", did_you_mean(text, known))
    lock = options.positive(locking, Quantity.ANGLE, "--locking")
    if auto and not cut and join != Join.OVERLAP.value:
        raise InputError.one("--join", f'"{join}"', "cuts that are found overlap; a join is for those of --cut")
    slow = [name for name, on in (("--cut", cut), ("--auto", auto), ("--first", first), ("--refine", refine)) if on]
    if preview and slow:
        raise InputError.one(slow[0], "", "a preview knows neither cuts nor a first line; leave out --preview or this")
    if preview and out is not None:
        raise InputError.one("--out", str(out), "a preview has no piece to write; leave out --preview or --out")
    mould = Mould(
        mesh=mesh.name,
        unit=unit,
        laminate_side=options.direction(side, "--side"),
        noise=options.not_negative(noise, Quantity.LENGTH, "--noise"),
        size=options.positive(size, Quantity.LENGTH, "--size"),
        material="",
        thickness=0.0,
    )
    at, way = options.point(start, "--start"), options.direction(direction, "--direction")
    asked = Asked(
        kind=ClothKind(kind),
        locking=lock,
        start=at,
        direction=way,
        cuts=tuple(options.points(text, "--cut") for text in cut or ()),
        join=Join(join),
        overlap=options.positive(overlap, Quantity.LENGTH, "--overlap"),
        auto=auto,
        first=options.points(first, "--first") if first else (),
        refine=refine,
    )
    opened = opened_mould(ContentFile.of_existing(mesh), mould)
    if preview:
        from bagside.cli.drape_preview import show_preview

        return show_preview(draping.preview(opened.work, np.array(at), np.array(way)), mesh.name, lock, json=json)
    pieces, cuts = laid(opened.work, mould, asked, mesh.name)
    return show_pieces(pieces, cuts, asked, mesh.name, out, json=json)
