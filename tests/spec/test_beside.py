"""Jobs that lean on another's: twins and patchwork that goes on, as stated and refused."""

from pathlib import Path

import pytest

import domeshop
from bagside.errors import InputError
from bagside.spec.opening import open_job
from bagside.spec.patchwork import TileShape
from bagside.spec.twin import Reversal

TWIN = '[mirror]\nof = "../dome"\nplane = { point = "0 0 0 mm", normal = [0, 2, 0] }\n'


def twin_in(root: Path, text: str = TWIN, folder: str = "left") -> Path:
    at = root / "shop" / "jobs" / folder
    at.mkdir(parents=True, exist_ok=True)
    (at / "job.toml").write_text(text, encoding="utf-8")
    return at / "job.toml"


def messages(path: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        open_job(path)
    return [str(p) for p in caught.value.problems]


def tiled(root: Path, more: str) -> Path:
    return domeshop.written_in(root, ("[cure]\n", f"[patchwork]\n{more}\n[cure]\n"))


def test_a_twin_states_nothing_but_its_mirror(tmp_path: Path) -> None:
    right = open_job(domeshop.written_in(tmp_path))
    left = open_job(twin_in(tmp_path))
    assert left.job.name == "Dome, mirrored"
    assert left.job.quantity == right.job.quantity
    assert left.job.plies == right.job.plies
    assert left.mesh.samefile(right.mesh)
    assert left.job.mirror is not None
    assert left.job.mirror.plane.normal == (0, 1, 0)
    assert left.job.mirror.twill is Reversal.QUARTER_TURN
    assert list(left.inputs) == ["job.toml", "../dome", "workshop.toml", "dome.stl"]


def test_a_twin_may_have_its_own_name_and_quantity(tmp_path: Path) -> None:
    domeshop.written_in(tmp_path)
    left = open_job(twin_in(tmp_path, 'name = "Left"\nquantity = 7\n' + TWIN.replace("../dome", "../dome/job.toml")))
    assert (left.job.name, left.job.quantity) == ("Left", 7)


def test_anything_else_in_a_twin_is_refused(tmp_path: Path) -> None:
    domeshop.written_in(tmp_path)
    assert messages(twin_in(tmp_path, 'part = "disc"\n' + TWIN)) == [
        "job.toml, part – this is not known here (known here: mirror, name, note, quantity)"
    ]


def test_a_twin_of_nothing(tmp_path: Path) -> None:
    domeshop.written_in(tmp_path)
    assert messages(twin_in(tmp_path, TWIN.replace("dome", "dose"))) == [
        'job.toml, mirror, of: "../dose" – there is no such job, seen from this file\'s folder (did you mean "dome"?)'
    ]


def test_a_twin_of_itself_and_of_a_twin(tmp_path: Path) -> None:
    domeshop.written_in(tmp_path)
    twin_in(tmp_path)
    assert messages(twin_in(tmp_path, TWIN.replace("../dome", "../other"), "other")) == [
        'job.toml, mirror, of: "../other" – this is the job itself; another one is wanted'
    ]
    assert messages(twin_in(tmp_path, TWIN.replace("../dome", "../left"), "third")) == [
        'job.toml, mirror, of: "../left" – this job is itself a mirrored twin (state the job it is the twin of)'
    ]


def test_none_of_a_twin(tmp_path: Path) -> None:
    domeshop.written_in(tmp_path)
    assert messages(twin_in(tmp_path, "quantity = 0\n" + TWIN)) == ["job.toml, quantity: 0 – at least 1 is wanted"]


def test_cloth_with_one_resin_rich_face_is_not_turned_over(tmp_path: Path) -> None:
    job = domeshop.written_in(tmp_path)
    materials = job.parents[2] / "materials"
    materials.mkdir()
    library = Path(domeshop.__file__).parents[1] / "src" / "bagside" / "library" / "prepregs.toml"
    text = library.read_text(encoding="utf-8").split("[prepreg.twill-400]")[0].split("[prepreg.twill-200]")[1]
    own = text.replace("one_faced = false", "one_faced = true")
    (materials / "ours.toml").write_text("[prepreg.twill-200]" + own, encoding="utf-8")
    over = TWIN + 'twill = "turned over"\n'
    assert messages(twin_in(tmp_path, over)) == [
        'job.toml, mirror, twill: "turned over" – twill-200 of ply 1 has one resin-rich face, which would come to lie '
        'on the other side (state twill = "quarter turn": it reverses the diagonal with the same face out)'
    ]


def test_a_patchwork_reads_its_quantities(tmp_path: Path) -> None:
    job = open_job(tiled(tmp_path, 'shape = "hexagons"\nsize = "3 cm"\ngap = "0.5 mm"\nturn = "15°"')).job
    assert job.patchwork is not None
    assert (job.patchwork.shape, job.patchwork.ply) == (TileShape.HEXAGONS, 1)
    assert job.patchwork.size == pytest.approx(0.03)
    assert job.patchwork.smallest == pytest.approx(1e-4)


def test_what_a_patchwork_cannot_be_is_told_at_once(tmp_path: Path) -> None:
    wrong = 'ply = 9\nshape = "squares"\nsize = "30 mm"\nlength = "60 mm"\ngap = "20 mm"\noverlap = "1 mm"'
    assert messages(tiled(tmp_path, wrong)) == [
        "job.toml, patchwork, ply: 9 – a ply from 1 to 4 is wanted",
        "job.toml, patchwork: gap and overlap – tiles have one or the other, not both",
        "job.toml, patchwork, gap: 20.0 mm – at most half a cell's 30.0 mm",
        "job.toml, patchwork, length: 60 mm – only strips have a length",
    ]


def test_shape_and_size_cannot_be_guessed(tmp_path: Path) -> None:
    assert messages(tiled(tmp_path, "ply = 1")) == [
        "job.toml, patchwork, shape – this is missing and cannot be guessed",
        "job.toml, patchwork, size – this is missing and cannot be guessed",
    ]


def test_a_shape_that_does_not_fill_the_plane(tmp_path: Path) -> None:
    (told,) = messages(tiled(tmp_path, 'shape = "pentagons"\nsize = "30 mm"'))
    assert told.startswith('job.toml, patchwork, shape: "pentagons" – one of "hexagons", "triangles", "rhombs"')


GOES_ON = """[patchwork.continues]
job = "JOB"
here = ["0 0 100 mm", "30 0 95 mm"]
there = ["0 0 100 mm", "0 30 95 mm"]
"""


def test_a_patchwork_that_goes_on_from_one_that_is_none(tmp_path: Path) -> None:
    domeshop.written_in(tmp_path)
    other = tmp_path / "shop" / "jobs" / "next"
    other.mkdir()
    text = domeshop.JOB.replace("dome.stl", "../dome/dome.stl")
    (other / "job.toml").write_text(text.replace("[cure]\n", GOES_ON.replace("JOB", "../dome") + "[cure]\n"), "utf-8")
    assert messages(other / "job.toml") == [
        'job.toml, patchwork, continues, job: "../dome" – that job states no patchwork to go on from'
    ]


def test_a_patchwork_cannot_go_on_from_itself(tmp_path: Path) -> None:
    assert messages(tiled(tmp_path, GOES_ON.replace("JOB", "../dome"))) == [
        'job.toml, patchwork, continues, job: "../dome" – this is the job itself; another one is wanted'
    ]


def test_where_a_pattern_lies_is_stated_once(tmp_path: Path) -> None:
    stated = 'turn = "3°"\n' + GOES_ON.replace("JOB", "../dome")
    assert messages(tiled(tmp_path, stated))[0] == (
        "job.toml, patchwork: origin or turn beside continues – where the pattern lies follows from the part it goes "
        "on from; leave these out"
    )


def test_two_patchworks_cannot_go_on_from_each_other(tmp_path: Path) -> None:
    tiled(tmp_path, GOES_ON.replace("JOB", "../next"))
    other = tmp_path / "shop" / "jobs" / "next"
    other.mkdir()
    text = domeshop.JOB.replace("dome.stl", "../dome/dome.stl")
    (other / "job.toml").write_text(text.replace("[cure]\n", GOES_ON.replace("JOB", "../dome") + "[cure]\n"), "utf-8")
    assert messages(other / "job.toml") == [
        'job.toml, patchwork, continues, job: "../next" – this patchwork would go on from itself'
    ]
