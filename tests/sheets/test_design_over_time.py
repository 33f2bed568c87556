"""The page of one design over time: each part a mark where it belongs, and words that fit the paper."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pypdfium2
import pytest

from bagside.ledger.design.over_time import DesignOverTime, over_time
from bagside.ledger.things import Build
from bagside.sheets.design_over_time import design_page, design_pdf
from bagside.sheets.design_words import all_standing, scatter_words, summary, toml_of, trend_words
from bagside.spec.workshop import Paper
from madeparts import Story, made, plan, shop, stocked

OFFSETS = (0.0, 0.01, -0.01, 0.0, 0.02, -0.02, 0.01, 0.1, 0.0, -0.01)
"""Of masses over plan; the eighth part is 10 % too heavy."""


def designed(count: int = 10, job: str = "Day-hatch lid") -> DesignOverTime:
    story = Story()
    stocked(story)
    for k in range(count):
        verdict = "scrap" if k == 2 else "good"
        mass = 1.0 + OFFSETS[k % len(OFFSETS)]
        made(story, f"DHL-{k + 1:03}", plan(job=job), kit=f"kit-{k}", mass=mass, slow=1.2, verdict=verdict)
        story.at += timedelta(days=1)
    stands = shop(story)
    return over_time([t for t in stands.things.values() if isinstance(t, Build)], stands, story.at)


@pytest.fixture(scope="module")
def design() -> DesignOverTime:
    return designed()


def test_every_part_is_a_mark_where_its_value_is(design: DesignOverTime) -> None:
    mass = next(s for s in design.series if s.key == "mass raw")
    one = replace(design, series=(mass,))
    page = design_page(one, Paper.A4)
    rings = [tuple(map(float, m)) for m in re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="0.8"', page)]
    assert len(rings) == 9  # the scrapped one is a cross
    values = [v for k, v in enumerate(mass.values) if k != 2 and v is not None]
    x, y = np.array(rings).T
    assert np.allclose(np.diff(x)[2:], np.diff(x)[3])  # one step from part to part
    assert np.corrcoef(y, values)[0, 1] == pytest.approx(-1.0, abs=1e-5)  # higher is heavier, on a straight scale
    filled = re.findall(r'<circle [^>]*r="0.8" fill="#10191f"', page)
    assert len(filled) == 1
    assert mass.standing == (7,)


def test_limits_are_a_band_and_the_plan_is_dashed(design: DesignOverTime) -> None:
    mass = next(s for s in design.series if s.key == "mass raw")
    assert mass.limits is not None
    page = design_page(replace(design, series=(mass,)), Paper.A4)
    band = re.search(r'<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)" fill="#e6ecec"', page)
    assert band is not None
    top, high = float(band[2]), float(band[4])
    circles = re.findall(r'<circle cx="[\d.]+" cy="([\d.]+)" r="0.8"', page)
    first, fifth = float(circles[0]), float(circles[3])  # parts 1 and 5: values 0 and 2 % over plan
    a, b = mass.values[0], mass.values[4]
    assert a is not None
    assert b is not None
    per = (first - fifth) / (b - a)
    assert first - (mass.limits.high - a) * per == pytest.approx(top, abs=0.02)
    assert mass.limits.low is not None
    assert first + (a - mass.limits.low) * per == pytest.approx(top + high, abs=0.02)
    assert 'stroke="#19437b" stroke-width="0.4" stroke-linejoin="round" stroke-dasharray="1.6 0.9"' in page


def test_it_is_one_page_with_its_words(design: DesignOverTime) -> None:
    document = pypdfium2.PdfDocument(design_pdf(design, Paper.A4))
    assert len(document) == 1
    words = re.sub(r"\s+", " ", document[0].get_textpage().get_text_bounded())
    assert "Day-hatch lid" in words
    assert "10 parts" in words
    assert "Mass, raw; mass, trimmed: DHL-008 stands out." in words
    assert "bagging: 1.14 times the plan" in words  # 38 min at 1.2 over 40
    assert 'bag = "46 min"' in words
    assert "nothing is changed by itself" in words
    assert design_pdf(design, Paper.A4) == design_pdf(designed(), Paper.A4)


@pytest.mark.parametrize("paper", list(Paper))
def test_long_names_and_many_figures_stay_on_the_paper(paper: Paper) -> None:
    long = designed(6, "Tageslukendeckelverstärkungsrahmen steuerbord, Kleinserie für Seekajak Nordlicht, zweite Form")
    many = replace(long, series=long.series * 3)
    for one in (long, many):
        page = pypdfium2.PdfDocument(design_pdf(one, paper))[0]
        pixels = np.asarray(page.render(scale=1.0).to_pil().convert("L"))
        assert (pixels[:, -30:] > 250).all()
        assert (pixels[-20:, :] > 250).all()
    words = pypdfium2.PdfDocument(design_pdf(many, paper))[0].get_textpage().get_text_bounded()
    assert "figures more have no room here" in words


def test_few_parts_claim_nothing() -> None:
    few = designed(3)
    assert summary(few)["few"] == "under 5 parts: no scatter or trend is told"
    mass = next(s for s in few.series if s.key == "mass raw")
    assert trend_words(mass) == "too few parts for a trend"
    assert scatter_words(mass).startswith("mean 166.4 g, scatter 1.17 g, 2 parts")  # 0, +1 % of 165.6 g; −1 % is scrap
    alone = designed(1)
    assert scatter_words(next(s for s in alone.series if s.key == "mass raw")) == "165.6 g, one part"
    assert "e6ecec" not in design_page(few, Paper.A4)


def test_what_can_be_told_is_offered_as_lines(design: DesignOverTime) -> None:
    lines = toml_of(design.learned)
    assert lines[:1] == ("[times]",)
    assert 'bag = "46 min"' in lines
    assert not any(line.startswith("scrap") for line in lines)  # 1 of 10 may well be the 8 % that are planned
    assert all_standing(design)[-1] == "Scrapped or conceded: DHL-003."
