"""What a section went through: temperature and degree of cure of every cell over time."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.face import FaceHeat, face_heat
from bagside.cure.section import Section
from bagside.errors import InputError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionHistory:
    """The cure of one section.

    Parameters
    ----------
    section
        What was computed.
    time
        Shape (k,) [s].
    programme
        What the oven was asked for, shape (k,) [K].
    air
        Air at this section, shape (k,) [K].
    temperature
        Middle of each cell, shape (k, n) [K].
    alpha
        Degree of cure of each reacting cell, shape (k, r).
    peak, peak_time
        Hottest each cell ever was [K] and when [s], at the outputs and at the ends and middles of all steps between
        them, shape (n,): a runaway can be over between two outputs.
    surface_peak, surface_peak_time
        The same for where laminate and tool meet; none when there is no tool.
    heat
        Heat of reaction [J/kg resin].
    steps
        Steps that were accepted.
    """

    section: Section
    time: Floats
    programme: Floats
    air: Floats
    temperature: Floats
    alpha: Floats
    peak: Floats
    peak_time: Floats
    surface_peak: float | None
    surface_peak_time: float | None
    heat: float
    steps: int

    @property
    def name(self) -> str:
        """Where on the part."""
        return self.section.name

    @property
    def x(self) -> Floats:
        """Depth of each cell's middle below the bag face, shape (n,) [m]."""
        return self.section.depths

    @property
    def reacting(self) -> Ints:
        """Indices of the reacting cells, shape (r,)."""
        return self.section.reacting

    @property
    def laminate_temperature(self) -> Floats:
        """Temperature of the reacting cells, shape (k, r) [K]."""
        out: Floats = self.temperature[:, self.reacting]
        return out

    @property
    def lagging(self) -> int:
        """Index among the reacting cells of the one that is least cured over the whole time."""
        return int(np.argmin(np.trapezoid(self.alpha, self.time, axis=0)))

    @property
    def leading(self) -> int:
        """Index among the reacting cells of the one that is most cured over the whole time."""
        return int(np.argmax(np.trapezoid(self.alpha, self.time, axis=0)))

    @property
    def bag_heat(self) -> FaceHeat:
        """Heat through the outer face on the bag side, over time."""
        s = self.section
        half = s.half_conductances[0]
        return face_heat(self.temperature[:, 0], self.air, s.film_bag, half, s.emissivity_bag)

    @property
    def tool_heat(self) -> FaceHeat:
        """Heat through the back of the tool, over time."""
        s = self.section
        half = s.half_conductances[-1]
        return face_heat(self.temperature[:, -1], self.air, s.film_tool, half, s.emissivity_tool)

    @property
    def tool_face(self) -> Floats:
        """Temperature of the back of the tool, shape (k,) [K]."""
        return self.tool_heat.surface

    @property
    def tool_surface(self) -> Floats | None:
        """Temperature where laminate and tool meet, shape (k,) [K]; none when there is no tool."""
        return meeting(self.section, self.temperature)

    @property
    def tool_hottest(self) -> Floats | None:
        """Hottest place in or on the tool, shape (k,) [K]; none when there is no tool."""
        surface = self.tool_surface
        if surface is None:
            return None
        inside = self.temperature[:, self.section.tool_cells].max(axis=1)
        out: Floats = np.maximum(np.maximum(surface, inside), self.tool_face)
        return out


def meeting(section: Section, temperature: Floats) -> Floats | None:
    """Return the temperature where laminate and tool meet, the same heat passing both half cells.

    Parameters
    ----------
    section
        The section.
    temperature
        Middle of each cell, shape (k, n) [K].

    Returns
    -------
    Floats or None
        Shape (k,) [K]; none when there is no tool or no laminate.
    """
    cells = section.tool_cells
    if not len(cells) or not len(section.reacting):
        return None
    i, g = int(cells[0]), section.half_conductances
    out: Floats = (g[i - 1] * temperature[:, i - 1] + g[i] * temperature[:, i]) / (g[i - 1] + g[i])
    return out


def continued(section: Section, history: SectionHistory, *, warm: bool = True) -> Section:
    """Return a section that starts where a history ended: a post-cure, or the rest of a cure after a power cut.

    Parameters
    ----------
    section
        What goes on: the same section, or the laminate without its mould.
    history
        What it went through before.
    warm
        Whether it is as hot as it was; otherwise it starts at the temperature of the next programme.

    Returns
    -------
    Section
        The section with the degree of cure, and when warm the temperature, of each cell.

    Raises
    ------
    InputError
        When the cells of the two do not match.
    """
    if len(section.reacting) != len(history.reacting) or (warm and len(section.widths) != len(history.x)):
        raise InputError.one(
            section.name,
            f"{len(section.reacting)} reacting of {len(section.widths)} cells",
            f"as many cells as before are wanted: {len(history.reacting)} of {len(history.x)}",
            "" if warm else "layers may change, the cells of the laminate may not",
        )
    return replace(
        section,
        alpha0=tuple(history.alpha[-1].tolist()),
        start=tuple(history.temperature[-1].tolist()) if warm else None,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Where the heat came from and went to, per area of section.

    Parameters
    ----------
    stored
        Heat the layers took up [J/m²].
    reaction
        Heat the resin freed [J/m²].
    bag, tool
        Heat that came in through each face [J/m²].
    moved
        Heat that passed the faces in either direction [J/m²].
    """

    stored: float
    reaction: float
    bag: float
    tool: float
    moved: float

    @property
    def residual(self) -> float:
        """What does not add up [J/m²]; falls with the square of the output interval."""
        return self.stored - self.reaction - self.bag - self.tool

    @property
    def relative(self) -> float:
        """Residual against the larger of heat moved and heat freed; zero when there was neither."""
        scale = max(self.moved, abs(self.reaction))
        return self.residual / scale if scale else 0.0


def heat_balance(history: SectionHistory) -> Balance:
    """Return the heat balance of a section over its whole history.

    The fluxes are added up afterwards from the face temperatures, so that the balance is a check on the solver and
    not the solver's own bookkeeping.

    Parameters
    ----------
    history
        What `simulate` returned.

    Returns
    -------
    Balance
        Its parts and what is left over [J/m²].

    Notes
    -----
    Fluxes are added up by the trapezoid rule over the output times; ask for a finer interval for a closer balance.
    """
    s = history.section
    t, alpha = history.temperature, history.alpha
    freed = history.heat * s.heat_factor * s.resin[s.reacting]
    bag, tool = history.bag_heat.flux, history.tool_heat.flux
    return Balance(
        stored=float(s.capacities @ (t[-1] - t[0])),
        reaction=float(freed @ (alpha[-1] - alpha[0])),
        bag=float(np.trapezoid(bag, history.time)),
        tool=float(np.trapezoid(tool, history.time)),
        moved=float(np.trapezoid(np.abs(bag) + np.abs(tool), history.time)),
    )
