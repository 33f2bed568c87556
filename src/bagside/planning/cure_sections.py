"""From laminates on a mould to the sections that heat passes through."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from bagside import cure as curing
from bagside.cure import CureResin, Fixing, HotSpot, Layer, Section, Thickening
from bagside.spec.job import MetalInside
from bagside.spec.material import Resin, ToolMaterial
from bagside.spec.workshop import Oven


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """A laminate as heat sees it.

    Parameters
    ----------
    name
        Where: ``5 plies, 1.4 mm``.
    thickness
        [m].
    fibre_volume
        Fibre volume fraction.
    fibre_density
        [kg/m³].
    tool_thickness
        Of the mould under it, where it is not as thick as the rest [m].
    point
        Where on the mould [m]; None when it is not known.
    core, tool_skin
        A core under it, and the skin on its other side [m]; neither for a plain laminate.
    metal
        A solid fixing at this place; None when there is none.
    strip
        A strip of thicker mould at this place; None when there is none.
    """

    name: str
    thickness: float
    fibre_volume: float
    fibre_density: float
    tool_thickness: float | None = None
    point: tuple[float, float, float] | None = None
    core: Layer | None = None
    tool_skin: float | None = None
    metal: Fixing | None = None
    strip: Thickening | None = None


def cure_resin(resin: Resin, density: float, name: str, alpha0: float | None = None) -> CureResin:
    """Return a stated resin as the cure bench takes it.

    Parameters
    ----------
    resin
        As stated.
    density
        As the prepreg's sheet gives it [kg/m³].
    name
        For messages.
    alpha0
        Degree of cure when laid up; that of fresh resin when None.

    Raises
    ------
    InputError
        When its rate law or a parameter is unknown.
    """
    return CureResin(
        kinetics=curing.model_from(resin.kinetics, resin.parameters, f"resin {name}, kinetics"),
        heat=resin.heat,
        density=density,
        heat_capacity=resin.heat_capacity,
        conductivity=resin.conductivity,
        tg0=resin.tg_uncured,
        tg1=resin.tg_cured,
        tg_lambda=resin.tg_lambda,
        gel=resin.gel,
        alpha0=resin.start if alpha0 is None else alpha0,
        viscosity=(
            curing.viscosity_from(resin.viscosity, resin.viscosity_parameters, f"resin {name}, viscosity")
            if resin.viscosity
            else None
        ),
        hottest=resin.hottest,
    )


def sections_on(
    stacks: Sequence[Stack],
    resin: Resin,
    mixed: CureResin,
    tool: ToolMaterial | None,
    tool_thickness: float,
    oven: Oven,
) -> tuple[Section, ...]:
    """Return a section through each place with its metal or strip of thicker mould, at the oven's mean air.

    Parameters
    ----------
    stacks, resin, mixed, tool, tool_thickness, oven
        As for `plain_sections`.
    """
    plain = plain_sections(stacks, resin, mixed, tool, tool_thickness, oven)
    spots = [spot_of(stack, section) for stack, section in zip(stacks, plain, strict=True)]
    return tuple(
        section if spot is None else replace(spot.section, name=section.name)
        for section, spot in zip(plain, spots, strict=True)
    )


def plain_sections(
    stacks: Sequence[Stack],
    resin: Resin,
    mixed: CureResin,
    tool: ToolMaterial | None,
    tool_thickness: float,
    oven: Oven,
) -> tuple[Section, ...]:
    """Return a section through each laminate as it is beside metal or strips, at the oven's mean air.

    Parameters
    ----------
    stacks
        Laminates.
    resin
        As stated, for its fibre.
    mixed
        The same, as the cure bench takes it.
    tool
        Under them, or None for parts that stand free.
    tool_thickness
        Of the mould's shell [m].
    oven
        As stated.
    """
    out: list[Section] = []
    for stack in stacks:

        def laminate(name: str, thickness: float, stack: Stack = stack) -> Layer:
            return curing.laminate_layer(
                resin=mixed,
                thickness=thickness,
                fibre_volume=stack.fibre_volume,
                fibre_density=stack.fibre_density,
                fibre_heat_capacity=resin.fibre_heat_capacity,
                fibre_conductivity=resin.fibre_conductivity,
                name=name,
            )

        section = curing.section_through(
            stack.name,
            laminate("laminate", stack.thickness),
            film_bag=oven.film_bag if tool is not None else oven.film_tool,
            film_tool=oven.film_tool,
            tool=(
                None
                if tool is None
                else Layer(
                    name="tool",
                    thickness=stack.tool_thickness or tool_thickness,
                    density=tool.density,
                    heat_capacity=tool.heat_capacity,
                    conductivity=tool.conductivity,
                )
            ),
            core=stack.core,
            tool_skin=None if stack.tool_skin is None else laminate("tool skin", stack.tool_skin),
            emissivity_bag=oven.emissivity,
            emissivity_tool=oven.emissivity,
        )
        out.append(section)
    return tuple(out)


def spot_of(stack: Stack, section: Section) -> HotSpot | None:
    """Return what metal or a strip of thicker mould makes of a section; nothing where there is neither.

    Parameters
    ----------
    stack
        The place.
    section
        Through laminate and mould beside it.
    """
    if stack.metal is not None:
        return curing.fixing_place(section, stack.metal)
    if stack.strip is not None and any(layer.name == stack.strip.layer for layer in section.layers):
        return curing.thick_place(section, stack.strip)
    return None


def fixing_of(stated: MetalInside, metals: Mapping[str, ToolMaterial]) -> Fixing:
    """Return a stated fixing as the cure bench takes it.

    Parameters
    ----------
    stated
        As stated.
    metals
        Materials by name.
    """
    metal = metals[stated.material]
    return Fixing(
        name=stated.name,
        diameter=stated.diameter,
        depth=stated.depth,
        inside=stated.inside,
        density=metal.density,
        heat_capacity=metal.heat_capacity,
        conductivity=metal.conductivity,
    )


def real_oven(oven: Oven) -> curing.Oven:
    """Return the oven as the cure bench takes it.

    Parameters
    ----------
    oven
        As stated.
    """
    half = 0.5 * oven.spread
    return curing.Oven(
        hottest=oven.hottest, heating=oven.heating, cooling=oven.cooling, lag=oven.lag, offsets=(-half, half)
    )
