"""The library's values have a basis each, and its generic prepregs agree with the trade's table of ply thickness."""

import pytest

from bagside.spec.library import Library, generic_library, generic_times, lookup
from bagside.spec.material import Prepreg
from bagside.spec.workshop import Times


def test_every_material_reads_and_has_a_basis() -> None:
    library = generic_library()
    for kind in Library.__dataclass_fields__:
        table = getattr(library, kind)
        assert table, f"no {kind} in the library"
        for name, material in table.items():
            assert material.basis.all, name
            assert material.basis.source, f"{kind} {name} does not say where its values are from"
            for field in material.basis.but:
                assert field in type(material).__dataclass_fields__, f"{name}: {field} is not a field"


def test_every_prepreg_names_a_resin_of_the_library() -> None:
    library = generic_library()
    for name, prepreg in library.prepreg.items():
        assert prepreg.resin in library.resin, name


def test_every_time_is_stated() -> None:
    times = generic_times()
    assert [f for f in Times.__dataclass_fields__ if getattr(times, f) is None] == []


@pytest.mark.published("trade table of ply arithmetic: fibre 1.78, resin 1.22 g/cm³, no bleed (calculated there)")
@pytest.mark.parametrize(
    ("name", "millimetres", "prepreg_weight"),
    [("twill-200", 0.23, 345), ("twill-400", 0.43, 645), ("uni-150", 0.15, 234)],
)
def test_weights_give_the_tabled_thickness(name: str, millimetres: float, prepreg_weight: float) -> None:
    p: Prepreg = generic_library().prepreg[name]
    resin = p.areal_weight * p.resin_content / (1 - p.resin_content)
    assert 1e3 * (p.areal_weight / p.fibre_density + resin / p.resin_density) == pytest.approx(millimetres, abs=0.005)
    assert 1e3 * (p.areal_weight + resin) == pytest.approx(prepreg_weight, abs=0.5)


def test_an_unknown_material_gets_a_near_match() -> None:
    problems = lookup(generic_library().prepreg, "twil-200", "job.toml, ply 3, material", "prepreg")
    assert [str(p) for p in problems] == [
        'job.toml, ply 3, material: "twil-200" – there is no prepreg of this name in this workshop '
        '(did you mean "twill-200"?)'
    ]


def test_what_one_caller_does_to_its_tables_no_other_sees() -> None:
    mine = generic_library()
    del mine.prepreg["twill-200"]
    mine.resin.clear()
    other = generic_library()
    assert "twill-200" in other.prepreg
    assert other.resin
