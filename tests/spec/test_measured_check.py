"""A part without a surface: what must be stated of it, and what cannot be, each in one sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from bagside.errors import InputError
from bagside.spec.measured import Measured, Place
from bagside.spec.opening import open_job
from tapeshop import MESHED, TAPED, written_in


def problems(root: Path, *changes: tuple[str, str], job: str = TAPED) -> list[str]:
    with pytest.raises(InputError) as caught:
        open_job(written_in(root, *changes, job=job))
    return [str(p) for p in caught.value.problems]


def test_a_good_job_has_no_mesh(tmp_path: Path) -> None:
    opened = open_job(written_in(tmp_path))
    assert opened.mesh is None
    assert "job.toml" in opened.inputs
    assert opened.job.measured is not None


SIZES = TAPED[TAPED.index("[measured]") : TAPED.index("[templates.sheet]")]


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        (
            ((SIZES, ""),),
            "job.toml, measured – this part has neither a mesh nor sizes "
            '(state size = "380 260 mm" and its places under [measured], or mesh under [mould])',
        ),
        (
            (('part = "plate"', 'part = "plat"'),),
            'job.toml, part: "plat" – there is no place of this name under [measured.places] (did you mean "plate"?)',
        ),
        (
            (('edge = "1320 mm"\n', ""),),
            "job.toml, place plate, edge – the length of the finished part's edge is wanted, for trimming "
            "(lay a string round it)",
        ),
        (
            (('of = "plate"', 'of = "plato"'),),
            'job.toml, place pad, of: "plato" – there is no place of this name (did you mean "plate"?)',
        ),
        (
            (('region = "pad"', 'region = "paad"'),),
            'job.toml, ply 2, region: "paad" – there is no place of this name under [measured.places] '
            '(did you mean "pad"?)',
        ),
        (
            (('edge = "1320 mm"\n', 'edge = "1320 mm"\nof = "pad"\n'),),
            'job.toml, place plate, of: "pad" – it would lie within itself: "plate" within "pad" within "plate" '
            "(leave of out for the outermost)",
        ),
        (
            (('of = "plate"', 'of = "pad"'),),
            'job.toml, place pad, of: "pad" – it would lie within itself: "pad" within "pad" '
            "(leave of out for the outermost)",
        ),
        (
            (('of = "plate"\n', ""),),
            "job.toml, place pad, area: 96 cm² – it lies over the whole part, which is 1\u2009064 cm² "
            '(state of = "plate" when it lies within it)',
        ),
        (
            (('area = "96 cm²"', 'area = "1100 cm²"'),),
            "job.toml, place plate, area: 1\u2009064 cm² – the places within it (pad) are 1\u2009100 cm² together "
            "(a place that lies on another one states that one with of)",
        ),
        (
            (('templates = ["patch"]\n', ""),),
            "job.toml, ply 2, templates – nothing says what it is cut from: without a surface there is no draping "
            '(state templates = ["NAME"] and the shape under [templates.NAME])',
        ),
        (
            (('templates = ["patch"]', 'templates = ["patch"]\npieces = "auto"'),),
            'job.toml, ply 2, pieces: "auto" – this ply is cut from cards and is not draped '
            "(leave it out; a ply in several pieces is cut from several templates)",
        ),
        (
            (("[measured]\n", '[regions.rim]\nnear = { edge = true, distance = "9 mm" }\n[measured]\n'),),
            "job.toml, region rim – only a mould's surface could make use of this "
            "(state it as a place under [measured.places])",
        ),
        (
            (("[measured]\n", '[lines.seam]\npoints = ["0 0 0 mm", "1 0 0 mm"]\n[measured]\n'),),
            "job.toml, line seam – only a mould's surface could make use of this "
            "(leave it out, or state the mould's mesh)",
        ),
        (
            (('thickness = "5 mm"\n', 'thickness = "5 mm"\nnoise = "0.1 mm"\n'),),
            "job.toml, mould, noise – only a mould's surface could make use of this "
            "(leave it out, or state the mould's mesh)",
        ),
        (
            (("[measured]\n", '[laying]\nstart = "9 0 0 mm"\n[measured]\n'),),
            "job.toml, laying, start – only a mould's surface could make use of this "
            "(leave it out, or state the mould's mesh)",
        ),
        (
            (('name = "foot"\n', 'name = "foot"\nat = "9 0 0 mm"\n'),),
            "job.toml, bracket foot, at – only a mould's surface could make use of this "
            "(leave it out; a place of the same name says what lies under it)",
        ),
        (
            (("[measured]\n", '[patchwork]\nply = 1\nshape = "squares"\nsize = "40 mm"\n[measured]\n'),),
            "job.toml, patchwork – only a mould's surface could make use of this "
            "(state each tile as a template, or the mould's mesh)",
        ),
    ],
)
def test_each_problem_is_one_sentence(tmp_path: Path, changes: tuple[tuple[str, str], ...], told: str) -> None:
    assert problems(tmp_path, *changes) == [told]


def test_an_area_without_its_unit_is_told_at_its_place(tmp_path: Path) -> None:
    assert problems(tmp_path, ('area = "96 cm²"', "area = 96")) == [
        'job.toml, measured, place pad, area – 96 has no unit; a number with a unit is wanted, as in "0.12 m²"'
    ]
    assert problems(tmp_path, ('area = "96 cm²"', 'area = "0 cm²"')) == [
        'job.toml, measured, place pad, area – "0 cm²" must be more than zero'
    ]


def test_a_mirrored_twin_is_refused(tmp_path: Path) -> None:
    other = written_in(tmp_path).parent.parent / "twin"
    other.mkdir()
    twin = '[mirror]\nof = "../plate"\nplane = { point = "0 0 0 mm", normal = [0, 1, 0] }\n'
    (other / "job.toml").write_text(twin, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        open_job(other)
    assert [str(p) for p in caught.value.problems] == [
        "job.toml, mirror – only a mould's surface could make use of this "
        "(copy the job and turn its templates over, or state the mould's mesh)"
    ]


def test_sizes_beside_a_mesh_would_go_unused(tmp_path: Path) -> None:
    told = problems(tmp_path, ("[laying]", '[measured]\nsize = "400 300 mm"\n[laying]'), job=MESHED + CARDS)
    assert told == [
        "job.toml, measured: sizes beside a mesh – the mesh says all this, and one of the two would go unused "
        "(leave out [measured], or mould.mesh)"
    ]


CARDS = TAPED[TAPED.index("[templates.sheet]") : TAPED.index("[[holes]]")]


def test_a_card_beside_a_mesh_is_not_draped(tmp_path: Path) -> None:
    told = problems(
        tmp_path, ('templates = ["patch"]', 'templates = ["patch"]\nstart = "0 0 0 mm"'), job=MESHED + CARDS
    )
    assert told == [
        "job.toml, ply 2, start – this ply is cut from cards and is not draped "
        "(leave it out; a ply in several pieces is cut from several templates)"
    ]


def nested() -> Measured:
    """Return a plate of 10 with a pad of 4 on which lies a boss of 1, all [m²], and 12 laid up."""
    return Measured(
        size=(4.0, 3.0),
        places={
            "laid": Place(area=12.0),
            "plate": Place(area=10.0, edge=13.0),
            "pad": Place(area=4.0, of="plate"),
            "boss": Place(area=1.0, of="pad"),
            "rim": Place(area=2.0, of="laid"),
        },
    )


def test_places_on_places() -> None:
    measured = nested()
    assert measured.whole("plate") == {"laid", "plate"}
    assert measured.laid("plate").area == 12.0
    assert measured.bare_of_others("plate") == {"plate": 4.0, "pad": 3.0, "boss": 1.0, "rim": 2.0}
    assert sum(measured.bare_of_others("plate").values()) == 10.0
    assert measured.covering("pad", "plate") == {"pad", "boss"}
    assert measured.covering("everything", "plate") == measured.covering("laid", "plate") == set(measured.places)
    assert measured.outwards("boss") == ("boss", "pad", "plate")


def test_a_part_within_what_is_laid_up_may_say_so() -> None:
    places = {"laid": Place(area=12.0), "plate": Place(area=10.0, edge=13.0, of="laid")}
    assert Measured(size=(4.0, 3.0), places=places).whole("plate") == {"laid", "plate"}
