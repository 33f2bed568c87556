"""What is wrong with templates, rings and strips, each in one sentence with its place and its cure."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import domeshop
from bagside.errors import InputError
from bagside.spec.build_up import BuildUp
from bagside.spec.job import Job
from bagside.spec.library import generic_library
from bagside.spec.lines import Line
from bagside.spec.opening import open_job
from bagside.spec.region import Hole
from bagside.spec.template import Card, CutFrom, Template
from bagside.spec.template_check import template_problems
from tapeshop import TAPED, written_in

LIBRARY = generic_library()
TRIANGLE = ((0.0, 0.0), (0.1, 0.0), (0.0, 0.1))
RING = BuildUp(name="toggle", material="twill-200", height=0.001, around=("middle",), width=0.025)
STRIP = BuildUp(name="keel", material="twill-200", height=0.001, along=("seam",), width=0.05, length=0.4)


@pytest.fixture(scope="module")
def taped(tmp_path_factory: pytest.TempPathFactory) -> Job:
    return open_job(written_in(tmp_path_factory.mktemp("shop"), job=TAPED)).job


def told(job: Job, folder: Path) -> list[str]:
    return [str(p) for p in template_problems(job, folder, LIBRARY, "job.toml")]


def test_a_good_job_has_no_problem(taped: Job, tmp_path: Path) -> None:
    (tmp_path / "rim.dxf").touch()
    job = replace(
        taped,
        build_ups=(RING, STRIP),
        templates=taped.templates
        | {
            "a": Template(shape=Card.RING, diameter=0.08, hole=0.02),
            "b": Template(shape=Card.GUSSET, size=(0.03, 0.04), corner=0.01),
            "c": Template(points=TRIANGLE, holes=(TRIANGLE,), warp=0.1),
            "d": Template(file="rim.dxf", unit="mm", layer="left"),
        },
    )
    assert told(job, tmp_path) == []


@pytest.mark.parametrize(
    ("template", "message"),
    [
        (
            Template(),
            ' – nothing says what it looks like (one of shape, points or file is wanted, as in shape = "disc", '
            'diameter = "80 mm")',
        ),
        (
            Template(shape=Card.DISC, diameter=0.1, points=TRIANGLE),
            ": shape and points – its outline is stated more than once (one of shape, points or file is wanted, as in "
            'shape = "disc", diameter = "80 mm")',
        ),
        (Template(shape=Card.DISC), ', diameter – this is missing; a length as in "80 mm"'),
        (Template(shape=Card.RING, diameter=0.1), ', hole – this is missing; a length as in "80 mm"'),
        (Template(shape=Card.STRIP), ', size – this is missing; a length as in "380 260 mm"'),
        (
            Template(shape=Card.RING, diameter=0.1, hole=0.1),
            ", hole: 100.0 mm – less than the ring's 100.0 mm is wanted",
        ),
        (Template(shape=Card.DISC, diameter=0.1, hole=0.02), ", hole – a disc has none (leave it out)"),
        (Template(points=TRIANGLE, corner=0.01), ", corner – a template from points has none (leave it out)"),
        (
            Template(shape=Card.RECTANGLE, size=(0.1, 0.02), corner=0.011),
            ", corner: 11.0 mm – at most 10.00 mm fits a rectangle of this size",
        ),
        (
            Template(shape=Card.GUSSET, size=(0.03, 0.04), corner=0.0101),
            ", corner: 10.1 mm – at most 10.00 mm fits a gusset of this size",
        ),
        (Template(points=TRIANGLE[:2]), ", points: 2 points – at least three are wanted"),
        (Template(points=TRIANGLE, holes=(TRIANGLE[:1],)), ", hole 1: 1 points – at least three are wanted"),
        (
            Template(points=TRIANGLE, unit="mm"),
            ', unit: "mm" – this is for a file (leave it out: every number here carries its unit)',
        ),
        (Template(points=TRIANGLE, layer="left"), ', layer: "left" – this is for a file (leave it out)'),
        (Template(file="rin.svg"), ', file: "rin.svg" – there is no such file (did you mean "rim.svg"?)'),
        (Template(file="rim.pdf"), ', file: "rim.pdf" – a drawing as .dxf or .svg is wanted'),
        (
            Template(file="rim.svg", unit="mil"),
            ', unit: "mil" – one of m, cm, mm, in, ft is wanted (known here: cm, ft, in, m, mm)',
        ),
        (
            Template(file="rim.svg", holes=(TRIANGLE,)),
            ", holes – the file says what holes there are (draw the holes in the file, or leave them out)",
        ),
    ],
)
def test_templates(template: Template, message: str, taped: Job, tmp_path: Path) -> None:
    (tmp_path / "rim.svg").touch()
    job = replace(taped, templates=taped.templates | {"rim": template})
    assert told(job, tmp_path) == [f"job.toml, template rim{message}"]


def test_what_plies_are_cut_from(taped: Job, tmp_path: Path) -> None:
    cuts = (CutFrom(template="shet"), CutFrom(template="patch", copies=0), CutFrom(template="patch"))
    job = replace(taped, plies=(replace(taped.plies[0], templates=cuts),))
    assert told(job, tmp_path) == [
        'job.toml, ply 1, templates: "shet" – there is no template of this name (did you mean "sheet"?)',
        "job.toml, ply 1, templates: 0 copies of patch – at least one is wanted",
        'job.toml, ply 1, templates: "patch" – this template is named more than once (state it once, as { template = '
        '"patch", copies = 2 })',
    ]


@pytest.mark.parametrize(
    ("build_up", "message"),
    [
        (
            replace(RING, around=()),
            " – either rings round holes or strips along lines are wanted (name holes under around, or lines under "
            "along)",
        ),
        (
            replace(RING, along=("seam",), length=0.1),
            ": around and along – either rings round holes or strips along lines are wanted (state two build-ups)\n"
            "job.toml, build-up toggle, length: 100.0 mm – a ring has none (leave it out)",
        ),
        (
            replace(RING, around=("midle",)),
            ', around: "midle" – there is no hole of this name (did you mean "middle"?)',
        ),
        (replace(RING, around=("middle", "middle")), ', around: "middle" – it is named more than once'),
        (
            replace(RING, width=0.005),
            ", width: 5.0 mm – not even the first one is as wide as the narrowest, 10.0 mm",
        ),
        (replace(RING, angles=()), ', angles: none – at least one is wanted, as in ["0 deg", "45 deg"]'),
        (
            replace(RING, after=4),
            ", after: 4 – the number of a ply, 1 to 3, is wanted, or 0 for after the last",
        ),
        (
            replace(RING, region="pda"),
            ', region: "pda" – there is no place of this name (did you mean "pad"?)',
        ),
        (
            replace(RING, material="twil-200"),
            ', material: "twil-200" – there is no prepreg of this name in this workshop (did you mean "twill-200"?)',
        ),
        (replace(STRIP, name="toggle", open=True), ", open: true – a strip has no hole (leave it out)"),
        (
            replace(STRIP, name="toggle", length=None),
            ', along: "seam" – how long this seam is has not been stated (state length, as in length = "420 mm")',
        ),
    ],
)
def test_build_ups(build_up: BuildUp, message: str, taped: Job, tmp_path: Path) -> None:
    assert "\n".join(told(replace(taped, build_ups=(build_up,)), tmp_path)) == f"job.toml, build-up toggle{message}"


def test_names_and_resins_of_build_ups(taped: Job, tmp_path: Path) -> None:
    other = LIBRARY.prepreg["twill-200"]
    library = replace(LIBRARY, prepreg=LIBRARY.prepreg | {"odd": replace(other, resin="snap-cure")})
    job = replace(taped, build_ups=(RING, RING, replace(RING, name=" ", material="odd")))
    assert [str(p) for p in template_problems(job, tmp_path, library, "job.toml")] == [
        'job.toml, build-up toggle, name: "toggle" – two build-ups have this name',
        "job.toml, build-up 3, name – a name is wanted, for the sheets",
        'job.toml, build-up 3, material: "odd" with resin snap-cure – all plies of one part must share one resin '
        f"system, to cure together: {other.resin}",
    ]


def test_on_a_mould_a_strip_is_as_long_as_its_line(taped: Job, tmp_path: Path) -> None:
    job = replace(
        taped,
        mould=replace(taped.mould, mesh="plate.stl"),
        measured=None,
        holes=(Hole(name="middle", diameter=0.01),),
        lines={"seam": Line(points=((0.0, 0.0, 0.0), (0.1, 0.0, 0.0)))},
        build_ups=(STRIP, replace(STRIP, name="rail", along=("seem",), length=None)),
    )
    assert told(job, tmp_path) == [
        "job.toml, build-up keel, length: 400.0 mm – the line over the mould says how long the strip is (leave it out)",
        'job.toml, build-up rail, along: "seem" – there is no line of this name (did you mean "seam"?)',
    ]


def test_a_region_near_a_line_that_is_not_there_is_told(tmp_path: Path) -> None:
    near = 'near = { distance = "20 mm", lines = ["kell"] }'
    path = domeshop.written_in(
        tmp_path,
        ('near = { distance = "20 mm", points = ["30 0 98.5 mm"] }', near),
        ("[laying]", '[lines.keel]\npoints = ["-60 20 77 mm", "60 20 77 mm"]\n[laying]'),
    )
    with pytest.raises(InputError) as caught:
        open_job(path)
    assert str(caught.value) == (
        'job.toml, region patch, near, lines: "kell" – there is no line of this name (did you mean "keel"?)'
    )
