"""The package of a part without a surface, as a person gets it: whole, to its schema, its cards drawn."""

from __future__ import annotations

import json
import math
from importlib.resources import files
from pathlib import Path

import ezdxf
import jsonschema
import numpy as np
import pypdfium2
import pytest

from bagside.cli.app import outcome
from bagside.planning.build_ups import with_build_ups
from bagside.spec.opening import open_job
from tapeshop import REST, TAPED, written_in


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    job = written_in(tmp_path_factory.mktemp("built"))
    assert outcome(["plan", str(job)]) == 0
    return job.parent / "out"


@pytest.fixture(scope="module")
def plan(built: Path) -> dict:
    return json.loads((built / "plan.json").read_text(encoding="utf-8"))


def test_the_package_is_whole(built: Path, plan: dict) -> None:
    there = {str(p.relative_to(built)) for p in built.rglob("*") if p.is_file()}
    assert there == {*plan["files"], "plan.json"}
    for label in "123":
        assert {f"templates/{label}{end}" for end in (".svg", ".dxf", "-A4.pdf")} <= there
    assert {"book.pdf", "cure.csv", "nests/twill-200.svg", "nests/twill-200.dxf"} <= there
    assert not [name for name in there if name.startswith("drape/")]


def test_the_plan_keeps_to_its_schema_and_says_null_where_a_surface_is_wanted(plan: dict) -> None:
    schema = json.loads(files("bagside.sheets").joinpath("plan.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(plan)
    assert plan["drape"] is None
    mould = plan["mould"]
    assert [mould[key] for key in ("file", "unit", "triangles_read", "triangles_used")] == [None] * 4
    assert (mould["size_mm"], mould["corners"], mould["pieces"]) == ([400.0, 300.0, 0.0], [], [])
    assert mould["area_m2"] == pytest.approx(0.6 * 0.5)
    assert plan["joining"]["holes"][0]["edge_mm"] is None
    assert plan["laminate"]["part_cm2"] == pytest.approx(1064.0)
    told = schema["properties"]["drape"]["description"]
    assert told == "Null when the part was measured by tape: then no cloth is draped."


def test_cards_stand_under_cutting(plan: dict) -> None:
    cards = plan["cutting"]["cards"]
    assert [(c["label"], c["ply"], c["copies"], c["region"]) for c in cards] == [
        ("1", 1, 1, "lay-up"),
        ("2", 2, 1, "pad"),
        ("3", 3, 1, "lay-up"),
    ]
    turned = math.sin(math.pi / 4) * (120 + 80)  # a rectangle at 45° stands in a square
    assert cards[1]["length_mm"] == pytest.approx(turned, abs=1e-3)
    assert cards[1]["area_cm2"] == pytest.approx(96.0)
    assert cards[1]["mass_g"] == pytest.approx(96e-4 * 200 / 0.58, rel=1e-5)


def test_a_template_is_the_stated_card_turned_to_the_warp(built: Path) -> None:
    document = ezdxf.readfile(built / "templates" / "2.dxf")
    (card,) = [e for e in document.modelspace().query("LWPOLYLINE") if e.dxf.layer == "CUT"]
    points = np.array(list(card.get_points("xy")))
    sides = sorted(np.linalg.norm(points - np.roll(points, -1, axis=0), axis=1))
    assert sides == pytest.approx([80.0, 80.0, 120.0, 120.0], abs=1e-6)


def pages(built: Path) -> list[str]:
    return [p.get_textpage().get_text_bounded() for p in pypdfium2.PdfDocument(built / "book.pdf")]


def test_the_book_says_what_must_be_said(built: Path) -> None:
    text = "\n".join(pages(built))
    for words in ("Plate", "by tape measure", "As measured", "Ply 3", "Cut list", "Bag", "Cure", "Steps", "Money"):
        assert words in text, words
    assert text.count("There is no surface of it") == 1
    assert "does not certify" in text
    assert "how the cloth drapes" in text
    assert "\ufffd" not in text
    assert "nan" not in text.split()
    assert "not measured" in text  # how far the hole is from the edge


def test_every_ply_stands_on_one_page_with_its_card_and_no_picture_of_a_mould(built: Path) -> None:
    found = pages(built)
    for number in (1, 2, 3):
        (page,) = [p for p in found if p.startswith(f"Ply {number}")]
        assert "one card" in page
        assert "laid by" in page
        assert "plies in order" in page
        assert "shear" not in page


def test_pages_are_filled_to_what_they_hold(built: Path) -> None:
    """Ink on every page, and none at its very edge."""
    for page in pypdfium2.PdfDocument(built / "book.pdf"):
        ink = np.array(page.render(scale=0.5).to_pil().convert("L")) < 200
        assert ink.any()
        ink[6:-6, 6:-6] = False
        assert not ink.any()


def test_the_sample_of_the_how_to_is_a_job(tmp_path: Path) -> None:
    text = (Path(__file__).parents[2] / "docs" / "parts-without-a-surface.md").read_text(encoding="utf-8")
    blocks = [part.split("```", 1)[0] for part in text.split("```toml\n")[1:]]
    job = TAPED[: TAPED.index("[measured]")] + blocks[0] + blocks[1] + REST
    shelf = ("twill-400", "10 m", "58 EUR/m²")
    path = written_in(tmp_path, job=job)
    shop = path.parents[2] / "workshop.toml"
    roll = '[[stock]]\nmaterial = "{}"\nlength = "{}"\nprice = "{}"\n'.format(*shelf)
    shop.write_text(shop.read_text(encoding="utf-8").replace("[prices]", roll + "[prices]"), encoding="utf-8")
    opened = open_job(path)
    assert [p.region for p in opened.job.plies] == ["lay-up", "corners"]
    assert opened.mesh is None


def test_the_demo_is_from_cards_alone() -> None:
    demo = Path(__file__).parents[2] / "demo" / "workshop" / "jobs" / "footrest-plate"
    opened = open_job(demo)
    assert (opened.mesh, opened.job.quantity) == (None, 6)
    shapes = {t.shape.value if t.shape else "points" for t in opened.job.templates.values()}
    assert shapes == {"points", "gusset", "strip", "ring"}
    job = with_build_ups(opened.job, opened.library)
    assert len(job.plies) > len(opened.job.plies)
    assert all(ply.templates for ply in job.plies)


def test_the_summary_counts_cards(built: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert outcome(["plan", str(built.parent)]) == 0
    told = capsys.readouterr()
    assert "3 for each part, 2 parts" in " ".join(told.out.split())
    assert "Nothing has changed since the last plan" in told.err


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (
            ('templates = ["patch"]', 'templates = ["pacth"]'),
            '  job.toml, ply 2, templates: "pacth" – there is no template of this name (did you mean "patch"?)\n',
        ),
        (
            ('region = "pad"', 'region = "pda"'),
            '  job.toml, ply 2, region: "pda" – there is no place of this name under [measured.places] '
            '(did you mean "pad"?)\n',
        ),
        (
            ('shape = "rectangle"\nsize = "120 80 mm"', 'file = "patch.dxf"'),
            '  job.toml, template patch, file: "patch.dxf" – there is no such file (known here: job.toml)\n',
        ),
    ],
)
def test_bad_input_is_one_sentence(
    tmp_path: Path, change: tuple[str, str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    job = written_in(tmp_path, change)
    assert outcome(["plan", str(job)]) == 2
    assert capsys.readouterr().err == "bagside: this cannot be used\n" + told
    assert not (job.parent / "out").exists()
