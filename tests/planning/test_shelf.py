"""The cloth there is: what was taken is gone, what is too old is left out, offcuts lie the way they are cut."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from bagside.planning.cutting_room import initials
from bagside.planning.shelf import Shelf, shelf
from bagside.spec.library import Library, generic_library
from bagside.spec.opening import Opened, open_job
from bagside.spec.stock import Offcut, Stock, Taken, Up, Used
from bagside.spec.workshop import Roll
from tapeshop import written_in

TODAY = date(2026, 11, 26)
CORNERS = ((0.0, 0.0), (0.4, 0.0), (0.4, 0.3), (0.1, 0.3))


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Opened:
    return open_job(written_in(tmp_path_factory.mktemp("shelf")))


def offcut(**more: object) -> Offcut:
    stated: dict[str, object] = {"name": "O-1", "material": "twill-200", "outline": CORNERS, "batch": "B"}
    return Offcut(**{**stated, **more})  # type: ignore[arg-type]


def on_shelf(opened: Opened, stock: Stock, library: Library | None = None, rolls: tuple[Roll, ...] = ()) -> Shelf:
    workshop = replace(opened.workshop, stock=rolls or opened.workshop.stock)
    return shelf("twill-200", workshop, stock, library or opened.library, TODAY)


def test_what_was_taken_is_gone(opened: Opened) -> None:
    taken = (Taken(roll="twill-200", length=2.5), Taken(roll="twill-200", length=1.0), Taken(roll="other", length=3.0))
    assert on_shelf(opened, Stock(taken=taken)).rolls[0].length == pytest.approx(6.5)
    assert on_shelf(opened, Stock(taken=(Taken(roll="twill-200", length=10.0),))).rolls == ()


def test_the_day_and_the_hours_are_both_limits(opened: Opened) -> None:
    life = generic_library().prepreg["twill-200"].out_life
    found = on_shelf(
        opened,
        Stock(
            offcuts=(
                offcut(name="last day today", use_by=TODAY),
                offcut(name="a day over", use_by=date(2026, 11, 25)),
                offcut(name="hours over", life_used=life),
                offcut(name="cut from"),
            ),
            used=(Used(offcut="cut from"),),
        ),
    )
    assert [o.offcut.name for o in found.offcuts] == ["last day today"]
    assert [f.place for f in found.findings] == ["offcut a day over", "offcut hours over"]
    assert found.offcut("last day today").sheet.batch == "B"
    with pytest.raises(KeyError):
        found.offcut("a day over")


def test_a_roll_past_its_day_is_not_cut(opened: Opened) -> None:
    roll = replace(opened.workshop.stock[0], use_by=date(2026, 1, 1))
    found = on_shelf(opened, Stock(), rolls=(roll,))
    assert found.rolls == ()
    assert "its last day was 2026-01-01" in found.findings[0].why


def test_an_old_or_narrow_offcut_counts_for_less(opened: Opened) -> None:
    def worth(**more: object) -> float:
        return on_shelf(opened, Stock(offcuts=(offcut(**more),))).offcuts[0].sheet.worth

    fresh = worth(made=TODAY)
    assert 0.0 < fresh <= 0.5
    assert worth(made=date(2026, 5, 30)) == pytest.approx(fresh / 2, rel=1e-6)  # 180 days
    assert worth(made=TODAY, life_used=0.5 * 720 * 3600) == pytest.approx(fresh / 2, rel=1e-6)
    assert worth(made=TODAY, outline=((0.0, 0.0), (1.0, 0.0), (1.0, 0.03), (0.0, 0.03))) == 0.0


def test_cloth_with_one_rich_face_lies_with_it_down(opened: Opened) -> None:
    cloth = opened.library.prepreg["twill-200"]
    library = replace(opened.library, prepreg={"twill-200": replace(cloth, one_faced=True)})
    pair = (offcut(name="rich", up=Up.RICH), offcut(name="dry", up=Up.DRY))
    rich, dry = (o.sheet.outline for o in on_shelf(opened, Stock(offcuts=pair), library).offcuts)
    assert {tuple(p) for p in dry.tolist()} == {tuple(p) for p in np.array(CORNERS).tolist()}
    assert {tuple(p) for p in rich.tolist()} == {tuple(p) for p in (np.array(CORNERS) * [1.0, -1.0]).tolist()}


def test_short_names_are_all_different() -> None:
    names = ["Day-hatch lid", "Right thigh brace", "Rear toggle block", "ribbed toe-board", "–"]
    assert initials(names) == ("DHL", "RTB", "RTB2", "RTB3", "J")
