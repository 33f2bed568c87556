"""A nest that is cut becomes events that the ledger keeps whole: cloth is conserved, kits hold each piece once."""

from __future__ import annotations

import json
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

import pytest
import shapely

from bagside.errors import InputError
from bagside.ledger.bodies import Received, Sort
from bagside.ledger.event import Event, new_event
from bagside.ledger.shop import Shop
from bagside.ledger.stock.accepting import Cutting, cutting_of, sources_of
from bagside.ledger.things import Cloth
from bagside.planning.cut_jobs import JobsCut, accepted_jobs, cut_jobs
from bagside.planning.shelf import sheet_of
from bagside.planning.stages import Stages
from bagside.records.database import Ledger
from bagside.spec.opening import open_job
from bagside.spec.stock import Offcut, Up
from tapeshop import TAPED, written_in

NOW = datetime(2026, 11, 26, 12, tzinfo=UTC)
ONE_FACED = """
[prepreg.faced]
kind = "woven"
areal_weight = "200 g/m²"
resin_content = "40 %"
fibre_density = "1.78 g/cm³"
resin_density = "1.2 g/cm³"
resin = "epoxy-120"
e1 = "60 GPa"
e2 = "60 GPa"
g12 = "4 GPa"
nu12 = "0.05"
alpha1 = "3 ppm/K"
alpha2 = "3 ppm/K"
width = "1000 mm"
out_life = "500 h"
one_faced = true
basis = { all = "common practice" }
"""
OFFCUTS = """
[[offcuts]]
name = "O-1"
material = "twill-200"
batch = "B-7"
life_used = "100 h"
outline = ["0 0 mm", "450 0 mm", "450 340 mm", "0 340 mm"]
"""


def told(body: object, k: int = 0) -> Event:
    return new_event(body, who="Ines", device="test", at=NOW.replace(second=k))  # type: ignore[arg-type]


@pytest.fixture
def ledger(tmp_path: Path) -> Ledger:
    with Ledger.opened(tmp_path) as found:
        yield found  # type: ignore[misc]


def cut_here(ledger: Ledger, *jobs: Path) -> tuple[JobsCut, Shop, Cutting, tuple[Offcut, ...]]:
    opened = [open_job(job) for job in jobs]
    first = opened[0]
    rolls = [
        Received(name=r.called, sort=Sort.ROLL, material=r.material, length=r.length, width=r.width, price=r.price)
        for r in first.workshop.stock
    ]
    offcuts = [
        Received(name=o.name, sort=Sort.OFFCUT, material=o.material, outline=o.outline, batch=o.batch, up=o.up.value)
        for o in first.stock.offcuts
    ]
    ledger.add([told(body) for body in (*rolls, *offcuts)], NOW.replace(minute=1))
    found = cut_jobs(opened, Stages(), seconds=1.0, today=NOW.date())
    change = accepted_jobs(found, int(ledger.next_name("O").removeprefix("O-")))
    shop = Shop(things=ledger.things(there=None), library=first.library, workshop=first.workshop)
    return found, shop, cutting_of(found, change, shop, ledger.next_name), change.offcuts


def test_cloth_is_conserved_and_every_piece_lies_in_its_kit_once(ledger: Ledger, tmp_path: Path) -> None:
    job = written_in(tmp_path)
    (tmp_path / "shop" / "stock.toml").write_text(OFFCUTS, encoding="utf-8")
    found, _, cutting, new = cut_here(ledger, job)
    assert set(sources_of(found.kits)) == {"O-1", "twill-200"}
    ledger.add([told(c, 1) for c in cutting.cuts], NOW.replace(minute=1))
    for balance in cutting.balances:
        assert balance.pieces > 0.0
        assert balance.waste > -1e-9
    assert sum(b.pieces for b in cutting.balances) == pytest.approx(2 * (2 * 0.12 + 0.0096))  # sheet twice, and patch
    roll, old = ledger.thing("twill-200"), ledger.thing("O-1")
    assert isinstance(roll, Cloth)
    assert isinstance(old, Cloth)
    pulled = 10.0 - roll.left
    assert pulled == pytest.approx(found.kits[0].pull, abs=1e-3)
    assert not old.there
    kept = [t for t in ledger.things(Sort.OFFCUT).values() if isinstance(t, Cloth)]
    assert sorted(k.name for k in kept) == sorted(o.name for o in new)
    area = sum(shapely.Polygon(k.outline, k.holes).area for k in kept)
    assert area + sum(b.pieces + b.waste for b in cutting.balances) == pytest.approx(1.25 * pulled + 0.45 * 0.34)
    kits = {t.name: t for t in ledger.things(Sort.KIT).values() if isinstance(t, Cloth)}
    assert sorted(kits) == ["P-1", "P-2"]
    for kit in kits.values():
        assert kit.material == "twill-200"
        labels = Counter((p.piece.label, p.piece.ply, p.piece.copy) for p in kit.pieces)
        assert labels == {("1", 1, 1): 1, ("2", 2, 1): 1, ("3", 3, 1): 1}
        assert {p.source for p in kit.pieces} <= {"O-1", "twill-200"}


def test_what_was_cut_cannot_be_cut_again(ledger: Ledger, tmp_path: Path) -> None:
    """Two who accept at once: the second finds the offcut used up, and nothing of its cut is kept."""
    job = written_in(tmp_path)
    (tmp_path / "shop" / "stock.toml").write_text(OFFCUTS, encoding="utf-8")
    found, shop, first, _ = cut_here(ledger, job)
    ledger.add([told(c, 1) for c in first.cuts], NOW.replace(minute=1))
    count = ledger.count
    change = accepted_jobs(found, int(ledger.next_name("O").removeprefix("O-")))
    second = cutting_of(found, change, shop, ledger.next_name)
    assert {k.name for k in second.kits} == {"P-3", "P-4"}
    with pytest.raises(InputError) as refused:
        ledger.add([told(c, 2) for c in second.cuts], NOW.replace(minute=1))
    (problem,) = refused.value.problems
    assert "O-1" in str(problem)
    assert ledger.count == count


def test_two_jobs_keep_the_names_that_their_pieces_have_alone(ledger: Ledger, tmp_path: Path) -> None:
    one = written_in(tmp_path)
    other = one.parents[1] / "rail"
    other.mkdir()
    (other / "job.toml").write_text(TAPED.replace('name = "Plate"', 'name = "Rear rail"'), encoding="utf-8")
    _, _, cutting, _ = cut_here(ledger, one, other)
    assert [(k.name, k.job, k.part, k.pieces) for k in sorted(cutting.kits, key=lambda k: k.name)] == [
        ("P-1", "Plate", "P 1", 3),
        ("P-2", "Plate", "P 2", 3),
        ("RR-1", "Rear rail", "RR 1", 3),
        ("RR-2", "Rear rail", "RR 2", 3),
    ]
    pieces = {(name, p.label) for cut in cutting.cuts for name, kit in cut.kits.items() for p in kit}
    assert pieces == {(kit, label) for kit in ("P-1", "P-2", "RR-1", "RR-2") for label in "123"}
    assert json.dumps([c.job for c in cutting.cuts]) == '["Plate, Rear rail"]'


def test_an_offcut_of_one_faced_cloth_is_the_same_piece_of_cloth_seen_from_its_parents_face(
    ledger: Ledger, tmp_path: Path
) -> None:
    """On the table the dry face is up; the roll is stated resin-rich face up, which what is cut from it inherits."""
    job = written_in(tmp_path)
    file = job.read_text(encoding="utf-8").replace('material = "twill-200"', 'material = "faced"')
    job.write_text(file, encoding="utf-8")
    shop_file = tmp_path / "shop" / "workshop.toml"
    shop_file.write_text(
        shop_file.read_text(encoding="utf-8").replace('material = "twill-200"', 'material = "faced"\nname = "F-1"'),
        encoding="utf-8",
    )
    (tmp_path / "shop" / "materials").mkdir()
    (tmp_path / "shop" / "materials" / "faced.toml").write_text(ONE_FACED, encoding="utf-8")
    _, shop, cutting, new = cut_here(ledger, job)
    assert new
    ledger.add([told(c, 1) for c in cutting.cuts], NOW.replace(minute=1))
    for told_by_nest in new:
        assert told_by_nest.up is Up.DRY
        kept = ledger.thing(told_by_nest.name)
        assert isinstance(kept, Cloth)
        assert kept.up == "resin-rich"
        as_planned = Offcut(name=kept.name, material="faced", outline=kept.outline, holes=kept.holes, up=Up(kept.up))
        a = shapely.Polygon(sheet_of(told_by_nest, shop.workshop, shop.library, NOW.date()).outline)
        b = shapely.Polygon(sheet_of(as_planned, shop.workshop, shop.library, NOW.date()).outline)
        moved = shapely.affinity.translate(b, a.bounds[0] - b.bounds[0], a.bounds[1] - b.bounds[1])
        assert moved.symmetric_difference(a).area < 1e-9
