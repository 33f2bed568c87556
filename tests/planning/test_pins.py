"""What is pinned stands in the layout file, outlasts other pieces, and is given up with a word when it must."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from bagside.planning.cut_jobs import JobsCut, cut_jobs
from bagside.planning.kit_stage import Room, kit_of
from bagside.planning.layouts import StoredCopy, StoredLayout
from bagside.planning.stages import Stages
from bagside.records.layout_file import read_layouts, write_layouts
from bagside.records.with_stock import opened_jobs
from tapeshop import written_in


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return written_in(tmp_path).parent


def cut(job: Path, before: Sequence[StoredLayout] = ()) -> JobsCut:
    return cut_jobs(opened_jobs([job], None), Stages(), seconds=0.0, before=before)


def pinned(layout: StoredLayout, piece: str, kit: str, x: float, y: float) -> StoredLayout:
    """The layout with one copy put somewhere by a person."""

    def put(copy: StoredCopy) -> StoredCopy:
        mine = (copy.piece, copy.kit) == (piece, kit)
        return replace(copy, turn=0.0, x=x, y=y, pinned=True) if mine else copy

    return replace(layout, cloths=tuple(replace(c, copies=tuple(map(put, c.copies))) for c in layout.cloths))


def copy_of(layout: StoredLayout, piece: str, kit: str) -> StoredCopy:
    (found,) = (c for cloth in layout.cloths for c in cloth.copies if (c.piece, c.kit) == (piece, kit))
    return found


def test_a_pin_is_written_and_read_back_and_none_leaves_the_file_as_it_was(job: Path) -> None:
    (layout,) = cut(job).layouts(cut=False)
    write_layouts(job, [layout])
    assert "pinned" not in (job / "layout.json").read_text(encoding="utf-8")
    (old,) = read_layouts(job)
    assert old == layout
    write_layouts(job, [pinned(layout, "2", "1", 0.9, 0.2)])
    (read,) = read_layouts(job)
    assert copy_of(read, "2", "1").pinned
    stated = json.loads((job / "layout.json").read_text(encoding="utf-8"))
    copies = [c for cloth in stated["layouts"][0]["cloths"] for c in cloth["copies"]]
    assert sum(c.get("pinned", False) for c in copies) == 1


def test_when_other_pieces_change_what_is_pinned_stays(job: Path) -> None:
    (layout,) = cut(job).layouts(cut=False)
    file = job / "job.toml"
    file.write_text(file.read_text(encoding="utf-8").replace('"120 80 mm"', '"130 80 mm"', 1), encoding="utf-8")
    far = pinned(layout, "1", "2", 2.0, 0.4)
    found = cut(job, [far])
    (stored,) = found.layouts(cut=False)
    stays = copy_of(stored, "1", "2")
    assert (stays.x, stays.y, stays.turn, stays.pinned) == (2.0, 0.4, 0.0, True)
    assert sum(c.pinned for cloth in stored.cloths for c in cloth.copies) == 1
    whats = [f.what for f in found.kits[0].findings]
    assert "it was nested anew" in whats
    assert "what was pinned does not stay where it was put" not in whats
    (again,) = cut(job, [stored]).layouts(cut=False)
    assert again == stored  # and now it can be cut so: nothing is searched for


def test_what_can_not_stay_is_given_up_and_said(job: Path) -> None:
    (layout,) = cut(job).layouts(cut=False)
    off = pinned(layout, "1", "2", -1.0, 0.1)
    found = cut(job, [off])
    (stored,) = found.layouts(cut=False)
    assert not any(c.pinned for cloth in stored.cloths for c in cloth.copies)
    (said,) = [f for f in found.kits[0].findings if f.what.startswith("what was pinned")]
    assert "piece 1 of kit 2" in said.why


def test_nesting_anew_keeps_the_pins_and_refuses_what_nothing_fits_round(job: Path) -> None:
    from datetime import date

    from bagside.errors import InputError

    found = cut(job)
    (layout,) = found.layouts(cut=False)
    (opened,) = opened_jobs([job], None)
    room = Room(workshop=opened.workshop, library=opened.library, stock=opened.stock, today=date.today())
    pieces = found.jobs[0][1]
    put = pinned(layout, "1", "1", 1.5, 0.4)
    kit = kit_of(pieces, room, Stages(), 0.0, put, anew=True)
    assert kit.stored is not None
    assert copy_of(kit.stored, "1", "1").x == 1.5
    assert kit.pull > 1.5
    assert kit.findings == ()
    with pytest.raises(InputError, match="piece 1 of kit 1"):
        kit_of(pieces, room, Stages(), 0.0, pinned(layout, "1", "1", -0.5, 0.4), anew=True)
