"""Life through events: whatever happens, in whatever order it is told, against a model that steps hour by hour."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.ledger.bodies import Corrected, Cut, CutPiece, Logged, Moved, NewOffcut, Received, Sort
from bagside.ledger.clocks.life import life_of
from bagside.ledger.correcting import correction
from bagside.ledger.event import new_event
from bagside.ledger.shop import Shop
from bagside.ledger.stock.as_stands import cut_from
from bagside.planning.cure_life import life_sheet, tack_sheet
from lifeshop import FROZEN, HOUR, ROOM
from lifeshop import shop as standing_shop
from memory import Memory, hours, shop, square

END = 400
SET = {"freezer": FROZEN, "cutting room": ROOM}


def shop_of(memory: Memory) -> Shop:
    told = standing_shop()
    return Shop(things=memory.things(), library=told.library, workshop=told.workshop)


class Model:
    """Where each thing was, hour by hour, and how warm each place was: plain lists."""

    def __init__(self) -> None:
        self.warm = {name: [t] * END for name, t in SET.items()}
        self.been: dict[str, list[tuple[int, str]]] = {"R-1": [(1, "freezer")]}
        self.cut: dict[str, list[tuple[str, int]]] = {"R-1": []}

    def place(self, name: str, hour: int) -> str:
        """Return where a thing is: its own last stay, else where its source was when it was cut."""
        own = [p for h, p in self.been[name] if h <= hour]
        if own:
            return own[-1]
        source, at = min(self.cut[name], key=lambda c: c[1])
        return self.place(source, at)

    def used(self, name: str, hour: int, rate) -> float:
        """Return hours used; of a kit those of its worst piece."""
        if name == "R-1":
            return 1.0 * rate.first + sum(rate(self.warm[self.place(name, h)][h]) for h in range(1, hour))
        return max(
            self.used(source, at, rate) + sum(rate(self.warm[self.place(name, h)][h]) for h in range(at, hour))
            for source, at in self.cut[name]
        )


class Rate:
    """A sheet's rate, remembered; `first` is what one stated hour out of the freezer counts."""

    def __init__(self, sheet, first: float) -> None:
        self.sheet, self.first, self.known = sheet, first, {}

    def __call__(self, temperature: float) -> float:
        if temperature not in self.known:
            self.known[temperature] = float(self.sheet.rate(temperature))
        return self.known[temperature]


@given(st.integers(0, 10**6))
@settings(max_examples=40, deadline=None)
def test_any_history_by_the_hour(seed):
    """Moves, cuts, kits, logs that come late and moves that are corrected; each split hands its clock on."""
    luck = random.Random(seed)
    memory, model = shop(), Model()
    logged = dict.fromkeys(SET, 1)
    moves: list[tuple[object, str, int]] = []
    splits: list[tuple[str, str, int]] = []
    hour = 1
    for number in range(luck.randint(2, 14)):
        hour += luck.randint(1, 25)
        here = [n for n in model.been if memory.cloth(n).there]
        what = luck.choice(("move", "move", "offcut", "kit", "log", "wrong"))
        name = luck.choice(here)
        if what == "move":
            to = luck.choice(tuple(SET))
            moves.append((memory.tell(Moved(things=(name,), to=to), hour), name, hour))
            model.been[name].append((hour, to))
        elif what == "offcut" and memory.cloth(name).sort is not Sort.KIT:
            source, new = memory.cloth(name), f"O-{number}"
            length = 0.3 if source.sort is Sort.ROLL else 0.0
            outline = square(0.3 / (number + 1), 0.3 / (number + 1))
            memory.tell(cut_from(source, length=length, offcuts=(NewOffcut(name=new, outline=outline),)), hour)
            model.been[new], model.cut[new] = [], [(name, hour)]
            splits.append((name, new, hour))
        elif what == "kit" and memory.cloth(name).sort is not Sort.KIT:
            source = memory.cloth(name)
            kit = luck.choice(("K-1", "K-2"))
            piece = CutPiece(label=f"{number}A", ply=number, area=1e-4)
            length = 0.05 if source.sort is Sort.ROLL else 0.0
            body: Cut = cut_from(source, length=length, kits={kit: [piece]})
            if memory.refused(_event(body, hour)):
                continue
            memory.tell(body, hour)
            model.been.setdefault(kit, [])
            model.cut.setdefault(kit, []).append((name, hour))
            splits.append((name, kit, hour))
        elif what == "log":
            where = luck.choice(tuple(SET))
            start, end = logged[where] + luck.randint(0, 5), hour
            if end - start < 2:
                continue
            level = luck.uniform(245.0, 300.0)
            memory.tell(
                Logged(
                    place=where, file=f"{number:064x}", called="log.csv", times=(0.0, (end - start) * HOUR),
                    temperatures=(level, level),
                ),
                start,
            )  # fmt: skip
            model.warm[where][start:end] = [level] * (end - start)
            logged[where] = end + 1
        elif what == "wrong" and moves:
            event, moved, at = luck.choice(moves)
            to = next(p for p in SET if p != dict(model.been[moved])[at])
            body_now = Moved(things=(moved,), to=to)
            wrong: Corrected = correction(event, memory.history, why="it went elsewhere", body=body_now)
            memory.tell(wrong, hour)
            model.been[moved] = [(h, to if h == at else p) for h, p in model.been[moved]]
    standing = shop_of(memory)
    sheet = life_sheet(standing.library.prepreg["twill-200"])
    tack = tack_sheet(standing.library.prepreg["twill-200"])
    out_rate, tack_rate = Rate(sheet, 1.0), Rate(tack, float(tack.rate(ROOM)))
    now = hour + 30
    for name in model.been:
        cloth = memory.cloth(name)
        until = now if cloth.gone is None else round((cloth.gone - hours(0)).total_seconds() / HOUR)
        life = life_of(name, standing, hours(now))
        assert life.out.used / HOUR == pytest.approx(model.used(name, until, out_rate), rel=1e-9)
        assert life.tack.used / HOUR == pytest.approx(model.used(name, until, tack_rate), rel=1e-9)
    for source, child, at in splits:
        assert life_of(child, standing, hours(at)).out.used >= life_of(source, standing, hours(at)).out.used - 1e-6


def _event(body, hour):
    return new_event(body, who="Anna", device="bench", at=hours(hour))


def test_a_correction_of_a_move_and_a_late_log_reach_the_kit():
    """The roll was out for three days and not one, told a week later; the freezer was at −10 °C, told after that."""
    memory = shop()
    memory.tell(Moved(things=("R-1",), to="cutting room"), 10)
    back = memory.tell(Moved(things=("R-1",), to="freezer"), 34)
    memory.tell(Moved(things=("R-1",), to="cutting room"), 100)
    roll = memory.cloth("R-1")
    memory.tell(cut_from(roll, length=1.0, kits={"K-1": [CutPiece(label="1A", ply=1, area=0.5)]}), 101)
    memory.tell(Moved(things=("K-1",), to="freezer"), 102)
    before = life_of("K-1", shop_of(memory), hours(200)).out.used / HOUR
    body = Moved(things=("R-1",), to="freezer")
    memory.tell(correction(back, memory.history, why="it was Thursday", body=body, at=hours(82)), 200)
    after = life_of("K-1", shop_of(memory), hours(200)).out.used / HOUR
    assert after - before == pytest.approx(48 * (1 - 30 / 365))
    times, warm = (0.0, 98 * HOUR), (263.15, 263.15)
    memory.tell(Logged(place="freezer", file="0" * 64, called="l.csv", times=times, temperatures=warm), 102)
    warmer = life_of("K-1", shop_of(memory), hours(200)).out.used / HOUR
    sheet = life_sheet(shop_of(memory).library.prepreg["twill-200"])
    assert warmer - after == pytest.approx(98 * (float(sheet.rate(263.15)) - 30 / 365))


def test_what_is_received_again_as_an_offcut_of_a_friend_begins_unknown():
    memory = shop()
    memory.tell(
        Received(name="O-9", sort=Sort.OFFCUT, material="twill-200", place="freezer", outline=square(0.5)), 5
    )
    life = life_of("O-9", shop_of(memory), hours(6))
    assert not life.out.sure
    assert life.out.share >= 1.0
