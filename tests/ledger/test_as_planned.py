"""What is frozen of a plan, against sums done by hand for a plate that is known by tape measure and card."""

import json
import math
from datetime import datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest

import tapeshop
from bagside.errors import InputError
from bagside.ledger.bodies import Begun, body_data, body_from
from bagside.ledger.builds.as_planned import planned_of, revision_of
from bagside.ledger.builds.planned_times import times_to_heat
from bagside.ledger.planned import Planned
from bagside.planning.plan import BuildPlan, plan_build
from bagside.spec.opening import open_job


@pytest.fixture(scope="module")
def build(tmp_path_factory: pytest.TempPathFactory) -> BuildPlan:
    job = tapeshop.written_in(tmp_path_factory.mktemp("plate"))
    return plan_build(open_job(job))[0]


@pytest.fixture(scope="module")
def planned(build: BuildPlan) -> Planned:
    return planned_of(build, 1)


CLOTH = 0.200 / 0.58
"""Mass of a square metre of twill-200: 200 g of fibre, 42 % resin [kg]."""


def test_plies_with_their_pieces_films_and_masses(planned: Planned) -> None:
    """Two sheets of 400 × 300 mm and a patch of 120 × 80 mm."""
    assert [(p.number, p.material, p.pieces, p.films) for p in planned.plies] == [
        (1, "twill-200", ("1",), 2), (2, "twill-200", ("2",), 2), (3, "twill-200", ("3",), 2),
    ]  # fmt: skip
    assert [p.area for p in planned.plies] == pytest.approx([0.12, 0.0096, 0.12])
    assert [p.mass for p in planned.plies] == pytest.approx([0.12 * CLOTH, 0.0096 * CLOTH, 0.12 * CLOTH])
    assert planned.resin_mass == pytest.approx(0.42 * 0.2496 * CLOTH)
    assert [(c.material, c.area) for c in planned.cloths] == [("twill-200", pytest.approx(0.2496))]


def test_a_card_that_is_cut_twice_for_one_part_stands_there_twice(tmp_path: Path) -> None:
    twice = 'templates = [{ template = "patch", copies = 2 }]'
    job = tapeshop.written_in(tmp_path, ('templates = ["patch"]', twice))
    made = planned_of(plan_build(open_job(job))[0], 2)
    assert made.plies[1].pieces == ("2", "2")
    assert made.plies[1].area == pytest.approx(2 * 0.0096)


def test_masses_at_each_moment(planned: Planned) -> None:
    """All plies come from one roll, so 2 % of one ply is 2 % of all; the trimmed edge is 1320 mm ± 0.5 mm."""
    masses = {m.stage: m for m in planned.masses}
    kit, trimmed = 0.2496 * CLOTH, (2 * 0.1064 + 0.0096) * CLOTH
    assert masses["kit"].mass == pytest.approx(kit)
    assert masses["kit"].sigma == pytest.approx(0.02 * kit)
    assert (masses["raw"].mass, masses["raw"].sigma) == (
        pytest.approx(kit), pytest.approx(kit * math.hypot(0.02, 0.01)),
    )  # fmt: skip
    assert masses["trimmed"].mass == pytest.approx(trimmed)
    edge = 1.320 * 0.0005 * trimmed / 0.1064
    assert masses["trimmed"].sigma == pytest.approx(math.hypot(trimmed * math.hypot(0.02, 0.01), edge))
    # Filler 40 µm of which 0.3 stay, two coats of 40 µm of which 10 µm are polished off, a foot, its glue.
    library_filler, clear = 0.3 * 40e-6 * 0.1064, 70e-6 * 0.1064
    foot = 0.030 * 0.020 * 0.002 * 1550.0
    added = masses["finished"].mass - trimmed
    low = (library_filler + clear) * 1000.0 + foot
    # Coats of 1.00 to 1.25 g/cm³, glue under half a gram.
    assert low < added < low + (library_filler + clear) * 250.0 + 0.0005


def test_thickness_of_each_zone(planned: Planned) -> None:
    """200 g/m² at 1.78 g/cm³ and 144.8 g/m² at 1.22 g/cm³ make 0.2311 mm; two plies, and three under the pad."""
    ply = (0.200 / 1780.0) + (0.42 * CLOTH / 1220.0)
    assert ply == pytest.approx(0.2311e-3, abs=5e-8)
    assert [p.place for p in planned.points] == ["T1", "T2"]
    assert {p.where: p.thickness for p in planned.points} == {
        "plies 1, 3": pytest.approx(2 * ply), "plies 1, 2, 3": pytest.approx(3 * ply),
    }  # fmt: skip
    assert all(p.tolerance == pytest.approx(0.08 * p.thickness) for p in planned.points)


@pytest.mark.published("ISO 2533: 1013.25 hPa at sea level")
def test_leak_limit_and_pressures(planned: Planned) -> None:
    """10 mbar in 10 min; the pump reaches 20 mbar."""
    assert planned.leak == pytest.approx(1000.0 / 600.0)
    assert planned.leak_rule == "cosmetic oven cure"
    assert (planned.ambient, planned.vacuum) == (pytest.approx(101325.0), pytest.approx(2000.0))
    assert planned.leak_volume > 0.12 * 0.0015  # at least the breather over what is laid


def test_cure_and_its_targets_in_words(planned: Planned) -> None:
    """Service 70 °C and the usual 20 K more; 0.9 cured; off under 50 °C."""
    assert planned.programme == "heat to 120 °C at 2.0 °C/min, hold 120 min; off under 50 °C"
    assert (planned.tg, planned.cure, planned.demould) == (pytest.approx(363.15), 0.9, pytest.approx(323.15))
    assert (planned.mould_limit, planned.mould_words) == (pytest.approx(433.15), "carbon-epoxy")
    assert planned.hottest_tool is not None
    assert 388.0 < planned.hottest_tool < 400.0
    assert planned.thermocouples[0] == "air"
    assert len(planned.thermocouples) in (2, 3)


def test_steps_are_those_of_the_plan_and_templates_are_cut_once(build: BuildPlan, planned: Planned) -> None:
    assert [s.key for s in planned.steps] == [s.key for s in build.steps]
    assert [s.boxes for s in planned.steps] == [s.boxes for s in build.steps]
    second = planned_of(build, 2)
    assert [s.key for s in second.steps] == [s.key for s in build.steps if s.key != "templates"]
    assert (second.number, second.quantity) == (2, 2)
    assert [c.step for c in planned.coats] == ["fill-1", "coat-clear-two-pack"]
    assert {c.step for c in planned.coats} <= {s.key for s in planned.steps}
    assert next(d.after for d in planned.debulks) == 1
    assert planned.debulks[0].seconds >= 600.0  # the first ply always, 10 to 30 min
    assert {f"debulk-{d.after}" for d in planned.debulks} == {s.key for s in planned.steps if s.key[:7] == "debulk-"}
    assert [h.name for h in planned.holes] == ["middle"]


def test_hours_and_price_of_one_part(build: BuildPlan, planned: Planned) -> None:
    """Labour is priced by the very hours: 40 EUR an hour without overhead."""
    line = next(x for x in build.cost.lines if x.what == "attended time, overhead included")
    assert planned.hours / 3600.0 == pytest.approx(line.amount)
    assert (planned.price, planned.currency) == (build.cost.price, "EUR")


def test_what_is_frozen_goes_through_json_unchanged(planned: Planned) -> None:
    body = Begun(build="P-1", planned=planned, mould="M-1")
    again = body_from("begun", json.loads(json.dumps(body_data(body))))
    assert again == body


def test_a_part_that_the_job_does_not_make_is_refused(build: BuildPlan) -> None:
    for number in (0, 3):
        with pytest.raises(InputError, match=f"part: {number} – this job makes parts 1 to 2"):
            planned_of(build, number)


def test_the_revision_is_that_of_the_files_and_not_of_the_stock() -> None:
    inputs = {"job.toml": "a", "workshop.toml": "b"}
    assert revision_of(inputs) == revision_of(dict(reversed(inputs.items())))
    assert revision_of(inputs) == revision_of({**inputs, "stock.toml": "c", "records": "d"})
    assert revision_of(inputs) != revision_of({**inputs, "job.toml": "c"})
    assert revision_of(inputs) != revision_of({"job.toml": "b", "workshop.toml": "a"})


MONDAY = datetime(2026, 11, 30)


def clock(day: int, hour: float) -> datetime:
    return MONDAY + timedelta(days=day, hours=hour)


def timed(*told: tuple[str, bool, int, float, float]) -> SimpleNamespace:
    """Return a plan of steps: key, whether for each part, day, from and to which hour; parts follow as told."""
    steps, slots, seen = [], [], {}
    for key, each, day, start, end in told:
        seen[key] = seen.get(key, 0) + 1
        if seen[key] == 1:
            steps.append(SimpleNamespace(key=key, name=key, each=each))
        task = f"{key}, part {seen[key]}" if each else key
        slots.append(SimpleNamespace(task=task, start=clock(day, start), end=clock(day, end)))
    return SimpleNamespace(steps=steps, calendar=SimpleNamespace(slots=slots))


def test_cloth_is_out_from_the_thaw_to_the_heat_and_a_night_counts() -> None:
    """Out on Monday at 8, cut until 16, laid on Tuesday from 9, heat at 13. Part 2 is laid on Thursday: its kit goes
    back into the freezer meanwhile."""
    plan = timed(
        ("thaw", False, 0, 8, 12), ("templates", False, 0, 12, 14), ("cut", False, 0, 14, 16),
        ("release", True, 0, 16, 17), ("ply-1", True, 1, 9, 10), ("bag", True, 1, 10, 12), ("cure", True, 1, 13, 20),
        ("release", True, 3, 8, 9), ("ply-1", True, 3, 9, 10), ("bag", True, 3, 10, 12), ("cure", True, 3, 13, 20),
    )  # fmt: skip
    first = {k: s / 3600.0 for k, s in times_to_heat(plan, 1).items()}  # type: ignore[arg-type]
    assert first == {
        "thaw": 8 + 17 + 4, "templates": 4 + 17 + 4, "cut": 2 + 17 + 4, "release": 21, "ply-1": 4, "bag": 3, "cure": 0,
    }  # fmt: skip
    second = {k: s / 3600.0 for k, s in times_to_heat(plan, 2).items()}  # type: ignore[arg-type]
    assert (second["thaw"], second["cut"], second["ply-1"], second["cure"]) == (8 + 4, 2 + 4, 4, 0)


def test_a_plan_without_a_cure_needs_no_time_to_the_heat() -> None:
    assert times_to_heat(timed(("cut", False, 0, 8, 9)), 1) == {}  # type: ignore[arg-type]


def test_times_to_the_heat_shrink_from_step_to_step(planned: Planned) -> None:
    keys = [s.key for s in planned.steps]
    before = [s.to_heat for s in planned.steps[: keys.index("cure") + 1]]
    assert before == sorted(before, reverse=True)
    assert before[-1] == 0.0
    assert all(s.to_heat == 0.0 for s in planned.steps[keys.index("cure") :])
    hold = next(s for s in planned.steps if s.key == "hold")
    assert hold.to_heat >= hold.unattended == 3600.0
    assert planned.cloths[0].hours == before[0]
