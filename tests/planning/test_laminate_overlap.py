"""Where two pieces of one ply overlap the laminate has that ply twice: thickness, mass and the names of its layers."""

import numpy as np
import pytest

import shapes
from bagside.drape import ClothKind, Drape, drape, law_of
from bagside.geometry import Surface, cut
from bagside.planning.laminate_stage import laminate_map
from bagside.spec.job import Ply
from bagside.spec.library import generic_library

WIDE, LAP = 0.2, 0.02


def plate() -> Surface:
    return shapes.plane(WIDE, WIDE, 80, 80)


def lain(surface: Surface) -> Drape:
    law = law_of(ClothKind.WOVEN, None, len(surface.triangles))
    return drape(surface, start=surface.centroids[0], direction=np.array([1.0, 0, 0]), law=law)


def test_an_overlap_of_one_ply_is_there_twice() -> None:
    whole = plate()
    x = whole.vertices[:, 0]
    left, right = cut(whole, x - LAP / 2), cut(whole, -x - LAP / 2)
    prepreg = generic_library().prepreg["twill-200"]
    plies = (Ply(material="twill-200", angle=0.0), Ply(material="twill-200", angle=0.0))
    drapes = ((0, lain(left)), (0, lain(right)), (1, lain(whole)))
    found = laminate_map(whole, drapes, plies, (prepreg, prepreg), (1.0, 0.0, 0.0), None)
    assert found.layers == (0, 0, 1)
    plain, double = found.zones
    assert found.plies_in(plain) == (0, 1)
    assert found.plies_in(double) == (0, 0, 1)
    assert double.laminate.thickness == pytest.approx(1.5 * plain.laminate.thickness, rel=1e-6)
    h = WIDE / 80
    assert double.area == pytest.approx(WIDE * LAP, abs=2 * h * WIDE)
    per_area = plain.laminate.mass_per_area
    assert found.mass == pytest.approx(per_area * (plain.area + 1.5 * double.area), rel=1e-9)
    assert per_area == pytest.approx(2 * prepreg.areal_weight / (1 - prepreg.resin_content), rel=0.01)
