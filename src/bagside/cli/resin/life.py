"""``bagside resin life NAME``: how much of a prepreg's life is used, and what that does to a cure."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def life(
    name: Annotated[str, typer.Argument(help="A prepreg or a resin of the workshop, as in twill-200.")],
    spent: Annotated[
        list[str] | None, typer.Option("--spent", help='Where it has been, as in "6 h at 21 °C"; repeat.')
    ] = None,
    listed: Annotated[
        Path | None, typer.Option("--list", help="In-and-out list: lines of out,back,temperature.")
    ] = None,
    sheet: Annotated[
        list[str] | None, typer.Option("--sheet", help='Life as its sheet says, as in "365 day at −18 °C"; repeat.')
    ] = None,
    freezer: Annotated[str, typer.Option(help="Of the freezer.")] = "−18 °C",
    room: Annotated[str, typer.Option(help="Of the room it is laid up in.")] = "21 °C",
    cure: Annotated[Path | None, typer.Option(help="A job, or sections and a cycle, to see gel and flow in.")] = None,
    workshop: Annotated[Path | None, typer.Option(help="Folder of the workshop whose materials count.")] = None,
    json: AsJson = False,
) -> int:
    """Count the life a prepreg has used, what is left, and what it does to gel and flow."""
    from dataclasses import replace

    from bagside import cure as curing
    from bagside.cli import show
    from bagside.cli.cure.case import opened_case
    from bagside.cli.options import quantity
    from bagside.cli.resin.life_spells import listed_text, point_of, spell_of, spells_of_list
    from bagside.cli.resin.life_told import Told, data, tables
    from bagside.errors import InputError, Problem, did_you_mean
    from bagside.findings import Basis
    from bagside.planning import cure_life
    from bagside.planning.cure_sections import cure_resin
    from bagside.quantity import Quantity
    from bagside.spec.library import generic_library, workshop_library

    library = generic_library() if workshop is None else workshop_library(workshop)
    prepreg = library.prepreg.get(name)
    resin_name = name if prepreg is None else prepreg.resin
    wrong = []
    if resin_name not in library.resin:
        known = [*library.prepreg, *library.resin]
        wrong.append(
            Problem(
                place="name", came=f'"{name}"', wanted="a prepreg or a resin is wanted", hint=did_you_mean(name, known)
            )
        )
    elif prepreg is None and not sheet:
        wrong.append(Problem(place="--sheet", came="", wanted='its life is wanted, as in "30 day at 21 °C"'))
    if wrong:
        raise InputError(wrong)
    cold, warm = quantity(freezer, Quantity.TEMPERATURE, "--freezer"), quantity(room, Quantity.TEMPERATURE, "--room")
    spells = [] if listed is None else spells_of_list(listed_text(listed), listed.name, cold)
    spells += [spell_of(text, "--spent") for text in spent or ()]
    if prepreg is None or sheet:
        told_life = curing.LifeSheet(points=tuple(point_of(text, "--sheet") for text in sheet or ()))
        basis, source, tack = Basis.DATA_SHEET, "as typed", None
    else:
        tack = cure_life.tack_sheet(prepreg)
        told_life = cure_life.life_sheet(prepreg)
        basis, source = prepreg.basis.of("out_life"), prepreg.basis.source
    resin = library.resin[resin_name]
    mixed = cure_resin(resin, resin.density if prepreg is None else prepreg.resin_density, resin_name)
    at_room = curing.LifeSheet(points=told_life.points, reference=cure_life.ROOM)
    now, _ = cure_life.start_from_life(resin, mixed, float(at_room.life(cure_life.ROOM)), told_life.share(spells))
    effects = {}
    if cure is not None:
        case = opened_case(cure, workshop)
        if case.resin_name != resin_name:
            raise InputError.one(str(cure), f'"{case.resin_name}"', f'a cure of "{resin_name}" is wanted')
        air = case.oven.air(case.programme)
        for place, section in zip(case.places, case.on_mould, strict=True):
            start = replace(section, start=case.start, alpha0=None)
            fresh_one, used_one = curing.life_effect(start, case.resin, air, (mixed.alpha0, now))
            effects[place] = fresh_one, used_one
    law = curing.advanced(mixed.kinetics, mixed.alpha0, spells).tolist()
    told = Told(
        name=name,
        sheet=told_life,
        tack=tack,
        spells=spells,
        law=law,
        fresh=mixed.alpha0,
        now=now,
        freezer=cold,
        room=warm,
        effects=effects,
        found=curing.life_findings(
            name,
            told_life,
            spells,
            basis=basis,
            source=source,
            kinetics=mixed.kinetics if spells else None,
            by_life=now if spells else None,
            by_law=law[-1] if spells else None,
        ),
    )
    if json:
        show.emit(data(told))
        return show.exit_code(told.found)
    for title, headers, rows in tables(told):
        show.table(title, headers, rows)
    show.show_findings(told.found)
    return show.exit_code(told.found)
