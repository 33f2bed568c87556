"""How moulds stand: pulls since release, the hottest they have seen, whether their face is tested."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from bagside.findings import Basis
from bagside.ledger.bodies import Found
from bagside.ledger.builds.as_planned import PULLS_EACH
from bagside.ledger.gates.mould import NEW_COATS
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build, Mould
from bagside.ledger.words import natural


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldLine:
    """How one mould stands.

    Parameters
    ----------
    name, material, note
        As received.
    pulls
        Builds that came off it, in order.
    coats
        Agent, number of coats, and after how many pulls each release was put on.
    each
        Pulls that one release serves; 0 when nobody knows.
    each_basis
        On what that rests.
    wanted
        Coats that a new mould still wants before its first pull; 0 when it has them.
    hottest, limit
        It has seen, and may see [K]; None when not known.
    repaired
        When it was last; None when never.
    tested, rise, seconds
        Its last vacuum test: when, by how much the pressure rose [Pa/s], over which time [s]; None when never.
    stuck
        Parts that did not come off as they should.
    builds
        Open builds on it.
    """

    name: str
    material: str
    note: str
    pulls: tuple[str, ...]
    coats: tuple[tuple[str, int, int], ...]
    each: int
    each_basis: Basis
    wanted: int
    hottest: float | None
    limit: float | None
    repaired: datetime | None
    tested: datetime | None
    rise: float | None
    seconds: float | None
    stuck: int
    builds: tuple[str, ...]

    @property
    def since(self) -> int:
        """Pulls since release agent was put on."""
        return len(self.pulls) - (self.coats[-1][2] if self.coats else 0)

    @property
    def left(self) -> int | None:
        """Pulls that are left before release is put on again; None when nobody knows, or it never was."""
        return max(self.each - self.since, 0) if self.each and self.coats else None

    @property
    def untested(self) -> bool:
        """Whether its face was never tested, or was repaired since."""
        return self.tested is None or (self.repaired is not None and self.tested < self.repaired)


def moulds(shop: Shop, builds: Sequence[Build]) -> tuple[MouldLine, ...]:
    """Return how every mould stands, those that wait for something first.

    Parameters
    ----------
    shop
        As it stands.
    builds
        All of them.
    """
    found = [_line(t, builds) for t in shop.things.values() if isinstance(t, Mould) and t.there]
    return tuple(sorted(found, key=lambda m: (m.left not in (0, None), not m.untested, natural(m.name))))


def _line(mould: Mould, builds: Sequence[Build]) -> MouldLine:
    own = [b for b in builds if b.mould == mould.name]
    planned = next((b.planned.release_each for b in reversed(own) if b.planned.release_each), 0)
    leaks = [(at, m) for at, m in mould.tests if m.found is Found.LEAK]
    coats = sum(n for _, n, _ in mould.coats)
    return MouldLine(
        name=mould.name,
        material=mould.material,
        note=mould.note,
        pulls=mould.pulls,
        coats=mould.coats,
        each=mould.coats_last or planned or PULLS_EACH,
        each_basis=Basis.DATA_SHEET if mould.coats_last else Basis.COMMON,
        wanted=0 if mould.pulls else max(NEW_COATS - coats, 0),
        hottest=mould.hottest,
        limit=mould.limit,
        repaired=max((at for at, *_ in mould.repairs), default=None),
        tested=leaks[-1][0] if leaks else None,
        rise=leaks[-1][1].value if leaks else None,
        seconds=leaks[-1][1].seconds if leaks else None,
        stuck=mould.stuck,
        builds=tuple(b.name for b in own if b.there),
    )
