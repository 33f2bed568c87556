"""A material of one's own: generic to begin with, each typed value with its unit checked and its basis kept."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
import tomlkit

from bagside.errors import InputError
from bagside.findings import Basis
from bagside.quantity import Quantity
from bagside.spec import workshop as spec
from bagside.spec.library import Library, generic_library, workshop_library
from bagside.spec.material import Prepreg
from bagside.spec.reading import stated_from
from bagside.web.founding.material_text import KINDS, TYPED, based, generic_tables, material_text, where
from bagside.web.parts.lists import ON_A_LINE, read_line
from bagside.web.parts.stated import Sort, checked, stated_fields
from bagside.web.words.catalogue import LANGUAGES
from bagside.web.words.tongue import Tongue


def own(text: str) -> Library:
    return stated_from(tomllib.loads(text), Library, "own.toml")


@pytest.mark.parametrize("kind", TYPED)
def test_a_new_one_is_its_generic_one_under_another_name(kind: str) -> None:
    for like in generic_tables()[kind]:
        found = getattr(own(material_text(kind, "mine", like, "Sheet 3")), kind)["mine"]
        generic = getattr(generic_library(), kind)[like]
        for one in stated_fields(KINDS[kind]):
            if one.name != "basis":
                assert getattr(found, one.name) == getattr(generic, one.name)
        assert found.basis.of("anything") is Basis.COMMON
        assert found.basis.source == f"Sheet 3; the rest as {like}"


def test_a_typed_value_rests_on_the_sheet_and_the_others_do_not() -> None:
    document: Any = tomlkit.parse(material_text("prepreg", "mine", "twill-200", ""))
    document["prepreg"]["mine"]["areal_weight"] = "245 g/m²"
    based(document, "prepreg", "mine", "areal_weight", Basis.DATA_SHEET)
    based(document, "prepreg", "mine", "width", Basis.MEASURED)
    cloth = own(tomlkit.dumps(document)).prepreg["mine"]
    assert cloth.areal_weight == pytest.approx(0.245)
    assert [cloth.basis.of(f) for f in ("areal_weight", "width", "e1")] == [
        Basis.DATA_SHEET, Basis.MEASURED, Basis.COMMON,
    ]  # fmt: skip
    based(document, "prepreg", "mine", "areal_weight", Basis.COMMON)
    based(document, "prepreg", "mine", "width", Basis.COMMON)
    assert "but" not in own(tomlkit.dumps(document)).prepreg["mine"].basis.but
    assert "but" not in tomllib.loads(tomlkit.dumps(document))["prepreg"]["mine"]["basis"]


def test_what_is_not_in_the_library_cannot_be_begun_from() -> None:
    with pytest.raises(InputError, match="there is no such material in the library"):
        material_text("prepreg", "mine", "silk", "")


def test_its_file_is_found_by_what_it_holds() -> None:
    tables = {"a.toml": {"prepreg": {"mine": {}}}, "b.toml": {"tool": {"mine": {}}}}
    assert where(tables, "tool", "mine") == "b.toml"
    assert where(tables, "film", "mine") == ""


def test_it_wins_over_the_generic_one(tmp_path: Path) -> None:
    (tmp_path / "materials").mkdir()
    text = material_text("tool", "mdf", "steel", "")
    (tmp_path / "materials" / "mdf.toml").write_text(text, encoding="utf-8")
    assert workshop_library(tmp_path).tool["mdf"].limit == generic_library().tool["steel"].limit


def test_what_may_be_typed_is_read_off_the_classes() -> None:
    kinds = {one.name: (one.sort, one.kind) for one in stated_fields(Prepreg)}
    assert kinds["areal_weight"] == (Sort.AMOUNT, Quantity.AREAL_WEIGHT)
    assert kinds["locking_angle"] == (Sort.AMOUNT, Quantity.ANGLE)  # one that may be missing
    assert kinds["kind"] == (Sort.CHOICE, None)
    assert kinds["one_faced"] == (Sort.FLAG, None)
    assert kinds["films"] == (Sort.WHOLE, None)
    musts = {one.name for one in stated_fields(spec.Oven) if one.must}
    assert musts == {"hottest", "heating", "cooling", "lag", "spread", "film_bag", "film_tool", "power", "loss"}
    gap = next(one for one in stated_fields(spec.CuttingTable) if one.name == "gap")
    assert gap.default == 0.005


def test_no_two_kinds_of_amount_have_the_same_example() -> None:
    """By its example the kind of a field's amount is told."""
    examples = [kind.value.example for kind in Quantity]
    assert len(examples) == len(set(examples))


def test_a_value_that_a_field_does_not_take_is_refused_as_its_reader_says() -> None:
    wanted = {one.name: one.wanted for one in stated_fields(Prepreg)}
    checked("200 g/m²", wanted["areal_weight"])
    with pytest.raises(InputError, match="must be more than zero"):
        checked("0 g/m²", wanted["areal_weight"])
    with pytest.raises(InputError):
        checked("knitted", wanted["kind"])


@pytest.mark.parametrize("name", sorted(ON_A_LINE))
def test_several_values_stand_on_a_line_and_come_back(name: str) -> None:
    way = ON_A_LINE[name]
    value = way.read(way.example)
    assert way.read(way.shown(value)) == value


def test_a_line_that_cannot_be_read_says_how_one_looks() -> None:
    with pytest.raises(InputError) as refused:
        read_line("lives", "30 day", Tongue())
    assert refused.value.problems[0].wanted == "“30 day” cannot be read; as in 30 day at 21 °C; 6 day at 30 °C"


def test_every_field_has_a_name_in_every_language() -> None:
    for language in LANGUAGES:
        say = Tongue(language=language).say
        for kind, cls in KINDS.items():
            assert say(f"materials.kind_{kind}")
            assert say(f"materials.main_{kind}")
            for one in stated_fields(cls):
                assert one.name == "basis" or say(f"materials.f_{one.name}")
        groups = {"room": spec.Room, "oven": spec.Oven, "pump": spec.Pump, "table": spec.CuttingTable,
                  "offcuts": spec.OffcutRule, "hours": spec.Hours, "times": spec.Times, "prices": spec.Prices,
                  "stock": spec.Roll, "offers": spec.Offer, "equipment": spec.Equipment,
                  "controller": spec.Controller}  # fmt: skip
        for one in stated_fields(spec.Workshop):
            assert one.sort is Sort.OTHER or say(f"workshop.{one.name}")
        for group, cls in groups.items():
            for one in stated_fields(cls):
                if one.name != "controller":
                    assert say(f"workshop.{group}_{one.name}")
