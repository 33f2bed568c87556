"""A walk through any sequence of events about cloth, held against a model of plain numbers.

The model knows nothing of the ledger: it keeps what was said as tuples, runs through them by time, and stops where one
cannot be true. The ledger must take what the model can run through, refuse what it cannot, and say the same of every
thing, told in whatever order.
"""

from __future__ import annotations

import random
from copy import deepcopy
from datetime import datetime
from typing import Any

import pytest
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from bagside.errors import InputError
from bagside.ledger.bodies import (
    Body,
    Corrected,
    Counted,
    Cut,
    CutPiece,
    Discarded,
    Moved,
    NewOffcut,
    Received,
    Sort,
)
from bagside.ledger.correcting import correction
from bagside.ledger.event import Event, new_event
from bagside.ledger.replay import after, replayed
from bagside.ledger.stock.as_stands import cut_from, stays_of
from bagside.ledger.things import Cloth, Thing
from memory import DAY, Memory, hours, square

RATES = {"freezer": 0.02, "cutting room": 1.0}
"""Hours of life used in one hour, for a sum that is done twice."""

Op = tuple[Any, ...]
ROLLS = ("R-1", "R-2")
KITS = ("K-1", "K-2")
OFFCUTS = tuple(f"O-{k}" for k in range(1, 7))
NAMES = (*ROLLS, *KITS, *OFFCUTS)


def modelled(said: list[tuple[float, int, Op]]) -> dict[str, dict[str, Any]] | None:
    """Return what is there after what was said, run through by time; None when it cannot all be true."""
    there: dict[str, dict[str, Any]] = {}

    def lacking(name: str) -> bool:
        return name not in there or there[name]["gone"] is not None

    for at, _, (kind, *rest) in sorted(said, key=lambda s: s[:2]):
        if kind == "roll":
            name, length, width = rest
            if name in there:
                return None
            there[name] = {"sort": "roll", "left": length, "width": width, "gone": None, "born": at, "from": None,
                           "been": [(at, "freezer")], "in": length, "out": []}  # fmt: skip
        elif kind == "move":
            names, place = rest
            if any(lacking(n) for n in names):
                return None
            for n in names:
                there[n]["been"].append((at, place))
        elif kind == "count":
            name, length = rest
            if name not in there or there[name]["sort"] != "roll" or there[name]["gone"] not in (None, "used"):
                return None
            there[name]["in"] += length - there[name]["left"]
            there[name]["left"] = length
            there[name]["gone"] = "used" if length <= 1e-6 else None
        elif kind == "discard":
            if lacking(rest[0]):
                return None
            there[rest[0]]["gone"] = "thrown"
        else:
            source, length, kit, pieces, offcuts = rest
            if lacking(source) or there[source]["sort"] == "kit":
                return None
            cloth = there[source]
            if cloth["sort"] == "roll":
                if length <= 0 or length > cloth["left"] + 1e-6:
                    return None
                long, wide, area = length, cloth["width"], length * cloth["width"]
            else:
                if length:
                    return None
                (long, wide), area = cloth["size"], cloth["size"][0] * cloth["size"][1]
            kept = sum(x * y for _, x, y in offcuts)
            if sum(a for _, a in pieces) + kept > area * (1 + 1e-6):
                return None
            new = [n for n, _, _ in offcuts]
            if len(set(new)) < len(new) or any(n in there for n in new):
                return None
            if any(x > long + 1e-4 or y > wide + 1e-4 for _, x, y in offcuts):
                return None
            if pieces:
                if kit in there and (there[kit]["sort"] != "kit" or there[kit]["gone"] is not None):
                    return None
                if kit in there and set(there[kit]["labels"]) & {n for n, _ in pieces}:
                    return None
                if kit not in there:
                    place = cloth["been"][-1][1]
                    there[kit] = {"sort": "kit", "gone": None, "born": at, "from": source, "been": [(at, place)],
                                  "labels": {}}  # fmt: skip
                there[kit]["labels"].update({n: (a, source, at) for n, a in pieces})
            for n, x, y in offcuts:
                there[n] = {"sort": "offcut", "size": (x, y), "gone": None, "born": at, "from": source,
                            "been": [(at, cloth["been"][-1][1])], "out": []}  # fmt: skip
            cloth["out"].append((length, area, sum(a for _, a in pieces), kept))
            if cloth["sort"] == "roll":
                cloth["left"] -= length
                cloth["gone"] = "used" if cloth["left"] <= 1e-6 else None
            else:
                cloth["gone"] = "cut"
    return there


def life(been: list[tuple[float, str]], start: float, end: float) -> float:
    """Return hours of life that went between two hours, places known by their beginnings."""
    total = 0.0
    for k, (since, place) in enumerate(been):
        until = been[k + 1][0] if k + 1 < len(been) else end
        total += RATES[place] * max(0.0, min(until, end) - max(since, start))
    return total


def model_life(there: dict[str, dict[str, Any]], name: str, at: float) -> float:
    """Return the life used by the model: its source's until it was cut, then its own; of a kit its worst piece's."""
    thing = there[name]
    if thing["sort"] == "kit":
        return max(
            model_life(there, source, cut) + life(thing["been"], cut, at)
            for _, source, cut in thing["labels"].values()
            if cut <= at
        )
    before = 0.0 if thing["from"] is None else model_life(there, thing["from"], thing["born"])
    return before + life(thing["been"], thing["born"], at)


def ledger_life(things: dict[str, Thing], name: str, at: float) -> float:
    """Return the same from the ledger's things."""
    cloth = things[name]
    assert isinstance(cloth, Cloth)
    been = [(hour(s.since), s.place) for s in stays_of(cloth, things)]
    if cloth.pieces:
        return max(
            ledger_life(things, p.source, hour(p.cut)) + life(been, hour(p.cut), at)
            for p in cloth.pieces
            if hour(p.cut) <= at
        )
    born = hour(cloth.born)
    return (ledger_life(things, cloth.parent, born) if cloth.parent else 0.0) + life(been, born, at)


def hour(moment: datetime) -> float:
    return (moment - DAY).total_seconds() / 3600


class Stock(RuleBasedStateMachine):
    """What a workshop may say of its cloth, true or not."""

    def __init__(self) -> None:
        super().__init__()
        self.memory = self.begun()
        self.clock = 0.0
        self.labels = 0
        self.said: dict[str, list[tuple[str, tuple[float, int, Op] | None]]] = {}  # event → what was said of it
        self.standing: dict[str, Thing | None] = {}

    def begun(self) -> Memory:
        """Return what keeps the events."""
        return Memory()

    @initialize()
    def places(self) -> None:
        for name, temperature in (("freezer", 255.15), ("cutting room", 294.15)):
            self.memory.tell(Received(name=name, sort=Sort.PLACE, temperature=temperature), 0)
        body = Received(name="R-1", sort=Sort.ROLL, material="twill-200", length=8.0, width=1.0, place="freezer")
        self.offer(body, ("roll", "R-1", 8.0, 1.0), self.moment(0))

    def called(self, which: int, *, sorts: tuple[str, ...] = ("roll", "kit", "offcut")) -> str:
        """Return a name: mostly of what is there, sometimes of what is not."""
        there = modelled(self.counting()) or {}
        known = [n for n, t in there.items() if t["gone"] is None and t["sort"] in sorts]
        return NAMES[which % len(NAMES)] if which % 7 == 6 or not known else known[which % len(known)]

    def counting(self, without: str = "") -> list[tuple[float, int, Op]]:
        return [now for id, stack in self.said.items() if id != without and (now := stack[-1][1]) is not None]

    def offer(self, body: Body, op: Op, at: float) -> None:
        """Tell the ledger and the model the same; they must agree whether it can be true."""
        event = new_event(body, who="Anna", device="bench", at=hours(at), late=True)
        now = (at, len(self.memory.events) + 1, op)
        possible = modelled([*self.counting(), now]) is not None
        refused = self.memory.refused(event)
        assert bool(refused) != possible, (op, [str(p) for p in refused])
        if possible:
            kept = self.memory.put(event)
            self.said[kept.id] = [(kept.id, now)]
            self.follow(kept)

    def follow(self, event: Event) -> None:
        """Advance what stands as the ledger does: by one event, or anew when it is told late or corrects."""
        for name in event.subjects:
            thing = self.standing.get(name)
            others = [e for e in self.memory.history(name) if e.id != event.id]
            if isinstance(event.body, Corrected) or (thing is None and others) or (thing and event.at < thing.last):
                self.standing[name] = self.memory.thing(name)
            else:
                self.standing[name] = after(thing, event, name)

    def moment(self, ahead: int) -> float:
        """Return a moment: mostly now or later, sometimes before what is known."""
        at = max(1.0, self.clock + ahead)
        self.clock = max(self.clock, at)
        return at

    @rule(name=st.sampled_from(ROLLS), length=st.sampled_from([3.0, 8.0]), ahead=st.integers(-3, 4))
    def receive(self, name: str, length: float, ahead: int) -> None:
        body = Received(name=name, sort=Sort.ROLL, material="twill-200", length=length, width=1.0, place="freezer")
        self.offer(body, ("roll", name, length, 1.0), self.moment(ahead))

    @rule(
        which=st.lists(st.integers(0, 1000), min_size=1, max_size=2),
        place=st.sampled_from(sorted(RATES)),
        ahead=st.integers(-4, 6),
    )
    def move(self, which: list[int], place: str, ahead: int) -> None:
        names = list(dict.fromkeys(self.called(w) for w in which))
        self.offer(Moved(things=tuple(names), to=place), ("move", names, place), self.moment(ahead))

    @rule(
        which=st.integers(0, 1000),
        length=st.sampled_from([0.5, 1.0, 2.5]),
        kit=st.sampled_from(KITS),
        areas=st.lists(st.sampled_from([0.1, 0.2, 0.4]), max_size=2),
        kept=st.lists(st.tuples(st.sampled_from([0.2, 0.5, 1.2]), st.sampled_from([0.1, 0.2, 0.5])), max_size=2),
        first=st.integers(0, 9),
        again=st.sampled_from([False, False, False, True]),
        ahead=st.integers(-4, 4),
    )
    def cut(self, which: int, length: float, kit: str, areas: list[float], kept: list[tuple[float, float]], first: int,
            again: bool, ahead: int) -> None:  # fmt: skip
        source = self.called(which, sorts=("roll", "offcut"))
        there = modelled(self.counting()) or {}
        free = [n for n in OFFCUTS if n not in there] or list(OFFCUTS)
        new = OFFCUTS if first == 9 else free
        offcuts = [(new[(first + k) % len(new)], x, y) for k, (x, y) in enumerate(kept)]
        self.labels += 1 - int(again)
        pieces = [(f"{self.labels}-{k}", a) for k, a in enumerate(areas)]
        bare = Cloth(name=source, sort=Sort.ROLL, material="twill-200", born=DAY, last=DAY)
        body = cut_from(
            bare,
            length=0.0 if source not in ROLLS else length,
            kits={kit: [CutPiece(label=n, ply=1, area=a) for n, a in pieces]} if pieces else {},
            offcuts=[NewOffcut(name=n, outline=square(x, y)) for n, x, y in offcuts],
        )
        self.offer(body, ("cut", source, body.length, kit, pieces, offcuts), self.moment(ahead))

    @rule(which=st.integers(0, 1000), length=st.sampled_from([0.0, 0.4, 5.0]), ahead=st.integers(-3, 3))
    def count(self, which: int, length: float, ahead: int) -> None:
        name = self.called(which, sorts=("roll",))
        self.offer(Counted(thing=name, length=length), ("count", name, length), self.moment(ahead))

    @rule(which=st.integers(0, 1000), ahead=st.integers(-2, 3))
    def discard(self, which: int, ahead: int) -> None:
        if which % 3 < 2:
            return
        name = self.called(which)
        self.offer(Discarded(thing=name, why="spoiled"), ("discard", name), self.moment(ahead))

    @precondition(lambda self: self.said)
    @rule(
        which=st.integers(0, 1000), how=st.sampled_from(["never", "shorter", "then", "back"]), ahead=st.integers(-3, 0)
    )
    def correct(self, which: int, how: str, ahead: int) -> None:
        id = list(self.said)[which % len(self.said)]
        stack = self.said[id]
        event = next(e for e in self.memory.events if e.id == id)
        standing = stack[-1][1]
        target, body, at = event, None, None
        now: tuple[float, int, Op] | None = None
        if how == "back":
            if len(stack) == 1:
                return
            target, now = next(e for e in self.memory.events if e.id == stack[-1][0]), stack[-2][1]
        elif how == "shorter":
            changed = shorter(event.body, event_op(stack))
            if changed is None:
                return
            body, op = changed
            then = standing[0] if standing is not None else stack[0][1][0]  # type: ignore[index]
            now = (then, event.order, op)
        elif how == "then":
            if standing is None:
                return
            body = body_of(standing[2], event.body)
            now = (max(1.0, standing[0] + ahead), event.order, standing[2])
            at = hours(now[0])
        try:
            instead = correction(target, self.memory.history, why="mistyped", body=body, at=at)
        except InputError:
            assert now == standing  # nothing would change
            return
        rest = self.counting(without=id)
        possible = modelled(rest if now is None else [*rest, now]) is not None
        new = new_event(instead, who="Anna", device="bench", at=hours(self.clock), late=True)
        refused = self.memory.refused(new)
        assert bool(refused) != possible, (how, now, [str(p) for p in refused])
        if possible:
            kept = self.memory.put(new)
            if how == "back":
                stack.pop()
            else:
                stack.append((kept.id, now))
            self.follow(kept)

    @invariant()
    def all_is_as_modelled(self) -> None:
        there = modelled(self.counting())
        assert there is not None
        things = {n: t for n in NAMES if (t := self.memory.thing(n)) is not None}
        assert things.keys() == there.keys()
        for name, model in there.items():
            cloth = things[name]
            assert isinstance(cloth, Cloth)
            assert self.standing[name] == cloth
            assert cloth.there == (model["gone"] is None)
            assert cloth.born == hours(model["born"])
            if model["sort"] == "roll":
                assert cloth.left == pytest.approx(model["left"])
                out = sum(p.length for p in cloth.pulled)
                assert model["in"] == pytest.approx(out + cloth.left)  # what came in or was found went out or is left
            if model["sort"] == "kit":
                assert {p.piece.label: (p.piece.area, p.source) for p in cloth.pieces} == {
                    n: (a, s) for n, (a, s, _) in model["labels"].items()
                }
            else:
                assert [(p.length, p.pieces, p.kept) for p in cloth.pulled] == [
                    pytest.approx((length, pieces, kept)) for length, _, pieces, kept in model["out"]
                ]
                for _, area, pieces, kept in model["out"]:
                    assert area - pieces - kept >= -1e-5  # waste
            self.life_is_inherited(there, things, name)

    def life_is_inherited(self, there: dict[str, dict[str, Any]], things: dict[str, Thing], name: str) -> None:
        cloth = things[name]
        born, now = there[name]["born"], self.clock + 5.0
        assert isinstance(cloth, Cloth)
        used = ledger_life(things, name, now)
        assert used == pytest.approx(model_life(there, name, now))
        splits = [(p.source, hour(p.cut)) for p in cloth.pieces] or [(cloth.parent, born)] * bool(cloth.parent)
        for source, cut in splits:
            assert ledger_life(things, name, cut) >= ledger_life(things, source, cut) - 1e-9
        moments = [born + k for k in range(int(now - born) + 1)]
        lives = [ledger_life(things, name, m) for m in moments]
        assert lives == sorted(lives)  # a freezer slows it, and never gives any back

    def teardown(self) -> None:
        shuffled = list(self.memory.events)
        random.Random(len(shuffled)).shuffle(shuffled)
        for name in NAMES:
            mine = [e for e in shuffled if e in self.memory.history(name)]
            assert replayed(mine, name) == self.memory.thing(name)  # in whatever order they are read


def event_op(stack: list[tuple[str, tuple[float, int, Op] | None]]) -> Op:
    """Return what an event said first."""
    first = stack[0][1]
    assert first is not None
    return first[2]


def shorter(body: Body, op: Op) -> tuple[Body, Op] | None:
    """Return what is said with a smaller length, by the ledger's and the model's words."""
    op = deepcopy(op)
    if isinstance(body, Received) and body.length:
        return Received(name=body.name, sort=body.sort, material=body.material, length=body.length - 1.5, width=1.0,
                        place=body.place), (op[0], op[1], body.length - 1.5, 1.0)  # fmt: skip
    if isinstance(body, Cut) and body.length:
        less = body.length - 0.2
        return Cut(source=body.source, length=less, kits=body.kits, offcuts=body.offcuts, of=body.of), (
            *op[:2], less, *op[3:],
        )  # fmt: skip
    return None


def body_of(op: Op, body: Body) -> Body:
    """Return the ledger's words for what stands of an event."""
    if op[0] == "roll":
        return Received(name=op[1], sort=Sort.ROLL, material="twill-200", length=op[2], width=op[3], place="freezer")
    if op[0] == "cut" and isinstance(body, Cut):
        return Cut(source=body.source, length=op[2], kits=body.kits, offcuts=body.offcuts, of=body.of)
    return body
