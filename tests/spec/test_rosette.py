"""The rule by which a ply's angle is measured away from the start, as stated."""

from pathlib import Path

import pytest

import domeshop
from bagside.errors import InputError
from bagside.spec.job import Rosette
from bagside.spec.opening import open_job


def stated(root: Path, rule: str) -> Path:
    return domeshop.written_in(root, ("[laying]\n", f'[laying]\nrosette = "{rule}"\n'))


def test_the_axis_is_projected_unless_it_is_said_to_be_carried(tmp_path: Path) -> None:
    assert open_job(domeshop.written_in(tmp_path)).job.laying.rosette is Rosette.PROJECTED


def test_a_carried_axis(tmp_path: Path) -> None:
    assert open_job(stated(tmp_path, "carried")).job.laying.rosette is Rosette.CARRIED


def test_another_rule_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        open_job(stated(tmp_path, "caried"))
    assert [str(p) for p in caught.value.problems] == [
        'job.toml, laying, rosette: "caried" – one of "projected" or "carried" is wanted (did you mean "carried"?)'
    ]
