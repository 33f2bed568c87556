"""Tasks round one ply, as a child process runs them: flat pieces in another map, a still picture, a ply laid whole."""

from __future__ import annotations

import threading
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from bagside.drape import summary_of
from bagside.errors import InputError
from bagside.planning.shaping import shaped_from
from bagside.planning.stages import Stages
from bagside.records.kept_plan import STORE
from bagside.spec.opening import open_job
from bagside.web.views.plies_shown import FIELDS
from bagside.web.views.ply_mesh import bands_of
from bagside.web.work.child import Teller
from bagside.web.work.drape_task import flats_by, still_picture, tried_whole
from domeshop import written_in

LINES = '[lines.middle]\npoints = ["-90 0 43 mm", "0 0 100 mm", "90 0 43 mm"]\n[laying]'
SPLIT = 'angle = "0°"\nregion = "disc"\ncuts = [{ line = "middle" }]\n[[plies]]'


def teller() -> Teller:
    return Teller(lambda value: None, threading.Event())


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("tasks")
    return written_in(root, ("[laying]", LINES), ('angle = "0°"\nregion = "disc"\n[[plies]]', SPLIT))


@pytest.mark.parametrize("which", FIELDS)
def test_flat_pieces_are_drawn_in_every_map(job: Path, which: str) -> None:
    svg = flats_by(teller(), job, 0, which)
    words = {(e.text or "").strip() for e in ET.fromstring(svg).iter() if e.text}
    assert {"1A", "1B"} <= words
    assert any(colour in svg for colour in bands_of(which).colours)


def test_a_still_picture_shows_the_mould_and_names_its_pieces(job: Path) -> None:
    svg = still_picture(teller(), job, 0, "shear")
    words = {(e.text or "").strip() for e in ET.fromstring(svg).iter() if e.text}
    assert {"1A", "1B"} <= words


def test_a_ply_laid_whole_comes_to_what_the_same_ply_without_a_cut_does(job: Path) -> None:
    """Ply 4 of the dome is ply 1 without its cut: the trial must come to the very same, and write nothing."""
    before = job.read_text(encoding="utf-8")
    tried = tried_whole(teller(), job, 0)
    opened = open_job(job)
    shape = shaped_from(opened, Stages(store=opened.folder / STORE), "job.toml")
    (whole,) = (p for p in shape.pieces if p.ply == 3)
    said = summary_of(whole.drape, whole.drape.law)
    assert (tried.shear, tried.strain) == (said.shear_99, said.strain_99)
    assert job.read_text(encoding="utf-8") == before


def test_what_is_not_draped_is_told(job: Path, shop: Path) -> None:
    with pytest.raises(InputError, match="this ply has no draped piece"):
        flats_by(teller(), job, 9, "shear")
    with pytest.raises(InputError, match="nothing is draped without a mould"):
        still_picture(teller(), shop / "jobs" / "footrest-plate" / "job.toml", 0, "shear")
