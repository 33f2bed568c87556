"""What the page of finishing shows: fill and coats, what is mixed, when the next may follow, the room's air."""

from __future__ import annotations

from dataclasses import dataclass

from bagside.findings import Basis
from bagside.finishing import Climate, CoatPlan
from bagside.planning.plan import BuildPlan
from bagside.planning.stages import Stages
from bagside.spec.material import Coating
from bagside.web.views.finish.drawn import NARROW, build_picture, ticks_of, window_picture


@dataclass(frozen=True, slots=True, kw_only=True)
class CoatShown:
    """A coating, the filler among them.

    Parameters
    ----------
    plan
        Worked out for all parts.
    coating
        As the library has it.
    filler
        Whether it fills pinholes.
    basis, source
        On what its values rest.
    window, narrow
        Its time line, with words in braces, on a desk and on a phone.
    ticks
        Times under it [s].
    """

    plan: CoatPlan
    coating: Coating
    filler: bool
    basis: Basis
    source: str
    window: str
    narrow: str
    ticks: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishView:
    """What the page of finishing shows.

    Parameters
    ----------
    coats
        In order, the filler first.
    climate
        Of the room as the workshop states it.
    grits
        From the filled face to the flat before polish.
    build
        The films on the laminate, with words in braces; empty without coats.
    area
        One face of all parts [m²].
    parts
        How many.
    coatings
        What may be chosen.
    """

    coats: tuple[CoatShown, ...]
    climate: Climate
    grits: tuple[str, ...]
    build: str
    area: float
    parts: int
    coatings: tuple[str, ...]


def view(plan: BuildPlan, stages: Stages) -> FinishView:
    """Return what the page of finishing shows.

    Parameters
    ----------
    plan
        The build.
    stages
        Not needed: it is drawn in a moment.
    """
    finish, library = plan.finish, plan.library
    planned = [(finish.fill, True)] if finish.fill is not None else []
    planned += [(coat, False) for coat in finish.coats]
    return FinishView(
        coats=tuple(
            CoatShown(
                plan=coat,
                coating=library.coating[coat.name],
                filler=filler,
                basis=library.coating[coat.name].basis.of("flash"),
                source=library.coating[coat.name].basis.source,
                window=window_picture(coat, f"k{k}"),
                narrow=window_picture(coat, f"k{k}", NARROW),
                ticks=ticks_of(coat),
            )
            for k, (coat, filler) in enumerate(planned)
        ),
        climate=finish.climate,
        grits=finish.grits,
        build=build_picture([coat for coat, _ in planned]) if planned else "",
        area=plan.laminate.part.area * plan.job.quantity,
        parts=plan.job.quantity,
        coatings=tuple(sorted(library.coating)),
    )
