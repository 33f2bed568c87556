"""Builds that are laid from kits the ledger knows, two at a time, on a mould that counts its pulls."""

from __future__ import annotations

from datetime import datetime

import pytest

from bagside.cli.app import outcome
from bagside.ledger.bodies import Laid, Received, Sort
from bagside.ledger.things import Cloth
from bagside.records.database import Ledger
from buildshop import Floor
from tapeshop import TAPED, written_in


@pytest.fixture(scope="module")
def plates(tmp_path_factory: pytest.TempPathFactory) -> Floor:
    """Two plates begun on one mould, their kits cut from a roll of the ledger; by the machine's own clock."""
    job = written_in(tmp_path_factory.mktemp("plates"), job=TAPED)
    folder = job.parents[2]
    floor = Floor(folder=folder, now=datetime.now().astimezone(), real=True)
    assert outcome(["stock", "begin", "--workshop", str(folder), "--who", "Ann"]) == 0
    assert outcome(["cut", str(job), "--accept", "--workshop", str(folder)]) == 0
    floor.keeps(Received(name="M-3", sort=Sort.MOULD, material="carbon-epoxy"))
    floor("begin", job, "--mould", "m3")
    floor("begin", "plate")
    return floor


def test_serials_and_parts_follow_each_other_and_the_mould_stays(plates: Floor) -> None:
    year = f"{datetime.now():%y}"
    found = plates.data("list")["builds"]
    assert [(b["build"], b["number"], b["mould"]) for b in found] == [
        (f"P{year}-1", 1, "M-3"), (f"P{year}-2", 2, "M-3"),
    ]  # fmt: skip
    assert plates.refused("begin", "plate") == (
        "--number – every part of Plate has been begun: it makes 2 (raise quantity in job.toml, or state the part that "
        "is made again)"
    )
    assert '--serial: "M-3" – this name is taken' in plates.refused("begin", "plate", "--number", 1, "--serial", "M-3")
    assert plates.refused("begin", "plate", "--number", 3, code=2).endswith("this job makes parts 1 to 2")
    assert 'JOB: "plat-form" – there is no such file, and no such job in the workshop' in plates.refused(
        "begin", "plat-form"
    )


def test_steps_of_the_whole_batch_are_finished_for_several_parts_at_once(plates: Floor) -> None:
    name = plates.data("list")["builds"][0]["build"][:-2]
    plates("start", f"{name}-1,{name}-2", "thaw")
    said = plates("finish", f"{name}-1,{name}-2", "thaw", "--tick", "all")
    assert said.startswith(f"{name}-1, {name}-2: 1 Thaw the cloth, sealed – done")
    running = [b["running"] for b in plates.data("list")["builds"]]
    assert running == [[], []]
    assert [b["steps_done"] for b in plates.data("list")["builds"]] == [1, 1]


def test_what_is_laid_comes_out_of_the_kit_of_its_part(plates: Floor) -> None:
    name = plates.data("list")["builds"][0]["build"]
    with Ledger.opened(plates.folder) as ledger:
        kits = sorted(ledger.names(Sort.KIT))
    assert len(kits) == 2
    found = plates.data("gates", 1, "--step", "ply-1", code=-1)
    for gate in (g["key"] for g in found["gates"] if g["stops"]):
        plates("pass", name, gate, "--step", "ply-1", "--by", "Ben", "--why", "both looked")
    said = plates("lay", 1, 1, "--films", 2, code=-1)
    assert f"ply 1 laid out of {kits[0]}, 2 films off" in said
    with Ledger.opened(plates.folder) as ledger:
        kit = ledger.thing(kits[0])
    assert isinstance(kit, Cloth)
    assert [(p.piece.label, p.laid_in) for p in kit.pieces if p.laid_in] == [("1", name)]
    other = plates.refused("lay", 1, 2, "--films", 2, "--kit", "nothing")
    assert other == f'--kit: "nothing" – there is no such kit, or all of it is laid (known here: {", ".join(kits)})'


def test_a_correction_frees_the_piece_of_its_kit(plates: Floor) -> None:
    plates.keeps(
        Laid(build=plates.data("list")["builds"][1]["build"], ply=1, piece="1", films=2, kit=_kits(plates)[1]),
    )
    tick = plates.data("show", 2, code=-1)["plies"][0]["ticks"][0]["event"]
    plates("correct", tick[:10], "--void", "--why", "it was part 1")
    assert plates.data("show", 2, code=-1)["plies"][0]["ticks"] == []
    with Ledger.opened(plates.folder) as ledger:
        kit = ledger.thing(_kits(plates)[1])
    assert isinstance(kit, Cloth)
    assert [p.laid_in for p in kit.pieces] == [""] * 3
    assert "it never happened" in plates("show", 2, "--history")
    assert plates.refused("correct", tick[:10], "--why", "x") == (
        'NAME=VALUE – say what is different, as in "films=2", --when or --void'
    )
    assert plates.refused("correct", "zzz", "--void", "--why", "x") == (
        'EVENT: "zzz" – the id of an event is wanted, six letters of it or more (--history shows them)'
    )


def _kits(floor: Floor) -> list[str]:
    with Ledger.opened(floor.folder) as ledger:
        return sorted(ledger.names(Sort.KIT))


def test_a_build_is_meant_by_its_number_and_by_nothing_that_could_be_two(plates: Floor) -> None:
    names = [b["build"] for b in plates.data("list")["builds"]]
    assert plates.refused("finish", "P", "--tick", "all") == (
        f'BUILD: "P" – it may be {names[0]} or {names[1]}; type one more letter'
    )
    assert plates.data("show", "p2", code=-1)["build"] == names[1]
    assert plates.data("show", "2", code=-1)["build"] == names[1]


def test_a_step_is_meant_by_its_beginning(plates: Floor) -> None:
    assert "it may be ply-1, ply-2 or ply-3; type one more letter" in plates.refused("start", 1, "ply")
    name = f"P{datetime.now():%y}-1"
    assert plates.refused("start", 1, "wash").startswith(f'STEP: "wash" – no step of {name} is called so (')
    assert plates.refused("start", 1, "99") == f"STEP: 99 – {name} has steps 1 to {_steps(plates)}"


def _steps(floor: Floor) -> int:
    return int(floor.data("list")["builds"][0]["steps"])
