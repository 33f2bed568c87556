"""A ledger in memory for tests of what events mean: it keeps what the rules take, and replays the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from bagside.errors import Problem
from bagside.ledger.bodies import Body, Corrected, Received, Sort, asks, touches
from bagside.ledger.builds.build_rules import build_problems
from bagside.ledger.correcting import broken_by
from bagside.ledger.event import Event, new_event
from bagside.ledger.replay import effective, replayed
from bagside.ledger.stock.stock_rules import stock_problems
from bagside.ledger.things import Cloth, Goods, Mould, Place, Thing

DAY = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def hours(count: float) -> datetime:
    """Return a moment so many hours after eight in the morning of the first day."""
    return DAY + timedelta(hours=count)


class Memory:
    """Events that were taken, in order."""

    def __init__(self) -> None:
        self.events: list[Event] = []
        self.by_id: dict[str, Event] = {}
        self.by_name: dict[str, list[Event]] = {}

    def history(self, name: str) -> list[Event]:
        """Return what touches a thing, and what that corrects, as the ledger on the disk does."""
        found = {e.id: e for e in self.by_name.get(name, [])}
        while lacking := {e.body.corrects for e in found.values() if isinstance(e.body, Corrected)} - found.keys():
            more = {id: self.by_id[id] for id in lacking if id in self.by_id}
            if not more:
                break
            found.update(more)
        return sorted(found.values(), key=lambda e: e.order)

    def thing(self, name: str) -> Thing | None:
        return replayed(self.history(name), name)

    def things(self) -> dict[str, Thing]:
        return {n: t for n in self.by_name if (t := self.thing(n)) is not None}

    def cloth(self, name: str) -> Cloth:
        thing = self.thing(name)
        assert isinstance(thing, Cloth)
        return thing

    def goods(self, name: str) -> Goods:
        thing = self.thing(name)
        assert isinstance(thing, Goods)
        return thing

    def mould(self, name: str) -> Mould:
        thing = self.thing(name)
        assert isinstance(thing, Mould)
        return thing

    def place(self, name: str) -> Place:
        thing = self.thing(name)
        assert isinstance(thing, Place)
        return thing

    def refused(self, event: Event) -> tuple[Problem, ...]:
        """Return why an event is not taken, judged as the things were when it happened."""
        event = replace(event, order=event.order or len(self.events) + 1)
        before = {}
        for name in (*event.subjects, *asks(event.body)):
            known = [e for e in effective(self.history(name)) if e.at <= event.at and name in e.subjects]
            before[name] = replayed(known, name)
        wrong = (*stock_problems(event, before), *build_problems(event, before))
        return wrong or broken_by(event, self.history)

    def tell(self, body: Body, at: float, *, must: bool = True) -> Event:
        """Keep what happened so many hours after the first morning; refusals fail the test."""
        event = new_event(body, who="Anna", device="bench", at=hours(at))
        wrong = self.refused(event)
        assert not wrong, [str(p) for p in wrong]
        return self.put(event)

    def put(self, event: Event) -> Event:
        """Keep an event unseen."""
        event = replace(event, order=len(self.events) + 1)
        self.events.append(event)
        self.by_id[event.id] = event
        for name in event.subjects:
            self.by_name.setdefault(name, []).append(event)
        return event

    def no(self, body: Body, at: float) -> list[str]:
        """Return the sentences with which something is refused; being taken fails the test."""
        wrong = self.refused(new_event(body, who="Anna", device="bench", at=hours(at)))
        assert wrong, f"taken: {body}"
        return [str(p) for p in wrong]

    def together(self, bodies: Sequence[Corrected], at: float) -> tuple[Problem, ...]:
        """Keep corrections as one group, or return why not."""
        news = [
            replace(new_event(b, who="Anna", device="bench", at=hours(at)), order=len(self.events) + 1 + k)
            for k, b in enumerate(bodies)
        ]
        wrong = broken_by(news, self.history)
        for event in () if wrong else news:
            self.put(event)
        return wrong


def shop() -> Memory:
    """Return a workshop of a sea-kayak maker: a freezer, a cutting room, one roll of 10 × 1.25 m in the freezer."""
    memory = Memory()
    memory.tell(Received(name="freezer", sort=Sort.PLACE, temperature=255.15), 0)
    memory.tell(Received(name="cutting room", sort=Sort.PLACE, temperature=294.15), 0)
    memory.tell(
        Received(
            name="R-1", sort=Sort.ROLL, material="twill-200", place="freezer", length=10.0, width=1.25, batch="B7",
            price=42.0, life_used=3600.0,
        ),
        1,
    )  # fmt: skip
    return memory


def square(long: float, wide: float | None = None) -> tuple[tuple[float, float], ...]:
    """Return an outline so long along the warp and so wide."""
    w = long if wide is None else wide
    return ((0.0, 0.0), (long, 0.0), (long, w), (0.0, w))


__all__ = ["DAY", "Memory", "hours", "shop", "square", "touches"]
