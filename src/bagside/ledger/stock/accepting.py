"""A nest that is cut, as what happens to the stock: each roll or offcut becomes pieces of kits, offcuts and waste.

All of it is one group of events, kept together or not at all. A kit holds the pieces of one part in one cloth, because
cloths have clocks of their own; it may come from several rolls and offcuts, and its pieces name theirs.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from string import ascii_lowercase

from bagside.cutting import Nest, SheetNest
from bagside.ledger.bodies import Cut, CutPiece, Loop, NewOffcut
from bagside.ledger.shop import Shop
from bagside.ledger.stock.areas import area_of
from bagside.ledger.stock.as_stands import cut_from
from bagside.ledger.words import natural
from bagside.planning.cut_jobs import JobsCut
from bagside.planning.cutting_room import Accepted, initials
from bagside.planning.kit import MaterialKit, RollKit
from bagside.spec.stock import Offcut, Up


@dataclass(frozen=True, slots=True, kw_only=True)
class KitCut:
    """A kit as it is cut: the pieces of one part in one cloth.

    Parameters
    ----------
    name
        In the ledger, and on its bag.
    job
        Name of the job.
    part
        Its name on labels and the list of kits: ``2``, or ``DHL 2`` of several jobs.
    material
        Name of the cloth.
    pieces
        How many.
    area
        Of them [m²].
    """

    name: str
    job: str
    part: str
    material: str
    pieces: int
    area: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Where the cloth of one source goes [m²]; what is neither a piece nor kept is waste."""

    source: str
    area: float
    pieces: float
    kept: float

    @property
    def waste(self) -> float:
        """What is thrown away [m²]."""
        return self.area - self.pieces - self.kept


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """What cutting does to the stock: bodies of events, the kits they make, and where each cloth goes."""

    cuts: tuple[Cut, ...]
    kits: tuple[KitCut, ...]
    balances: tuple[Balance, ...]

    @property
    def called(self) -> dict[str, tuple[str, ...]]:
        """Names of the kits of each part, by its name on labels and the list of kits."""
        parts = dict.fromkeys(k.part for k in self.kits)
        return {part: tuple(k.name for k in self.kits if k.part == part) for part in parts}


def cutting_of(found: JobsCut, change: Accepted, shop: Shop, next_name: Callable[[str], str]) -> Cutting:
    """Return what happens when a nest is cut as it was accepted; what was cut before does not happen again.

    Parameters
    ----------
    found
        The jobs cut together.
    change
        What that does to the stock, with the names of new offcuts, as `bagside.planning.cut_jobs.accepted_jobs` told.
    shop
        As it stands.
    next_name
        The first name that nothing has had, for what stands before its number: ``DHL`` to ``DHL-3``.

    Raises
    ------
    InputError
        When a roll or an offcut it is cut from is not in the ledger.
    """
    names = _Names(found, next_name)
    offcuts = iter(change.offcuts)
    cuts: list[Cut] = []
    balances: list[Balance] = []
    for kit in (k for k in found.kits if k.cut_on is None):
        width = found.library.prepreg[kit.material].width
        for roll in kit.rolls:
            kept = _kept(offcuts, roll.offcuts.count, roll.roll.up)
            pulled = _pulled(roll)
            pieces = names.pieces(roll.nest, kit)
            source = shop.cloth(roll.roll.called)
            cuts.append(cut_from(source, length=pulled, kits=pieces, offcuts=kept, job=found.title))
            balances.append(_balance(cuts[-1], pulled * (roll.roll.width or width)))
        for sheet in kit.sheets:
            kept = _kept(offcuts, sheet.offcuts.count, sheet.offcut.up)
            pieces = names.pieces(sheet.nest, kit)
            cuts.append(cut_from(shop.cloth(sheet.offcut.name), kits=pieces, offcuts=kept, job=found.title))
            balances.append(_balance(cuts[-1], area_of(sheet.offcut.outline, sheet.offcut.holes)))
    return Cutting(cuts=tuple(cuts), kits=names.kits(), balances=tuple(balances))


def sources_of(kits: Sequence[MaterialKit]) -> tuple[str, ...]:
    """Return the names of the rolls and offcuts that kits are cut from, each once.

    Parameters
    ----------
    kits
        One for each cloth.
    """
    named = [*(r.roll.called for k in kits for r in k.rolls), *(s.offcut.name for k in kits for s in k.sheets)]
    return tuple(dict.fromkeys(named))


class _Names:
    """Names of kits and of the pieces in them: ``DHL-2`` for part 2, ``DHLb-2`` for its pieces of the second cloth."""

    def __init__(self, found: JobsCut, next_name: Callable[[str], str]) -> None:
        self._copies: Counter[tuple[str, str]] = Counter()
        self._areas: dict[str, float] = {}
        self._counts: Counter[str] = Counter()
        jobs = [job.name for job, _ in found.jobs]
        self._plain = dict(self._labels(found, initials(jobs) if len(jobs) > 1 else ("",)))
        self._kits: dict[tuple[str, str, str], str] = {}
        numbers: dict[str, int] = {}
        for job, material, part in sorted(self._parts(found), key=lambda key: (*key[:2], natural(key[2]))):
            name = found.jobs[job][0].name
            cloths = tuple(dict.fromkeys(ply.material for ply in found.jobs[job][0].plies))
            prefix = initials([name])[0] + ("", *ascii_lowercase[1:])[min(material, len(ascii_lowercase) - 1)]
            if prefix not in numbers:
                numbers[prefix] = int(next_name(prefix).removeprefix(f"{prefix}-"))
            self._kits[name, part, cloths[material]] = f"{prefix}-{numbers[prefix]}"
            numbers[prefix] += 1

    @staticmethod
    def _labels(found: JobsCut, shorts: Sequence[str]) -> Iterator[tuple[str, tuple[str, str]]]:
        """Yield the job of each piece and its name in that job alone, by the name it is cut under."""
        for short, (job, pieces) in zip(shorts, found.jobs, strict=True):
            for piece in pieces:
                yield piece.label, (job.name, piece.label.removeprefix(f"{short} ") if short else piece.label)

    def _parts(self, found: JobsCut) -> set[tuple[int, int, str]]:
        """Return which parts are cut of which cloth: numbers of the job and of its cloth from 0, name of the part."""
        jobs = {job.name: k for k, (job, _) in enumerate(found.jobs)}
        cloths = [tuple(dict.fromkeys(ply.material for ply in job.plies)) for job, _ in found.jobs]
        parts = set()
        for kit in (k for k in found.kits if k.cut_on is None):
            layouts: list[Nest | SheetNest] = [*(r.nest for r in kit.rolls), *(s.nest for s in kit.sheets)]
            for nest in layouts:
                for placement in nest.placements:
                    job = jobs[self._plain[placement.label][0]]
                    parts.add((job, cloths[job].index(kit.material), nest.kit(placement)))
        return parts

    def pieces(self, nest: Nest | SheetNest, kit: MaterialKit) -> dict[str, tuple[CutPiece, ...]]:
        """Return what of a layout goes into which kit."""
        out: dict[str, list[CutPiece]] = {}
        for placement in nest.placements:
            piece = nest.piece(placement.label)
            job, label = self._plain[piece.label]
            name = self._kits[job, nest.kit(placement), kit.material]
            self._copies[name, label] += 1
            self._counts[name] += 1
            self._areas[name] = self._areas.get(name, 0.0) + piece.area
            out.setdefault(name, []).append(
                CutPiece(label=label, ply=piece.ply, area=piece.area, copy=self._copies[name, label])
            )
        return {name: tuple(pieces) for name, pieces in out.items()}

    def kits(self) -> tuple[KitCut, ...]:
        """Return every kit that was named."""
        return tuple(
            KitCut(
                name=name, job=job, part=part, material=material, pieces=self._counts[name], area=self._areas[name]
            )
            for (job, part, material), name in self._kits.items()
        )


def _pulled(roll: RollKit) -> float:
    """Return the length that comes off [m], in whole millimetres where the roll has them."""
    pull = roll.take.pull
    return max(pull, min(round(pull + 5e-4, 3), roll.left.length))


def _kept(offcuts: Iterator[Offcut], count: int, up: Up) -> tuple[NewOffcut, ...]:
    """Return the next offcuts as seen with the face up that is up in their parent, whose face they inherit."""
    out = []
    for _ in range(count):
        new = next(offcuts)
        top = max(y for _, y in new.outline)
        over = new.up is not up
        loops = [_turned(loop, top) if over else loop for loop in (new.outline, *new.holes, *new.flaws)]
        holes, flaws = loops[1 : 1 + len(new.holes)], loops[1 + len(new.holes) :]
        out.append(NewOffcut(name=new.name, outline=loops[0], holes=tuple(holes), flaws=tuple(flaws)))
    return tuple(out)


def _turned(loop: Loop, top: float) -> Loop:
    """Return a loop as it lies after its cloth was turned over about its warp."""
    return tuple((x, top - y) for x, y in reversed(loop))


def _balance(cut: Cut, area: float) -> Balance:
    pieces = sum(p.area for kit in cut.kits.values() for p in kit)
    kept = sum(area_of(o.outline, o.holes) for o in cut.offcuts)
    return Balance(source=cut.source, area=area, pieces=pieces, kept=kept)
