"""What a workshop stated in its files before it kept records, as the first events of its ledger.

Rolls stand in ``workshop.toml``, offcuts and what was taken in ``stock.toml``. Each of their lines becomes an event
whose id follows from what the line says, so that a line is taken over once, however often this is run. The files
themselves are left as they are: from then on the ledger counts, and they are history.

A roll's stated life is what it has used so far, so its clock starts on the day it is taken over; an offcut's is what it
had used when it was put away, so its clock starts on that day.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from bagside.errors import InputError, Problem
from bagside.findings import Finding
from bagside.ledger.bodies import Body, Cut, Moved, Received, Sort
from bagside.ledger.event import Event, new_event
from bagside.ledger.stock.areas import wrong_outline
from bagside.ledger.stock.taking_over_notes import ahead, changed, earlier, known, no_roll
from bagside.ledger.things import Thing
from bagside.spec.library import Library
from bagside.spec.stock import Offcut, Stock, Used
from bagside.spec.stock_check import stock_problems
from bagside.spec.workshop import Roll, Workshop

FREEZER, ROOM = "freezer", "room"
COLD = 255.15
"""Temperature of a freezer of which nothing is stated [K]: −18 °C, as data sheets ask for (common practice)."""
BEFORE = timedelta(days=366)
"""By how much the places are known before the first line, so that a log or a late event of the year finds them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Teller:
    """Who takes over, on which device, when, in which zone."""

    who: str
    device: str
    at: datetime
    zone: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenOver:
    """What the files state that the ledger does not know yet.

    Parameters
    ----------
    events
        In order, to be kept together; none when everything is known.
    findings
        What was taken over otherwise than it stands there now, and what could not be dated.
    """

    events: tuple[Event, ...]
    findings: tuple[Finding, ...]


def taken_over(
    workshop: Workshop,
    stock: Stock,
    library: Library,
    *,
    kept: Callable[[str], Event | None],
    there: Mapping[str, Thing],
    teller: Teller,
) -> TakenOver:
    """Return the events that a workshop's files make, without those that are kept already.

    Parameters
    ----------
    workshop, stock, library
        As stated in its folder.
    kept
        The event of an id; None when the ledger has none.
    there
        Everything the ledger knows, gone or not, by name.
    teller
        Who takes over.

    Raises
    ------
    InputError
        When a name stands twice or a material is not known, or the files contradict themselves; names each.
    """
    refused(workshop, stock, library)
    found: list[Finding] = []
    events: list[Event] = []
    births: dict[str, datetime] = {}
    for line in _lines(workshop, stock, library, teller.at, found):
        before = kept(line.id)
        name = line.body.name if isinstance(line.body, Received) else ""
        if name:
            thing = there.get(name)
            births[name] = before.at if before is not None else line.at if thing is None else thing.born
        if before is not None:
            found += changed(line.place, line.body, before)
        elif isinstance(line.body, Received) and name in there:
            found += known(line.place, line.body)
        elif isinstance(line.body, Moved) and not _new(events, line.body):
            continue  # it was taken over before, and is where it was put then
        else:
            events.append(_event(_not_before(line, births, found), teller))
    events.sort(key=lambda e: (e.at, not isinstance(e.body, Received), isinstance(e.body, Cut)))
    return TakenOver(events=tuple(events), findings=tuple(found))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """A line of a file as an event: its id, the moment, where it stands."""

    id: str
    at: datetime
    body: Body
    place: str


def _new(events: Sequence[Event], moved: Moved) -> bool:
    """Return whether the roll that is moved is received among these events."""
    return any(isinstance(e.body, Received) and e.body.name == moved.things[0] for e in events)


def _not_before(line: _Line, births: Mapping[str, datetime], found: list[Finding]) -> _Line:
    """Return a line not earlier than what it was cut from is known, and say so when that changes its day."""
    if not isinstance(line.body, Cut):
        return line
    born = births[line.body.source]
    if line.at >= born:
        return line
    found.append(earlier(line.place, line.at, born))
    return replace(line, at=born)


def _event(line: _Line, teller: Teller) -> Event:
    at = min(line.at, teller.at)
    return new_event(
        line.body, who=teller.who, device=teller.device, at=at, zone=teller.zone, late=at < teller.at, id=line.id
    )


def _lines(workshop: Workshop, stock: Stock, library: Library, now: datetime, found: list[Finding]) -> Iterator[_Line]:
    """Yield what the files state: places first, then cloth, then what was taken."""

    def moment(day: date | None, place: str = "") -> datetime:
        if day is None:
            return now
        noon = datetime.combine(day, time(12), tzinfo=now.tzinfo)
        if day > now.date() and place:
            found.append(ahead(place, day, now))
        return min(noon, now)

    days = [*(o.made for o in stock.offcuts), *(t.on for t in stock.taken), *(u.on for u in stock.used)]
    begun = min([now, *(moment(day) for day in days)]).astimezone(UTC) - BEFORE
    for name, temperature in ((FREEZER, COLD), (ROOM, workshop.room.temperature)):
        body = Received(name=name, sort=Sort.PLACE, temperature=temperature, note="taken over from workshop.toml")
        yield _Line(id=_id("place", name), at=begun, body=body, place=f"workshop.toml, {name}")
    takes: dict[str, list[datetime]] = {}
    for k, taken in enumerate(stock.taken, 1):
        takes.setdefault(taken.roll, []).append(moment(taken.on, f"stock.toml, taken {k}"))
    uses: dict[str, list[datetime]] = {}
    for k, used in enumerate(stock.used, 1):
        uses.setdefault(used.offcut, []).append(moment(used.on, f"stock.toml, used {k}"))
    for roll in workshop.stock:
        name = roll.called
        first = min([*takes.get(name, []), now])
        place = f"workshop.toml, roll {name}"
        at_once = FREEZER if first == now else ""
        yield _Line(id=_id("roll", name), at=first, body=_roll(roll, at_once, library), place=place)
        if not at_once:
            yield _Line(id=_id("cold", name), at=now, body=Moved(things=(name,), to=FREEZER, sealed=True), place=place)
    for offcut in stock.offcuts:
        place = f"stock.toml, offcut {offcut.name}"
        at = min([moment(offcut.made, place), *uses.get(offcut.name, [])])
        yield _Line(id=_id("offcut", offcut.name), at=at, body=_offcut(offcut, workshop), place=place)
    rolls = {roll.called for roll in workshop.stock}
    yield from _cuts(stock, rolls, takes, uses, found)


def _cuts(
    stock: Stock,
    rolls: set[str],
    takes: Mapping[str, Sequence[datetime]],
    uses: Mapping[str, Sequence[datetime]],
    found: list[Finding],
) -> Iterator[_Line]:
    """Yield lengths taken off rolls and offcuts that were used, each line once more for each time it stands there."""
    seen: Counter[str] = Counter()
    for k, taken in enumerate(stock.taken, 1):
        at = takes[taken.roll][seen[taken.roll]]
        seen[taken.roll] += 1
        place = f"stock.toml, taken {k}"
        if taken.roll not in rolls:
            found.append(no_roll(place, taken))
            continue
        key = _key("taken", taken.roll, f"{taken.length:.6f}", taken.job, str(taken.on))
        seen[key] += 1
        body = Cut(source=taken.roll, length=taken.length, job=taken.job)
        yield _Line(id=_id(key, str(seen[key])), at=at, body=body, place=place)
    for k, used in enumerate(stock.used, 1):
        if _again(stock.used, k):
            continue  # an offcut is used up once
        at = min(uses[used.offcut])
        body = Cut(source=used.offcut, job=used.job)
        yield _Line(id=_id("used", used.offcut), at=at, body=body, place=f"stock.toml, used {k}")


def _again(used: Sequence[Used], k: int) -> bool:
    return used[k - 1].offcut in {u.offcut for u in used[: k - 1]}


def _roll(roll: Roll, place: str, library: Library) -> Received:
    return Received(
        name=roll.called,
        sort=Sort.ROLL,
        material=roll.material,
        place=place,
        length=roll.length,
        width=roll.width or library.prepreg[roll.material].width,
        selvedge=roll.selvedge,
        batch=roll.batch,
        price=roll.price,
        use_by=roll.use_by,
        up=roll.up.value,
        life_used=roll.life_used,
        note="taken over from workshop.toml",
    )


def _offcut(offcut: Offcut, workshop: Workshop) -> Received:
    price = offcut.price
    if price is None:
        own = [r.price for r in workshop.stock if r.called == offcut.roll and r.material == offcut.material]
        price = own[0] if own else None
    return Received(
        name=offcut.name,
        sort=Sort.OFFCUT,
        material=offcut.material,
        place=FREEZER,
        outline=offcut.outline,
        holes=offcut.holes,
        flaws=offcut.flaws,
        batch=offcut.batch,
        price=price,
        use_by=offcut.use_by,
        up=offcut.up.value,
        life_used=offcut.life_used,
        comes_from=offcut.roll,
        note="taken over from stock.toml",
    )


def _key(*words: str) -> str:
    return "\x1f".join(words)


def _id(*words: str) -> str:
    return hashlib.sha256(_key("taken over", *words).encode()).hexdigest()[:32]


def refused(workshop: Workshop, stock: Stock, library: Library) -> None:
    """Refuse files that contradict themselves.

    Parameters
    ----------
    workshop, stock, library
        As stated.

    Raises
    ------
    InputError
        With every problem.
    """
    problems = list(stock_problems(stock, workshop, library, "stock.toml", "workshop.toml"))
    counted = Counter([FREEZER, ROOM, *(r.called for r in workshop.stock), *{o.name for o in stock.offcuts}])
    told = {p.came for p in problems}
    for name, count in counted.items():
        if count > 1 and f'"{name}"' not in told:
            problems.append(
                Problem(
                    place="workshop.toml, stock",
                    came=f'"{name}"',
                    wanted="two things would have this name, and nobody could tell one from the other",
                    hint="give each roll and offcut a name of its own",
                )
            )
    known = library.prepreg
    for roll in workshop.stock:
        if roll.material not in known:
            problems.append(
                Problem(
                    place=f"workshop.toml, roll {roll.called}, material",
                    came=f'"{roll.material}"',
                    wanted="there is no prepreg of this name",
                )
            )
    for offcut in stock.offcuts:
        why = wrong_outline(offcut.outline, offcut.holes, offcut.flaws) if len(offcut.outline) >= 3 else ""
        if why:
            place = f"stock.toml, offcut {offcut.name}, outline"
            problems.append(Problem(place=place, came="", wanted=f"{why}: an outline that can be cut is wanted"))
    if problems:
        raise InputError(problems)
