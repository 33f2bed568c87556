"""Card templates as flat pieces: turned to the warp, labelled, counted, the right hand up."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.geometry import loop_area
from bagside.planning.as_cut import may_flip
from bagside.planning.labels import piece_labels
from bagside.planning.template_stage import FlatTemplate, template_findings, template_loops, template_pieces
from bagside.spec.job import Job
from bagside.spec.library import generic_library
from bagside.spec.material import ClothKind
from bagside.spec.opening import open_job
from bagside.spec.template import Card, CutFrom, Template
from tapeshop import TAPED, written_in

LIBRARY = generic_library()
SHAPE = ((0.0, 0.0), (0.3, 0.0), (0.3, 0.02), (0.0, 0.1))  # seen from the laminate side: no mirror image of itself


@pytest.fixture(scope="module")
def taped(tmp_path_factory: pytest.TempPathFactory) -> Job:
    return open_job(written_in(tmp_path_factory.mktemp("shop"), job=TAPED)).job


def drawn(folder: Path, *circles: tuple[float, str], arrow: float | None = None, units: int = 4) -> Path:
    whole = ezdxf.new("R2010", units=units)
    for k, (radius, layer) in enumerate(circles):
        whole.modelspace().add_circle((300 * k, 0), radius, dxfattribs={"layer": layer})
    if arrow is not None:
        to = (20 * math.cos(arrow), 20 * math.sin(arrow))
        whole.modelspace().add_line((0, 0), to, dxfattribs={"layer": "warp"})
    whole.saveas(folder / "card.dxf")
    return folder / "card.dxf"


def cut_from(
    taped: Job,
    *templates: Template,
    angle: float = 0.0,
    material: str = "twill-200",
    copies: int = 1,
    show: bool = True,
) -> Job:
    """Return the taped job with one ply, cut from these templates."""
    named = {f"t{k}": template for k, template in enumerate(templates)}
    cuts = tuple(CutFrom(template=name, copies=copies) for name in named)
    ply = replace(taped.plies[0], material=material, angle=angle, templates=cuts)
    return replace(taped, templates=named, plies=(ply,), laying=replace(taped.laying, show=show))


def refused(template: Template, folder: Path) -> str:
    with pytest.raises(InputError) as caught:
        template_loops(template, folder, "job.toml, template rim")
    return str(caught.value)


@pytest.mark.parametrize(
    ("template", "area", "count"),
    [
        (Template(shape=Card.RECTANGLE, size=(0.3, 0.1)), 0.03, 1),
        (Template(shape=Card.STRIP, size=(0.3, 0.02), corner=0.01), 0.3 * 0.02 - (4 - math.pi) * 1e-4, 1),
        (Template(shape=Card.DISC, diameter=0.08), math.pi * 0.0016, 1),
        (Template(shape=Card.RING, diameter=0.08, hole=0.02), math.pi * (0.0016 - 0.0001), 2),
        (Template(shape=Card.GUSSET, size=(0.06, 0.04)), 0.0012, 1),
        (Template(points=SHAPE), 0.3 * 0.06, 1),
        (Template(points=SHAPE, holes=(((0.1, 0.01), (0.11, 0.01), (0.1, 0.03)),)), 0.3 * 0.06 - 0.0001, 2),
    ],
)
def test_stated_shapes_have_their_area(template: Template, area: float, count: int, tmp_path: Path) -> None:
    made = template_loops(template, tmp_path, "job.toml, template rim")
    assert len(made.loops) == count
    assert sum(abs(loop_area(loop)) * (1 if k == 0 else -1) for k, loop in enumerate(made.loops)) == pytest.approx(
        area, rel=2e-3
    )
    assert made.warp is None
    assert made.findings == ()


@settings(max_examples=20, deadline=None)
@given(st.floats(-3.2, 3.2))
def test_the_piece_lies_with_its_warp_along_x_as_seen_from_the_laminate_side(taped: Job, angle: float) -> None:
    job = cut_from(taped, Template(points=SHAPE), angle=angle)
    (piece,) = template_pieces(2, job.plies[0], job, Path(), LIBRARY)
    # A point of the part in direction `angle` from another lies straight on along the warp: x of the piece.
    loop, shape = piece.loops[0], np.array(SHAPE)
    along = shape @ [math.cos(angle), math.sin(angle)]
    left = shape @ [-math.sin(angle), math.cos(angle)]
    wanted = np.stack([along, left], axis=1)
    assert min(np.abs(np.roll(loop, k, axis=0) - wanted).max() for k in range(4)) < 1e-12
    assert loop_area(loop) > 0  # not turned over


def test_labels_copies_and_kits(taped: Job) -> None:
    job = replace(
        cut_from(taped, Template(points=SHAPE), Template(shape=Card.DISC, diameter=0.05), copies=3), quantity=2
    )
    pieces = template_pieces(4, job.plies[0], job, Path(), LIBRARY)
    assert [p.label for p in pieces] == ["4A", "4B"]
    assert {p.quantity for p in pieces} == {6}
    assert pieces[0].kits == ("1", "1", "1", "2", "2", "2")
    assert [p.ply for p in pieces] == [4, 4]
    assert piece_labels(4, 1) == ("4",)
    assert piece_labels(1, 28)[-2:] == ("1AA", "1AB")


def test_a_plain_shape_is_laid_by_the_cross_in_its_middle_where_it_has_one(taped: Job) -> None:
    shapes = (Template(shape=Card.DISC, diameter=0.05), Template(shape=Card.RING, diameter=0.05, hole=0.01))
    job = cut_from(taped, *shapes, Template(points=SHAPE), Template(shape=Card.GUSSET, size=(0.05, 0.05)))
    pieces = template_pieces(2, job.plies[0], job, Path(), LIBRARY)
    assert [p.marks for p in pieces] == [(("start", (0.0, 0.0)),), (), (), ()]


def test_the_first_ply_shows_unless_nothing_is_seen(taped: Job) -> None:
    job = cut_from(taped, Template(points=SHAPE))
    assert [template_pieces(n, job.plies[0], job, Path(), LIBRARY)[0].visible for n in (1, 2)] == [True, False]
    hidden = cut_from(taped, Template(points=SHAPE), show=False)
    (piece,) = template_pieces(1, hidden.plies[0], hidden, Path(), LIBRARY)
    assert not piece.visible


@pytest.mark.parametrize(
    ("material", "hidden"),
    [("twill-200", True), ("plain-200", True), ("satin-280", False), ("uni-150", False), ("biax-300", False)],
)
def test_what_may_be_cut_as_its_mirror_image(material: str, hidden: bool) -> None:
    # Which weaves are the same seen from behind is proved thread by thread in test_weave.
    cloth = LIBRARY.prepreg[material]
    assert may_flip(cloth, shows=False) is hidden
    assert not may_flip(cloth, shows=True)
    assert not may_flip(replace(cloth, one_faced=True), shows=False)
    assert not may_flip(replace(cloth, films=1), shows=False)


def test_a_veil_may_lie_at_any_angle(taped: Job) -> None:
    veil = replace(LIBRARY.prepreg["twill-200"], kind=ClothKind.VEIL)
    library = replace(LIBRARY, prepreg=LIBRARY.prepreg | {"veil": veil})
    job = cut_from(taped, Template(points=SHAPE), material="veil")
    (piece,) = template_pieces(2, job.plies[0], job, Path(), library)
    assert piece.turns is None
    assert not piece.flips


def test_a_warp_drawn_or_stated_on_the_card_wins_over_the_plys_angle(taped: Job, tmp_path: Path) -> None:
    def turn(template: Template) -> float:
        job = cut_from(taped, template, angle=0.5)
        (piece,) = template_pieces(2, job.plies[0], job, tmp_path, LIBRARY)
        k = int(np.linalg.norm(piece.loops[0], axis=1).argmin())
        step = np.roll(piece.loops[0], -k, axis=0)[1]
        return -math.atan2(step[1], step[0])  # the first side of the shape lies along its x axis

    assert turn(Template(points=SHAPE)) == pytest.approx(0.5)
    assert turn(Template(points=SHAPE, warp=0.2)) == pytest.approx(0.2)
    drawn(tmp_path, (50, "0"), arrow=0.3)
    file = Template(file="card.dxf")
    assert template_loops(file, tmp_path, "").warp == pytest.approx(0.3)
    assert template_loops(replace(file, warp=0.3 - math.pi), tmp_path, "").warp == pytest.approx(0.3 - math.pi)
    assert refused(replace(file, warp=math.radians(60)), tmp_path) == (
        "job.toml, template rim, warp: 60° is stated, 17° is drawn in card.dxf – one of the two is wrong (leave warp "
        "out if the drawing is right, else take its line out of the drawing)"
    )


def test_one_outline_is_chosen_by_its_layer(tmp_path: Path) -> None:
    drawn(tmp_path, (50, "left"), (40, "right"), (30, "right"))
    made = template_loops(Template(file="card.dxf", layer="left"), tmp_path, "")
    assert loop_area(made.loops[0]) == pytest.approx(math.pi * 0.0025, rel=2e-3)
    assert refused(Template(file="card.dxf"), tmp_path) == (
        'job.toml, template rim, file: 3 outlines: "left" of 100 by 100 mm, "right" of 80 by 80 mm, "right" of 60 by '
        '60 mm – one outline is wanted (state which, as in layer = "left")'
    )
    assert refused(Template(file="card.dxf", layer="right"), tmp_path).endswith(
        "(put the one that is meant on a layer of its own and state layer)"
    )


def test_what_a_file_lacks_is_said_under_the_template(tmp_path: Path) -> None:
    drawn(tmp_path, (50, "0"), units=0)
    assert refused(Template(file="card.dxf"), tmp_path) == (
        "job.toml, template rim, file card.dxf: no unit – the drawing does not say what its numbers are (state unit, "
        'as in unit = "mm")'
    )
    made = template_loops(Template(file="card.dxf", unit="cm"), tmp_path, "")
    assert loop_area(made.loops[0]) == pytest.approx(math.pi * 0.25, rel=1e-3)


def test_what_was_mended_is_told(taped: Job, tmp_path: Path) -> None:
    whole = ezdxf.new("R2010", units=4)
    for a, b in (((0, 0), (40, 0)), ((40, 0.05), (40, 30)), ((40, 30), (0, 0))):
        whole.modelspace().add_line(a, b)
    whole.saveas(tmp_path / "card.dxf")
    job = cut_from(taped, Template(file="card.dxf"))
    (found,) = template_findings(job, tmp_path)
    assert found.place == "job.toml, template t0, file card.dxf"
    assert found.what == "a gap of 0.05 mm at 40.0 0.0 mm closed"
    made: FlatTemplate = template_loops(job.templates["t0"], tmp_path, "")
    assert len(made.findings) == 1


@pytest.mark.parametrize(
    ("template", "message"),
    [
        (
            Template(points=((0.0, 0.0), (0.1, 0.1), (0.1, 0.0), (0.0, 0.1))),
            "job.toml, template rim, points: it crosses itself at 50.0 50.0 mm – leaving out the smaller side would "
            "take 50.0 % of its area, more than a slip (draw the outline anew there, so that it runs round once)",
        ),
        (
            Template(points=SHAPE, holes=(((0.4, 0.0), (0.5, 0.0), (0.5, 0.1)),)),
            "job.toml, template rim, hole 1 – it must lie within the outline (check its corners against the outline's)",
        ),
        (
            Template(shape=Card.STRIP, size=(0.3, 0.02), corner=0.02),
            "job.toml, template rim – the corner radius is more than half the smaller side (state its size anew)",
        ),
        (
            Template(shape=Card.DISC),
            "job.toml, template rim – neither a shape with its size, nor points, nor a file says what it looks like "
            "(state its size anew)",
        ),
    ],
)
def test_what_cannot_be_cut_is_refused(template: Template, message: str, tmp_path: Path) -> None:
    assert refused(template, tmp_path) == message
