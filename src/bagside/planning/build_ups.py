"""Rings round holes and strips along seams made into plies, as many as their height takes.

Nothing is worked out on the surface here: a job goes in, and the same job with more plies comes out. With a mesh each
layer is a ply over a region near holes or lines; without one it is a ply cut from rings, discs or strips, over a place
that lies within the place of the layer below.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from bagside.errors import InputError, Problem
from bagside.planning.laminate_stage import laid_ply
from bagside.quantity import shown
from bagside.spec.build_up import BuildUp
from bagside.spec.job import Job, Ply
from bagside.spec.library import Library
from bagside.spec.measured import Measured, Place
from bagside.spec.region import EVERYTHING, Near, Region
from bagside.spec.template import Card, CutFrom, Template

MOST = 60  # layers of one stack: no hand lay-up has more
SAME = 1e-9  # [m²]
EVEN = 1e-9  # share of a layer by which a height may exceed whole layers


@dataclass(slots=True, kw_only=True)
class _Layer:
    """A layer cut from cards: how wide it is, and the place it covers."""

    name: str
    width: float
    place: Place


@dataclass(slots=True, kw_only=True)
class _Stack:
    """The layers of one build-up, and what they are laid over or cut from."""

    at: frozenset[str]
    place: str
    after: int
    plies: list[Ply] = field(default_factory=list)
    regions: dict[str, Region] = field(default_factory=dict)
    templates: dict[str, Template] = field(default_factory=dict)
    layers: list[_Layer] = field(default_factory=list)


def with_build_ups(job: Job, library: Library) -> Job:
    """Return a job with its rings and strips as plies among the others, and none left to be made.

    Parameters
    ----------
    job
        As stated.
    library
        Materials, whose thickness says how many layers a height takes.

    Raises
    ------
    InputError
        When layers become narrower than the narrowest before the height is reached, with what would do; when they do
        not fit on their place, or their name is taken.
    """
    if not job.build_ups:
        return job
    stacks: list[_Stack] = []
    problems: list[Problem] = []
    taken = {*job.regions, *job.templates, *(() if job.measured is None else job.measured.places), EVERYTHING}
    for k, build_up in enumerate(job.build_ups, 1):
        place = f"job.toml, build-up {build_up.name or k}"
        try:
            stack = _stack(build_up, job, widths_of(build_up, library, place), place)
        except InputError as error:
            problems.extend(error.problems)
            continue
        own = {*stack.regions, *stack.templates, *(layer.name for layer in stack.layers)}
        for name in sorted(own & taken):
            wanted = "a region, place or template of this name is stated already, and a layer would be called so"
            problems.append(
                Problem(place=f"{place}, name", came=f'"{name}"', wanted=wanted, hint="choose another name")
            )
        taken |= own
        stacks.append(stack)
    if problems:
        raise InputError(problems)
    measured = job.measured
    if measured is not None:
        measured = replace(measured, places=measured.places | _places(stacks))
        _fit(measured, job.part)
    return replace(
        job,
        plies=_among(job.plies, stacks),
        regions=dict(itertools.chain(job.regions.items(), *(s.regions.items() for s in stacks))),
        templates=dict(itertools.chain(job.templates.items(), *(s.templates.items() for s in stacks))),
        measured=measured,
        patchwork=None if job.patchwork is None else replace(job.patchwork, ply=_moved(job.patchwork.ply, stacks)),
        build_ups=(),
    )


def widths_of(build_up: BuildUp, library: Library, place: str) -> tuple[float, ...]:
    """Return the width of each layer, the first one laid first [m].

    Parameters
    ----------
    build_up
        As stated.
    library
        Materials.
    place
        Where it is stated, for messages.

    Returns
    -------
    tuple
        Beyond a hole's rim, or across a seam.

    Raises
    ------
    InputError
        When the layers become too narrow before the height is reached, or are too many to be meant.
    """
    thickness = laid_ply("", library.prepreg[build_up.material], 0.0).thickness
    count = max(1, math.ceil(build_up.height / thickness - EVEN))
    if count > MOST:
        raise InputError.one(
            f"{place}, height",
            shown(build_up.height, "mm", 2),
            f"that would take {count} layers of {shown(thickness, 'mm', 2)}; at most {MOST} are made",
            "check the unit, or use a core or a thicker cloth",
        )
    less = build_up.step * (1.0 if build_up.around else 2.0)
    widths = tuple(build_up.width - k * less for k in range(count))
    within = sum(w >= build_up.narrowest - 1e-9 for w in widths)
    if within < count:
        enough = build_up.narrowest + (count - 1) * less
        reached = f"{within} {'layers reach' if within > 1 else 'layer reaches'} {shown(within * thickness, 'mm', 2)}"
        raise InputError.one(
            f"{place}, height",
            shown(build_up.height, "mm", 2),
            f"it takes {count} layers of {shown(thickness, 'mm', 2)}, and from {shown(build_up.width, 'mm')} on, each "
            f"{shown(less, 'mm')} narrower, only {reached} before they are narrower than "
            f"{shown(build_up.narrowest, 'mm')}",
            f'width = "{1000 * enough:g} mm" would do, or a smaller step',
        )
    return widths


def _stack(build_up: BuildUp, job: Job, widths: Sequence[float], place: str) -> _Stack:
    at = frozenset(build_up.around or build_up.along)
    stack = _Stack(at=at, place=place, after=build_up.after or len(job.plies))
    angles = itertools.cycle(build_up.angles or (0.0,))
    for k, (width, angle) in enumerate(zip(widths, angles, strict=False), 1):
        name = build_up.name if len(widths) == 1 else f"{build_up.name} {k}"
        if job.mould.mesh:
            stack.regions[name] = _region(build_up, width, build_up.region or job.plies[0].region)
            stack.plies.append(Ply(material=build_up.material, angle=angle, region=name))
            continue
        cards, counts = _cards(build_up, job, width, name, place)
        stack.templates |= cards
        covers = _place(cards, counts, _on(build_up, job, place))
        stack.layers.append(_Layer(name=name, width=width, place=covers))
        cut = tuple(CutFrom(template=card, copies=counts[card]) for card in cards)
        stack.plies.append(Ply(material=build_up.material, angle=angle, region=name, templates=cut))
    return stack


def _region(build_up: BuildUp, width: float, of: str) -> Region:
    """Return where a layer lies on the mould; a distance from a hole counts from its rim."""
    if build_up.along:
        return Region(of=of, near=Near(distance=width / 2, lines=build_up.along))
    rims = Near(distance=0.0, holes=build_up.around) if build_up.open else None
    return Region(of=of, near=Near(distance=width, holes=build_up.around), away=rims)


def _cards(
    build_up: BuildUp, job: Job, width: float, name: str, place: str
) -> tuple[dict[str, Template], dict[str, int]]:
    """Return the templates a layer is cut from, one for each size, and how many of each."""
    made: dict[str, Template] = {}
    counts: dict[str, int] = {}
    sizes = Counter(_sizes(build_up, job, place))
    for size, count in sizes.items():
        card = name if len(sizes) == 1 else f"{name}, {1000 * size:g} mm"
        counts[card] = count
        if build_up.along:
            made[card] = Template(shape=Card.STRIP, size=(size, width))
        elif build_up.open:
            made[card] = Template(shape=Card.RING, diameter=size + 2 * width, hole=size)
        else:
            made[card] = Template(shape=Card.DISC, diameter=size + 2 * width)
    return made, counts


def _sizes(build_up: BuildUp, job: Job, place: str) -> list[float]:
    """Return the diameter of each hole, or the length of each seam [m]."""
    if build_up.around:
        diameter = {hole.name: hole.diameter for hole in job.holes}
        return [diameter[name] for name in build_up.around]
    out = []
    for name in build_up.along:
        line = job.lines.get(name)
        points = () if line is None else (*line.points, *(line.points[:1] if line.closed else ()))
        length = build_up.length or sum(math.dist(a, b) for a, b in itertools.pairwise(points))
        if not length > 0:
            raise InputError.one(
                f"{place}, along",
                f'"{name}"',
                "how long this seam is has not been stated",
                'state length, as in length = "420 mm"',
            )
        out.append(length)
    return out


def _place(cards: dict[str, Template], counts: dict[str, int], of: str) -> Place:
    """Return the place that the cards of a layer cover together, their outer edges as its edge."""
    area = edge = 0.0
    for name, card in cards.items():
        if card.size is not None:
            one, round_ = card.size[0] * card.size[1], 2 * (card.size[0] + card.size[1])
        else:
            outer = card.diameter or 0.0
            one, round_ = math.pi / 4 * (outer**2 - (card.hole or 0.0) ** 2), math.pi * outer
        area += counts[name] * one
        edge += counts[name] * round_
    return Place(area=area, edge=edge, of=of)


def _on(build_up: BuildUp, job: Job, place: str) -> str:
    """Return the place that the widest layer lies within."""
    if job.measured is None:
        raise InputError.one(place, "", "this part has neither a mesh nor sizes to lay it on")
    return job.part if build_up.region in ("", EVERYTHING) else build_up.region


def _places(stacks: Sequence[_Stack]) -> dict[str, Place]:
    """Return the places of all layers: at the same holes or lines each lies within the next wider one."""
    out: dict[str, Place] = {}
    together: dict[frozenset[str], list[_Layer]] = {}
    for stack in stacks:
        crossing = next((at for at in together if at & stack.at and at != stack.at), None)
        if crossing is not None:
            raise InputError.one(
                stack.place,
                ", ".join(sorted(stack.at)),
                f"another build-up is made at {', '.join(sorted(crossing))}, and only some of them are the same",
                "without a surface, build-ups are at the same holes and seams or at others; state one for each set",
            )
        together.setdefault(stack.at, []).extend(stack.layers)
    for layers in together.values():
        below = ""
        for layer in sorted(layers, key=lambda one: -one.width):
            out[layer.name] = replace(layer.place, of=below or layer.place.of)
            below = layer.name
    return out


def _fit(measured: Measured, part: str) -> None:
    """Refuse layers that are larger than what they lie on."""
    for name, left in measured.bare_of_others(part).items():
        if left < -SAME:
            raise InputError.one(
                f"job.toml, place {name}, area",
                shown(measured.places[name].area, "cm²", 0),
                f"what is built up on it, and the places within it, are {shown(-left, 'cm²', 0)} larger",
                "state smaller widths, or the place's area anew",
            )


def _among(plies: Sequence[Ply], stacks: Sequence[_Stack]) -> tuple[Ply, ...]:
    out: list[Ply] = []
    for k, ply in enumerate(plies, 1):
        out.append(ply)
        for stack in stacks:
            if stack.after == k:
                out += stack.plies
    return tuple(out)


def _moved(ply: int, stacks: Sequence[_Stack]) -> int:
    """Return the number that a ply has among the layers."""
    return ply + sum(len(stack.plies) for stack in stacks if stack.after < ply)
