import subprocess
import sys
from pathlib import Path

import pytest

TEST = """
import pytest
@pytest.mark.published({source})
def test_it():
    assert True
"""
SETTINGS = "[pytest]\nmarkers = published(source): x\naddopts = --strict-markers -p no:cacheprovider\n"


@pytest.mark.parametrize(
    ("source", "passes"), [('"Author 1956, table 2"', True), ("", False), ('""', False), ("7", False), ('"x"', False)]
)
def test_a_published_figure_without_a_source_fails_collection(tmp_path: Path, source: str, passes: bool) -> None:
    (tmp_path / "conftest.py").write_text((Path(__file__).parent / "conftest.py").read_text())
    (tmp_path / "pytest.ini").write_text(SETTINGS)
    (tmp_path / "test_it.py").write_text(TEST.format(source=source))
    run = subprocess.run([sys.executable, "-m", "pytest", "-q"], cwd=tmp_path, capture_output=True, text=True)
    assert (run.returncode == 0) is passes
    assert ("without a source: test_it.py::test_it" in run.stdout + run.stderr) is not passes
