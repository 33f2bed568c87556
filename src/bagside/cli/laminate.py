"""``bagside laminate FILE``: thickness, mass and stiffness of a stack, and beside what it replaces."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def laminate(
    file: Annotated[Path, typer.Argument(help="Plies of a stack; see demo/benches/laminate.toml.")],
    workshop: Annotated[Path | None, typer.Option(help="Folder of the workshop whose materials count.")] = None,
    json: AsJson = False,
) -> int:
    """Stack plies: thickness, mass, stiffness, symmetry, and as stiff as what."""
    import math

    from bagside import laminate as laminates
    from bagside.cli import show
    from bagside.cli.bench_file import bench_file
    from bagside.errors import InputError
    from bagside.planning.laminate_stage import laid_ply
    from bagside.quantity import shown
    from bagside.spec.bench import StackFile
    from bagside.spec.library import lookup

    stated, library = bench_file(file, StackFile, workshop)
    problems = [
        p
        for k, ply in enumerate(stated.plies, 1)
        for p in lookup(library.prepreg, ply.material, f"{file.name}, ply {k}, material", "prepreg")
    ]
    if stated.replaces is not None:
        problems += lookup(library.substrate, stated.replaces.material, f"{file.name}, replaces, material", "material")
    if problems:
        raise InputError(problems)
    if not stated.plies:
        raise InputError.one(f"{file.name}, plies", "", "at least one ply is wanted")
    stack = laminates.laminate_of(
        [laid_ply(str(k), library.prepreg[p.material], p.angle) for k, p in enumerate(stated.plies, 1)]
    )
    found = laminates.findings(stack, cooled=stated.cools, structural=stated.structural)
    match = None
    if stated.replaces is not None:
        substrate = library.substrate[stated.replaces.material]
        match = laminates.match(
            stack,
            laminates.Original(
                E=substrate.modulus,
                nu=substrate.poisson,
                thickness=stated.replaces.thickness,
                density=substrate.density,
            ),
        )
    answers = (
        [] if match is None else [("bending", match.bending), ("pushed", match.pushed), ("in_plane", match.in_plane)]
    )
    bend = stack.flexural
    if json:
        show.emit(
            {
                "laminate": {
                    "thickness_mm": 1e3 * stack.thickness,
                    "mass_g_per_m2": 1e3 * stack.mass_per_area,
                    "ex_gpa": 1e-9 * stack.Ex,
                    "ey_gpa": 1e-9 * stack.Ey,
                    "gxy_gpa": 1e-9 * stack.Gxy,
                    "nuxy": stack.nuxy,
                    "ex_bending_gpa": 1e-9 * bend.Ex,
                    "ey_bending_gpa": 1e-9 * bend.Ey,
                    "symmetry_error": stack.symmetry_error,
                    "balance_error": stack.balance_error,
                    "a_n_per_m": stack.A.tolist(),
                    "b_n": stack.B.tolist(),
                    "d_n_m": stack.D.tolist(),
                    "match": {
                        f"{name}_{word}": value
                        for name, a in answers
                        for word, value in (
                            ("ratio", a.ratio),
                            ("thickness_mm", 1e3 * a.thickness),
                            ("mass_saving_percent", 100 * a.saving),
                        )
                    }
                    or None,
                },
                "findings": [show.finding_data(f) for f in found],
            }
        )
        return show.exit_code(found)
    angles = " / ".join(f"{math.degrees(p.angle):.0f}°" for p in stated.plies)
    rows = [
        ["thickness", shown(stack.thickness, "mm", 2)],
        ["mass", shown(stack.mass_per_area, "g/m²", 0)],
        ["Ex, Ey, Gxy in plane", ", ".join(shown(e, "GPa") for e in (stack.Ex, stack.Ey, stack.Gxy))],
        ["Ex, Ey in bending", ", ".join(shown(e, "GPa") for e in (bend.Ex, bend.Ey))],
    ]
    rows.append(["A11, A22, A66", ", ".join(f"{1e-6 * stack.A[k, k]:.2f}" for k in range(3)) + " MN/m"])
    rows.append(["largest B", f"{abs(stack.B).max():.3g} N"])
    rows.append(["D11, D22, D66", ", ".join(f"{stack.D[k, k]:.3g}" for k in range(3)) + " N m"])
    rows.append(["out of symmetry, out of balance", f"{stack.symmetry_error:.3f}, {stack.balance_error:.3f}"])
    for name, a in answers:
        word = {"bending": "bent as a plate", "pushed": "pushed as a curved panel", "in_plane": "in its plane"}[name]
        rows.append([f"{word}, beside the original", shown(a.ratio, "%", 0)])
        rows.append(["  thickness that would equal it", shown(a.thickness, "mm", 2)])
    show.table(f"{len(stated.plies)} plies, first on the mould: {angles}", ["", ""], rows)
    show.show_findings(found)
    return show.exit_code(found)
