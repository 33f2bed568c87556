"""Gates of the part off its mould and of its coats, against hand cases."""

import pytest

from bagside.ledger.bodies import Finished, Found, Passed, Started
from bagside.ledger.gates.before import gates_before
from bagside.ledger.gates.gate import GATES, Gate
from bagside.ledger.planned import PlannedCoat
from bagside.ledger.things import Build
from buildcases import after, at, begun, mass, plan, read, shop

NAME = "L-1"


def gates(step: str, build: Build, hours: float = 50.0) -> dict[str, Gate]:
    return {g.key: g for g in gates_before(build, step, shop(), at(hours))}


def test_the_raw_part_is_weighed_before_it_goes_on() -> None:
    found = gates("post-cure", begun())["mass"]
    assert (found.holds, found.what) == (None, "the raw part is not weighed; 205 g is planned")
    assert gates("post-cure", after(begun(), (mass("raw", 206.0), 9.0)))["mass"].holds
    light = gates("post-cure", after(begun(), (mass("raw", 135.0), 9.0)))["mass"]  # a ply of 70 g is missing
    assert light.holds is False
    assert light.what.startswith("135 g, 70 g under the plan of 205 g")
    assert light.do
    none = begun(plan(masses=()))
    assert "mass" not in gates("post-cure", none)


def test_each_mass_has_its_own_moment() -> None:
    build = after(begun(), (mass("raw", 206.0), 9.0))
    assert gates("bond", build)["mass"].what == "the trimmed part is not weighed; 180 g is planned"
    assert gates("close", build)["mass"].what == "the finished part is not weighed; 200 g is planned"
    passed = after(build, (Passed(build=NAME, gate="mass", step="bond", by="Ben", why="no scale"), 10.0))
    assert gates("bond", passed)["mass"].passed is not None
    assert gates("close", passed)["mass"].stops  # that was another mass


def test_kit_and_films_are_asked_for_only_when_they_were_weighed() -> None:
    """A kit is weighed with its films: 9 pieces' worth. Without ply 3 of 70 g it is far too light."""
    assert "mass" not in gates("ply-1", begun())
    assert "mass" not in gates("bag", begun())
    films = 0.075 * (2 * 0.2 + 2 * 0.1 + 1 * 0.2) * 1000.0  # 75 g/m² where nobody has weighed one
    assert gates("ply-1", after(begun(), (mass("kit", 205.0 + films), 1.0)))["mass"].holds
    assert gates("ply-1", after(begun(), (mass("kit", 135.0 + films - 15.0), 1.0)))["mass"].holds is False
    known = begun(plan(film_mass=0.075))
    assert gates("bag", after(known, (mass("films", films), 1.0)))["mass"].holds
    left_in = gates("bag", after(known, (mass("films", films - 30.0), 1.0)))["mass"]  # both films of ply 1
    assert left_in.holds is False
    assert left_in.do


def thick(*told: tuple[str, float]) -> Build:
    build = begun()
    for k, (place, mm) in enumerate(told):
        build = after(build, (read(Found.THICKNESS, mm / 1000.0, place=place), 9.0 + 0.1 * k))
    return build


FINE = (("middle", 1.05), ("a", 0.95), ("b", 1.5), ("rim", 2.10), ("c", 2.1))


def test_thickness_at_five_points_within_eight_percent() -> None:
    """1.00 mm ± 8 % is 0.92 to 1.08 mm; 2.00 mm is 1.84 to 2.16 mm."""
    assert gates("bond", thick(*FINE))["thickness"].holds
    assert gates("bond", thick(*FINE[:4]))["thickness"].what == "4 of 5 places measured"
    assert gates("bond", thick(*FINE[:4]))["thickness"].holds is None
    found = gates("bond", thick(("middle", 1.10), *FINE[1:]))["thickness"]
    assert (found.holds, found.what) == (False, "middle: 1.10 mm, 0.92 mm to 1.08 mm wanted")
    thin = gates("bond", thick(("d", 0.90), *FINE[1:]))["thickness"]
    assert (thin.holds, thin.what) == (False, "d: 0.90 mm, 0.92 mm to 2.16 mm wanted")
    assert gates("bond", thick(("middle", 1.10), *FINE))["thickness"].holds  # measured again
    assert "thickness" not in gates("bond", begun(plan(points=())))


def test_holes_are_measured_before_anything_is_bonded_to_them() -> None:
    assert gates("bond", begun())["holes"].what == "not measured: pivot"
    good = after(begun(), (read(Found.HOLE, -0.0009, place="pivot"), 9.0))
    assert gates("bond", good)["holes"].holds
    assert gates("fit", good)["holes"].holds
    off = after(good, (read(Found.HOLE, -0.0012, place="pivot"), 9.1))
    assert gates("bond", off)["holes"].what == "pivot: 1.2 mm off, 1.0 mm allowed"
    assert "holes" not in gates("bond", begun(plan(holes=())))


@pytest.mark.published("a repair course as quoted by builders: bond within 4 h of sanding")
@pytest.mark.parametrize(("hours", "holds"), [(3.9, True), (4.1, None)])
def test_a_clean_face_is_bonded_within_four_hours(hours: float, holds: bool | None) -> None:
    build = after(begun(), (read(Found.WATER_BREAK, 1.0), 10.0))
    assert gates("bond", build, 10.0 + hours)["water-break"].holds is holds


def test_a_face_on_which_water_breaks_is_not_bonded() -> None:
    build = after(begun(), (read(Found.WATER_BREAK, 1.0), 10.0), (read(Found.WATER_BREAK, 0.0), 10.5))
    assert gates("bond", build, 11.0)["water-break"].holds is False
    assert gates("bond", begun(), 11.0)["water-break"].holds is None


def climate(celsius: float, humidity: float, part: float | None = None, hours: float = 40.0) -> Build:
    build = after(begun(), (read(Found.CLIMATE, celsius + 273.15, humidity=humidity), hours))
    return build if part is None else after(build, (read(Found.CORE, part + 273.15), hours))


@pytest.mark.published("ISO 8502-4: the surface at least 3 K above the dew point, which at 23 °C and 60 % is 14.8 °C")
@pytest.mark.parametrize(("part", "holds"), [(17.6, False), (18.1, True)])
def test_the_part_is_three_kelvin_above_the_dew_point(part: float, holds: bool) -> None:
    found = gates("coat-clear", climate(23.0, 0.60, part), 40.5)["paint-room"]
    assert found.holds is holds
    assert found.what.startswith("23.0 °C and 60 %, the part ")


@pytest.mark.parametrize(
    ("step", "celsius", "humidity", "holds"),
    [
        ("coat-clear", 20.0, 0.55, True), ("coat-clear", 17.0, 0.55, False), ("coat-clear", 20.0, 0.86, False),
        ("fill-1", 17.0, 0.55, True), ("fill-1", 20.0, 0.75, False),
        ("coat-clear", 20.0, 0.84, False),  # dry enough for the coat, and 2.8 K above the dew point
    ],
)  # fmt: skip
def test_each_coat_has_its_own_room(step: str, celsius: float, humidity: float, holds: bool) -> None:
    assert gates(step, climate(celsius, humidity), 40.5)["paint-room"].holds is holds


def test_a_reading_of_the_paint_room_is_good_for_an_hour() -> None:
    assert gates("coat-clear", climate(20.0, 0.5), 41.1)["paint-room"].holds is None
    assert "paint-room" not in gates("polish", climate(20.0, 0.5), 40.1)


PRIMED = (
    PlannedCoat(step="fill-1", name="primer", coats=1, flash=720.0, recoat_latest=2 * 3600.0, cure_time=16 * 3600.0,
                pot_life=5400.0, dry=40e-6, coldest=291.15, wettest=0.85),
    PlannedCoat(step="coat-clear", name="clear", coats=2, flash=720.0, recoat_latest=2 * 3600.0,
                cure_time=16 * 3600.0, pot_life=5400.0, dry=40e-6, coldest=291.15, wettest=0.85),
)  # fmt: skip


def coated(build: Build, step: str, hours: float) -> Build:
    """Return a build in which a coat was begun; it takes 10 min and its step is over 12 h later."""
    return after(
        build, (Started(build=NAME, step=step), hours), (Finished(build=NAME, step=step, boxes=(0,)), hours + 12.0)
    )


def test_what_is_filled_is_hard_before_it_is_coated() -> None:
    """A filler that is hard after 14 h, on at 20:10: its step's end does not count, it says when people came back."""
    build = coated(begun(), "fill-1", 20.0)
    assert gates("coat-clear", build, 34.0)["recoat"].holds is False
    found = gates("coat-clear", build, 34.2)["recoat"]
    assert (found.holds, found.what) == (True, "it went on 14.0 h ago; filler is hard after 14 h")
    assert gates("coat-clear", begun(), 34.0)["recoat"].what == "fill-1 is not finished; filler is hard after 14 h"
    assert "recoat" not in gates("fill-1", begun(), 34.0)


@pytest.mark.parametrize(
    ("hours", "holds"), [(0.1, False), (0.3, True), (2.0, True), (2.2, False), (15.9, False), (16.1, True)]
)
def test_a_coat_takes_the_next_while_it_is_open_or_when_it_is_hard(hours: float, holds: bool) -> None:
    """Open from 12 min to 2 h, hard after 16 h; the coat was on 10 min after its step began."""
    renamed = plan(
        coats=tuple(c if c.step != "fill-1" else _step(c, "degrease") for c in PRIMED),
    )
    build = after(
        begun(renamed), (Started(build=NAME, step="degrease"), 20.0),
        (Finished(build=NAME, step="degrease", boxes=(0,)), 20.0 + 10.0 / 60.0),
    )  # fmt: skip
    assert gates("coat-clear", build, 20.0 + 10.0 / 60.0 + hours)["recoat"].holds is holds


def _step(coat: PlannedCoat, step: str) -> PlannedCoat:
    from dataclasses import replace

    return replace(coat, step=step)


def test_a_coat_is_hard_before_it_is_polished() -> None:
    build = coated(begun(), "coat-clear", 20.0)
    assert gates("polish", build, 22.0)["recoat"].holds is False  # still open: no time to polish
    assert gates("polish", build, 36.0)["recoat"].holds is False
    assert gates("polish", build, 36.2)["recoat"].holds


def test_a_part_without_bonding_coats_or_post_cure_has_none_of_their_gates() -> None:
    keys = ("thaw", "cut", "release", "ply-1", "ply-2", "ply-3", "bag", "cure", "demould", "trim", "fit")
    bare = begun(plan(steps=tuple(s for s in plan().steps if s.key in keys), coats=(), holes=(), points=(), debulks=()))
    found = {key: sorted(gates(key, bare)) for key in (*keys, "close")}
    assert found == {
        "thaw": [], "cut": ["life", "thawed"], "release": ["mould-heat", "mould-tight"],
        "ply-1": ["kit", "life", "release", "room", "thawed"],
        "ply-2": ["films", "life", "room", "thawed"],
        "ply-3": ["films", "life", "room", "thawed"], "bag": ["films", "life"],
        "cure": ["leak", "life", "mould-heat", "thermocouples"], "demould": ["cool", "cured"],
        "trim": ["mass"], "fit": ["mass"], "close": ["cured", "films", "mass"],
    }  # fmt: skip


def test_a_part_without_plies_is_asked_nothing_about_them() -> None:
    bare = begun(plan(plies=(), debulks=(), masses=()))
    assert "films" not in gates("bag", bare)
    assert "life" not in gates("cure", bare)
    assert "films" not in gates("close", bare)


def test_every_gate_stands_before_some_step() -> None:
    """Nothing is listed that never is asked; where bags are counted the bag is, too."""
    seen = {key for step in (*(s.key for s in plan().steps), "close") for key in gates(step, begun())}
    assert set(GATES) - seen == {"bag"}


def test_a_place_in_a_zone_counts_for_it() -> None:
    """Five spots of the middle are five places, and none of the rim, which is named."""
    spots = [(f"middle {spot}", 1.0) for spot in ("bow", "stern", "port", "starboard", "keel")]
    gate = gates("bond", thick(*spots))["thickness"]
    assert (gate.holds, gate.what) == (None, "5 of 5 places measured; none at rim")
    assert gates("bond", thick(*spots, ("rim", 2.0)))["thickness"].holds
    wrong = gates("bond", thick(*spots, ("rim", 2.0), ("middle port", 1.2)))["thickness"]
    assert (wrong.holds, wrong.what) == (False, "middle port: 1.20 mm, 0.92 mm to 1.08 mm wanted")
