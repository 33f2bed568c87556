"""``bagside build weigh BUILD STAGE MASS``: on the scale, and at once what the number may mean."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


def weigh(
    build: given.Serial,
    stage: Annotated[
        str,
        typer.Argument(metavar="STAGE", help="kit (films on), laid, films (that came off), raw, trimmed or finished."),
    ],
    mass: Annotated[str, typer.Argument(metavar="MASS", help='As in "412 g".')],
    scale: Annotated[
        str, typer.Option(help='By how much the scale may be off, 95 times in 100, as in "1 g".')
    ] = "",
    gauge: Annotated[str, typer.Option(help="Which scale.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Write down a mass and say what a deviation from the plan may mean: a ply, a film, resin lost."""
    from bagside.cli.build import words
    from bagside.cli.build.found import build_called, one_of
    from bagside.cli.build.mass_words import cause_lines, mass_data, mass_line
    from bagside.cli.desk import desk
    from bagside.cli.options import positive
    from bagside.ledger.bodies import Found, MassStage, Measured
    from bagside.ledger.builds.weighed import mass_reading
    from bagside.quantity import Quantity, shown

    stages = [s.value for s in MassStage]
    moment = MassStage(one_of(stage, stages, "STAGE", "one of " + ", ".join(stages) + " is wanted"))
    value = positive(mass, Quantity.MASS, "MASS")
    off = positive(scale, Quantity.MASS, "--scale") if scale else None
    with desk(workshop, who, at, late=late) as here:
        found = build_called(here.ledger, build)
        body = Measured(
            subject=found.name,
            found=Found.MASS,
            value=value,
            stage=moment,
            sigma=None if off is None else 0.5 * off,
            gauge=gauge,
        )
        events = words.kept(here, body)
        now = words.again(here, found.name)
        shop = here.standing()
        found_now = next((r for r in mass_reading(now, shop) if r.stage is moment), None)
    said = [f"{found.name}: {shown(value, 'g')} {moment.value}; the plan states no mass here."]
    if found_now is not None:
        said = [f"{found.name}: {mass_line(found_now)}.", *cause_lines(found_now)]
    return words.answered(
        now,
        said,
        () if found_now is None else found_now.findings,
        events=events,
        data={"mass": None if found_now is None else mass_data(found_now)},
        json=json,
    )
