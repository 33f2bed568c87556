"""What was recorded of a part with pinholes; what nobody wrote down is unknown, and unknown is not zero."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from bagside.errors import InputError, Problem
from bagside.quantity import shown
from bagside.spec.pinhole_file import Seen


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """One corner of the part, looked at.

    Parameters
    ----------
    radius
        Of the mould [m].
    defects
        Whether there are pinholes in it.
    inside
        Whether it is an inside corner.
    thickness
        Of the laminate there [m]; the record's own when None.
    slip_joint
        Whether plies could slide into it; the record's own when None.
    """

    radius: float
    defects: bool
    inside: bool = True
    thickness: float | None = None
    slip_joint: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What is known of one part; None for what is not.

    Parameters
    ----------
    where
        Places of the defects, the most striking first; at least one.
    corners
        Map of corners: which have defects and which have not.
    vacuum, ambient
        Absolute pressures in the bag and outside [Pa].
    drop
        Loss of vacuum in five minutes with the pump shut off [Pa].
    volume, receiver
        Free volume of the bag, and of a receiver open to it [m³].
    pump_on
        Whether the pump ran until the resin had gelled.
    unpumped
        From the pump's stop until gel [s].
    humidity
        Relative humidity where the cloth lay before and during laying.
    room
        Temperature there [K].
    freezer
        Temperature the cloth came from [K].
    thawed
        Time it stood sealed before it was opened [s].
    opened_at
        Temperature of its core when opened, measured [K].
    wet_seen
        Whether it was moist when opened.
    first_debulk
        Under vacuum after the first ply [s]; zero for none.
    debulks
        Number of further ones.
    debulk_time
        Of each further one [s].
    plies
        How many were laid.
    hold
        Under vacuum before heat [s].
    path
        Longest way from any place to a breathing edge [m].
    edges_breathe
        Whether strips led from the ply's edge to the breather.
    liquid_hottest
        Hottest it was before gel [K].
    fluidity
        ∫ dt / viscosity until gel, worked out from a cycle and life used [1/Pa].
    liquid_time, viscosity
        Time it was soft before gel, and its viscosity then, when there is no cycle [s, Pa s].
    life_used
        Share of out-life used when it went into the oven.
    corner_radius
        Tightest inside corner [m]; infinite when there is none.
    thickness
        Of the laminate there, cured [m].
    slip_joint
        Whether plies could slide into that corner.
    bag_touched
        Whether the bag reached into every corner before full vacuum.
    resin_content
        Mass share of resin in the prepreg.
    perforated
        Whether the release film had holes.
    films_supplied, films_removed
        Backing films that came with the kit, and that were counted off.
    mould_tight
        Whether the bare mould passed a drop test.
    release_limit
        Hottest the release agent stands [K].
    hottest
        Of the cycle [K].
    """

    where: tuple[Seen, ...]
    corners: tuple[Corner, ...] = ()
    vacuum: float | None = None
    ambient: float | None = None
    drop: float | None = None
    volume: float | None = None
    receiver: float | None = None
    pump_on: bool | None = None
    unpumped: float | None = None
    humidity: float | None = None
    room: float | None = None
    freezer: float | None = None
    thawed: float | None = None
    opened_at: float | None = None
    wet_seen: bool | None = None
    first_debulk: float | None = None
    debulks: float | None = None
    debulk_time: float | None = None
    plies: float | None = None
    hold: float | None = None
    path: float | None = None
    edges_breathe: bool | None = None
    liquid_hottest: float | None = None
    fluidity: float | None = None
    liquid_time: float | None = None
    viscosity: float | None = None
    life_used: float | None = None
    corner_radius: float | None = None
    thickness: float | None = None
    slip_joint: bool | None = None
    bag_touched: bool | None = None
    resin_content: float | None = None
    perforated: bool | None = None
    films_supplied: float | None = None
    films_removed: float | None = None
    mould_tight: bool | None = None
    release_limit: float | None = None
    hottest: float | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot have been."""
        wrong = []
        if not self.where:
            wrong.append(Problem(place="pinholes, where", came="", wanted="at least one place is wanted"))
        for name, (low, high, unit) in RANGES.items():
            value = getattr(self, name)
            if value is not None and not low <= value <= high:
                wrong.append(
                    Problem(
                        place=f"pinholes, {name.replace('_', ' ')}",
                        came=_worded(value, unit),
                        wanted=f"between {_worded(low, unit)} and {_worded(high, unit)} is wanted",
                    )
                )
        for k, corner in enumerate(self.corners, 1):
            if not (corner.radius > 0.0 and (corner.thickness is None or corner.thickness > 0.0)):
                wrong.append(
                    Problem(
                        place=f"pinholes, corner {k}",
                        came=f"radius {shown(corner.radius, 'mm')}",
                        wanted="a radius and a thickness above zero are wanted",
                    )
                )
        if self.vacuum is not None and self.ambient is not None and self.vacuum > self.ambient:
            wrong.append(
                Problem(
                    place="pinholes, vacuum",
                    came=f"{self.vacuum / 100:.0f} mbar",
                    wanted=f"it is more than the {self.ambient / 100:.0f} mbar outside",
                    hint="the absolute pressure left in the bag is wanted",
                )
            )
        if wrong:
            raise InputError(wrong)

    @property
    def unknown(self) -> tuple[str, ...]:
        """Names of what is not known."""
        return tuple(f.name for f in fields(self) if getattr(self, f.name) is None)


def _worded(value: float, unit: str) -> str:
    return shown(value, unit, 0 if unit == "°C" else 2) if unit else f"{value:g}"


RANGES: dict[str, tuple[float, float, str]] = {
    "vacuum": (0.0, 1.1e5, "mbar"),
    "ambient": (4e4, 1.1e5, "mbar"),
    "drop": (0.0, 1e5, "mbar"),
    "volume": (1e-6, 10.0, "L"),
    "receiver": (0.0, 10.0, "L"),
    "unpumped": (0.0, 1e6, "h"),
    "humidity": (0.01, 1.0, "%"),
    "room": (273.15, 318.15, "°C"),
    "freezer": (223.15, 298.15, "°C"),
    "thawed": (0.0, 1e6, "h"),
    "opened_at": (223.15, 318.15, "°C"),
    "first_debulk": (0.0, 1e6, "h"),
    "debulks": (0.0, 200.0, ""),
    "debulk_time": (0.0, 1e6, "h"),
    "plies": (1.0, 400.0, ""),
    "hold": (0.0, 1e7, "h"),
    "path": (1e-3, 100.0, "m"),
    "liquid_hottest": (280.0, 460.0, "°C"),
    "fluidity": (1e-6, 1e9, ""),
    "liquid_time": (0.0, 1e6, "h"),
    "viscosity": (1e-3, 1e7, "Pa s"),
    "life_used": (0.0, 5.0, "%"),
    "corner_radius": (0.0, math.inf, "mm"),
    "thickness": (1e-5, 0.2, "mm"),
    "resin_content": (0.1, 0.8, "%"),
    "films_supplied": (0.0, 1e4, ""),
    "films_removed": (0.0, 1e4, ""),
    "release_limit": (273.15, 700.0, "°C"),
    "hottest": (280.0, 600.0, "°C"),
}
"""What each may be in SI units, and the unit it is shown in."""
