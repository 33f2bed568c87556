"""Gates of the mould: limits that are common practice, marked so in the code; hand cases."""

from dataclasses import replace

from bagside.findings import Basis
from bagside.ledger.bodies import Found, Measured
from bagside.ledger.gates.before import gates_before
from bagside.ledger.gates.gate import Gate
from bagside.ledger.things import Mould
from buildcases import at, begun, plan, shop

MOULD = Mould(
    name="M-1", material="glass-epoxy", born=at(-99), last=at(-1), limit=365.15, coats_last=4, pulls=("L-0", "K-3"),
    coats=(("semi-permanent", 5, 0), ("semi-permanent", 1, 1)), released=at(-2), hottest=358.15,
    tests=((at(-90), Measured(subject="M-1", found=Found.LEAK, value=0.3, start=2e3, end=2.2e3, ambient=100e3,
                              seconds=600.0)),),
)  # fmt: skip


def gate(key: str, step: str, mould: Mould | None = MOULD, **changes: object) -> Gate:
    build = begun(plan(**changes), mould="M-1")
    gates = {g.key: g for g in gates_before(build, step, shop(*([mould] if mould else [])), at(1))}
    return gates[key]


def test_the_mould_stands_the_cure() -> None:
    found = gate("mould-heat", "release")
    assert found.holds
    assert found.what == "the cure takes it to 85 °C, it stands 92 °C"
    assert found.basis is Basis.DATA_SHEET
    assert gate("mould-heat", "cure").holds


def test_the_limit_of_the_plan_counts_where_the_ledger_has_none() -> None:
    told = "the cure takes it to 85 °C, it stands 90 °C"
    found = gate("mould-heat", "release", replace(MOULD, limit=None))
    assert (found.holds, found.what, found.source) == (True, told, "glass-epoxy")
    assert gate("mould-heat", "release", None).what == told


def test_a_cure_above_the_limit_stops() -> None:
    found = gate("mould-heat", "release", replace(MOULD, limit=357.0, hottest=350.0))
    assert found.holds is False
    assert found.do == "cure cooler and longer, or on another mould"


def test_a_mould_that_was_too_hot_once_stops_until_somebody_has_looked() -> None:
    found = gate("mould-heat", "release", replace(MOULD, hottest=371.15))
    assert (found.holds, found.what) == (False, "it has seen 98 °C, it stands 92 °C")


def test_a_limit_that_nobody_knows_stops() -> None:
    found = gate("mould-heat", "release", replace(MOULD, limit=None), mould_limit=None)
    assert (found.holds, found.what) == (None, "its limit is not known")
    found = gate("mould-heat", "release", hottest_tool=None)
    assert (found.holds, found.what) == (None, "how hot the cure makes it is not known")


def test_the_bare_mould_was_tested_after_its_last_repair() -> None:
    found = gate("mould-tight", "release")
    assert found.holds
    assert found.what.startswith("2026-11-26: it loses 2.0 mbar in 10 min (10 mbar allowed")
    repaired = replace(MOULD, repairs=((at(-50), "chip filled", "flange"),))
    found = gate("mould-tight", "release", repaired)
    assert found.holds is None
    assert found.what == "tested 2026-11-26, and repaired after that, 2026-11-28: chip filled (flange)"
    before = replace(MOULD, repairs=((at(-95), "chip filled", "flange"),))
    assert gate("mould-tight", "release", before).holds


def test_a_mould_that_leaks_or_was_never_tested_stops() -> None:
    leaks = Measured(subject="M-1", found=Found.LEAK, value=5.0, start=2e3, end=5e3, ambient=100e3, seconds=600.0)
    assert gate("mould-tight", "release", replace(MOULD, tests=(*MOULD.tests, (at(-3), leaks)))).holds is False
    assert gate("mould-tight", "release", replace(MOULD, tests=())).holds is None
    assert gate("mould-tight", "release", None).what == "the mould M-1 is not in the ledger"


def test_release_serves_its_pulls() -> None:
    found = gate("release", "ply-1")  # two pulls, one of them since the last coat
    assert (found.holds, found.what) == (True, "1 pull since release; a coat serves 4")
    worn = replace(MOULD, pulls=("a", "b", "c", "d", "e"))
    assert gate("release", "ply-1", worn).what == "4 pulls since release; a coat serves 4"
    assert gate("release", "ply-1", worn).holds is False
    plans = replace(worn, coats_last=None, pulls=("a", "b", "c"))
    assert (gate("release", "ply-1", plans).holds, gate("release", "ply-1", plans).basis) == (True, Basis.COMMON)
    assert gate("release", "ply-1", replace(plans, pulls=("a", "b", "c", "d"))).holds is False  # 3 is the plan's
    assert gate("release", "ply-1", replace(plans, pulls=("a",)), release_each=0).holds is None


def test_a_new_mould_wants_more_coats() -> None:
    new = replace(MOULD, pulls=(), coats=(("semi-permanent", 3, 0),))
    found = gate("release", "ply-1", new)
    assert (found.holds, found.what) == (False, "it is new and has 3 coats; 4 or more are wanted")
    assert gate("release", "ply-1", replace(new, coats=(("wax", 3, 0), ("wax", 1, 0)))).holds


def test_release_that_nobody_wrote_down_stops() -> None:
    assert gate("release", "ply-1", replace(MOULD, coats=())).holds is None
    assert gate("release", "ply-1", None).what == "nothing says that it is on"
