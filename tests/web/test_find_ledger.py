"""What joining, finishing, stock, clocks and gates notice comes out in German and in the reader's units.

The findings are made by the functions that make them in a plan or from the records; a form that no longer fits its
sentence leaves English words behind.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

import pytest

from bagside.findings import Finding
from bagside.finishing import climate_findings, climate_of, coat_findings, plan_coat
from bagside.joining import Foot, bond_findings, hole_findings, hole_rule, hole_stack, plan_bond, stack_findings
from bagside.ledger.bodies import (
    Body,
    Counted,
    Cut,
    CutPiece,
    Debulked,
    Discarded,
    Found,
    Label,
    Laid,
    MassStage,
    Measured,
    Moved,
    Opened,
    Received,
    Released,
    Sort,
    Spent,
)
from bagside.ledger.builds.weighed import mass_reading
from bagside.ledger.clocks.life import life_of
from bagside.ledger.clocks.thaw import thaw_of
from bagside.ledger.event import new_event
from bagside.ledger.gates.before import gates_before
from bagside.ledger.gates.gate import CLOSING, GATES
from bagside.ledger.stock.count_notes import counted_findings
from bagside.ledger.stock.stock_rules import stock_problems
from bagside.ledger.things import Build, Mould
from bagside.spec.library import generic_library
from bagside.web.words.sentences import said
from bagside.web.words.tongue import Heat, Lengths, Tongue
from buildcases import after, at, begun, shop
from lifeshop import at as later
from lifeshop import roll, stays
from lifeshop import shop as life_shop
from memory import hours
from memory import shop as stock_shop

GERMAN = Tongue(language="de")
ABROAD = Tongue(language="de", lengths=Lengths.INCH, heat=Heat.FAHRENHEIT)
ENGLISH = frozenset(
    re.findall(
        r"\w+",
        "the a is it its of and not to from with are be that this they than which what when where no one two ply plies "
        "piece pieces film films part mould cloth cure room wanted before after above below hotter colder",
    )
)
"""Words that German does not have."""
K = 273.15


def left_of(text: str) -> list[str]:
    """Return the English words of a text; what stands in quotes is to be typed, and the same in every language."""
    return [w for w in re.findall(r"[A-Za-zÄÖÜäöüß-]+", re.sub(r'"[^"]*"', "", text)) if w in ENGLISH]


def english_in(texts: Iterable[str]) -> list[str]:
    """Return the texts that are not said in German, or not wholly."""
    spoken = [said(text, GERMAN) for text in texts if text]
    assert spoken
    return [s.text for s in spoken if s.language != "de" or left_of(s.text)]


def texts_of(findings: Iterable[Finding]) -> list[str]:
    return [text for f in findings for text in (f.what, f.why, f.do)]


EPOXY = generic_library().adhesive["epoxy-toughened"]


def bond(**changes: object) -> list[Finding]:
    values: dict[str, object] = {
        "size": (0.04, 0.03), "foot": Foot.CARBON, "foot_thickness": 0.003, "laminate_modulus": 50e9,
        "laminate_thickness": 0.002, "adhesive": EPOXY, "load": 200.0, "service_temperature": 40.0 + K,
        "room_temperature": 22.0 + K, **changes,
    }  # fmt: skip
    return list(bond_findings(plan_bond("hinge", **values), EPOXY, show=True))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "changes",
    [
        {"load": 6000.0, "size": (0.02, 0.06)},
        {"load": 9000.0, "size": (0.2, 0.005)},
        {"service_temperature": 90.0 + K},
        {"service_temperature": 75.0 + K},
        {"room_temperature": 11.0 + K},
        {"room_temperature": 17.0 + K},
        {"size": (0.008, 0.03)},
        {"foot": Foot.ALUMINIUM, "load": 3000.0, "laminate_thickness": 0.0006},
    ],
)
def test_a_bond(changes: dict[str, object]) -> None:
    found = bond(**changes)
    assert found
    assert english_in([*texts_of(found), *(f.place for f in found)]) == []


def test_amounts_of_a_hole_are_the_readers() -> None:
    found = [
        *hole_findings(hole_rule("H1", diameter=0.006, edge=0.015, pitch=0.02, thickness=0.0012)),
        *stack_findings(
            hole_stack("H2", hole=0.008, bolt=0.006, shifts={"heat of the mould": 0.001, "spring-in": 0.0005},
                       spreads={"template": 0.0003, "drill": 0.0004, "what it is bolted to": 0.0012})
        ),
    ]  # fmt: skip
    assert len(found) == 4
    assert english_in(texts_of(found)) == []
    for text in texts_of(found):
        assert not re.search(r"\d (mm|cm²|°C|K)\b", said(text, ABROAD).text)
    assert re.fullmatch(
        r"seine Mitte ist 0,59\d* in von der Kante; 0,7[01]\d* in sind verlangt", said(found[0].what, ABROAD).text
    )


def test_coats_and_their_air() -> None:
    coating = generic_library().coating["clear-two-pack"]
    coat = plan_coat("clear-two-pack", coating, area=9.0, times=2, rate=0.0005)
    air = [(22.0, 0.9, 10.0), (8.0, 0.5, None), (22.0, 0.9, None), (22.0, 0.75, None)]
    found = list(coat_findings(coat, replace(coating, isocyanate=True)))
    for warm, damp, part in air:
        climate = climate_of(warm + K, damp, None if part is None else part + K)
        found += climate_findings(climate, coldest=15.0 + K, wettest=0.7, place="coat clear-two-pack")
    assert len(found) >= 6
    assert english_in(texts_of(found)) == []


def test_cloth_that_is_old_or_of_which_little_is_known() -> None:
    rolls = [
        roll(been=stays((0, "room"))),
        roll(life_used=None, made=None),
        roll(been=stays((0, "room"), (700, "freezer"))),
        roll(use_by=later(days=2).date()),
    ]  # fmt: skip
    texts: list[str] = []
    for k, one in enumerate(rolls):
        for days in (3, 12, 60):
            standing = life_shop(one)
            life = life_of("R-1", standing, later(days=days))
            texts += texts_of(life.findings)
            thaw = thaw_of(one, standing, later(days=days))
            texts += texts_of([thaw.finding] if thaw.finding is not None else [])
        assert texts, k
    texts += texts_of([*counted_findings(rolls[0], 60.0), *counted_findings(rolls[0], 20.0)])
    assert english_in(texts) == []


MOULD = Mould(
    name="M-1", material="glass-epoxy", born=at(-99), last=at(-1), limit=365.15, coats_last=4, pulls=("L-0", "K-3"),
    coats=(("semi-permanent", 5, 0), ("semi-permanent", 1, 1)), released=at(-2), hottest=358.15,
    tests=((at(-90), Measured(subject="M-1", found=Found.LEAK, value=0.3, start=2e3, end=2.2e3, ambient=100e3,
                              seconds=600.0)),),
)  # fmt: skip
LEAK = Measured(subject="L-1", found=Found.LEAK, value=5.0, start=5.2e3, end=11e3, ambient=100e3, seconds=300.0)


def worked_on() -> Build:
    """Return a build in which several things are not as they should be."""
    return after(
        begun(mould="M-1"),
        (Laid(build="L-1", ply=1, piece="1A", films=1), 1.0),
        (Laid(build="L-1", ply=2, piece="2", films=2), 1.2),
        (Debulked(build="L-1", after=1, seconds=600.0, pressure=25e3), 1.4),
        (LEAK, 1.6),
        (Measured(subject="L-1", found=Found.THICKNESS, value=0.0014, place="rim"), 1.7),
        (Measured(subject="L-1", found=Found.HOLE, value=0.002, place="pivot"), 1.8),
        (Measured(subject="L-1", found=Found.DEMOULD, value=350.0), 1.9),
        (Measured(subject="L-1", found=Found.CLIMATE, value=286.0, humidity=0.8), 1.95),
    )


@pytest.mark.parametrize("build", [begun(mould="M-1"), begun(), worked_on()], ids=["new", "no mould", "at work"])
@pytest.mark.parametrize("moulds", [(MOULD,), (replace(MOULD, hottest=371.15, coats=(), tests=()),), ()])
def test_gates(build: Build, moulds: tuple[Mould, ...]) -> None:
    steps = [*(s.key for s in build.planned.steps), CLOSING]
    gates = {(g.key, g.what): g for step in steps for g in gates_before(build, step, shop(*moulds), at(2.0))}
    assert len({key for key, _ in gates}) >= 12
    assert english_in(text for g in gates.values() for text in (g.what, g.why, g.do)) == []


def test_names_of_gates() -> None:
    assert english_in(GATES.values()) == []


@pytest.mark.parametrize("grams", [60, 135, 170, 207, 214, 280, 900])
def test_masses(grams: float) -> None:
    build = begun()
    for hour, stage in enumerate((MassStage.KIT, MassStage.RAW, MassStage.TRIMMED)):
        body = Measured(subject="L-1", found=Found.MASS, value=1e-3 * grams, stage=stage)
        build = after(build, (body, 1.0 + hour))
    texts = texts_of(f for reading in mass_reading(build, shop()) for f in reading.findings)
    gates = [
        g for s in ("cut", "bag", "trim", CLOSING) for g in gates_before(build, s, shop(), at(9)) if g.key == "mass"
    ]
    assert english_in([*texts, *(t for g in gates for t in (g.what, g.why, g.do))]) == []


def test_what_the_reader_of_this_test_would_find() -> None:
    """A sentence without a form is told from one that has one, and a form that leaves English inside is, too."""
    assert english_in(["the moon is full"]) == ["the moon is full"]
    assert left_of("die Lage of twill") == ["of"]


REFUSED = (
    Received(name="R-1", sort=Sort.ROLL, material="twill"),
    Received(name="P-1", sort=Sort.ROLL, place="nowhere"),
    Received(name="M-1", sort=Sort.MOULD, material="tool", place="freezer", length=2.0),
    Moved(things=("R-1",), to="R-1"),
    Moved(things=(), to="attic"),
    Opened(thing="freezer", humidity=3.0),
    Counted(thing="R-1", mass=1.0),
    Counted(thing="M-7", length=1.0),
    Spent(thing="R-1"),
    Discarded(thing="freezer", why=""),
    Released(mould="R-1", agent="wax", coats=0),
    Cut(source="R-1", of=Label(), length=900.0, kits={"K-1": (CutPiece(label="", ply=1, area=0.0),)}, job="hatch"),
)


@pytest.mark.parametrize("body", REFUSED, ids=lambda body: type(body).__name__)
def test_what_the_records_refuse(body: Body) -> None:
    memory = stock_shop()
    event = new_event(body, who="Ann", device="desk", at=hours(9.0))
    names = memory.things() | dict.fromkeys(event.subjects)
    problems = list(stock_problems(event, {name: memory.thing(name) for name in names}))
    assert problems
    assert english_in(text for p in problems for text in (p.wanted, p.hint)) == []
