"""The as-built report read back from its pages: what it says, what it keeps to itself, that it says it twice alike."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import UTC

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from bagside.cure import Channel, CureLog, Sensor
from bagside.ledger.actual.compared import PlanAgainstActual, compared
from bagside.ledger.bodies import (
    Begun,
    Corrected,
    Cured,
    Debulked,
    Found,
    Laid,
    MassStage,
    Measured,
    Photographed,
    Pulled,
    Started,
)
from bagside.ledger.event import Event
from bagside.ledger.planned import PlannedHole
from bagside.sheets.as_built import as_built_pdf
from bagside.sheets.as_built_cure import CureDrawn
from bagside.sheets.as_built_report import AsBuilt, Whose, as_built_report
from bagside.sheets.as_built_words import breakable, lasting, moment, more, zone_of
from bagside.sheets.log_chart import log_chart
from bagside.sheets.thumb import thumb
from bagside.spec.workshop import Paper
from madeparts import Story, conceded, longer, made, plan, shop, stocked

NAME = "DHL-007"
ZONE = zone_of("+01:00")


def told() -> Story:
    story = Story()
    stocked(story)
    made(story, NAME, plan(), log="ab" * 32, photo="cd" * 32)
    return story


def report(story: Story, whose: Whose, name: str = NAME, **more: object) -> AsBuilt:
    stands = shop(story)
    found = compared(stands.build(name), stands, story.at)
    history: list[Event] = [e for e in story.events if name in e.subjects]
    return as_built_report(found, stands.workshop, whose, zone=ZONE, history=history, **more)  # type: ignore[arg-type]


def pages(pdf: bytes) -> list[str]:
    """Return the words of each page on one line each; what a line's end broke is joined again."""
    out = []
    for page in pypdfium2.PdfDocument(pdf):
        text = page.get_textpage().get_text_bounded().replace("\ufffe\r\n", "").replace("\u00ad\r\n", "")
        out.append(re.sub(r"\s+", " ", text.replace("\u00a0", " ").replace("\ufffe", "").replace("\u00ad", "")))
    return out


@pytest.fixture(scope="module")
def customer() -> str:
    return " ".join(pages(as_built_pdf(report(told(), Whose.CUSTOMER))))


@pytest.fixture(scope="module")
def drawer() -> str:
    return " ".join(pages(as_built_pdf(report(told(), Whose.DRAWER))))


def test_the_customer_reads_what_the_part_is(customer: str) -> None:
    for words in (
        "Day-hatch lid", "as built, serial number DHL-007, part 1 of 4", "Two Skerries Kayaks", "Good.",
        "plan it was made to 7f3c91ae55d0", "M-14, pull 1", "begun Mon 2 Nov 2026",
        "twill-200 1 to 4 B7 K-114 kit-1",
        "degree of cure, least at least 95.0 % 96.2 % kept", "Tg there at least 105 °C 118 °C kept",
        "mass, raw 166 g ± 6 g 165.6 g", "thickness, stern 0.88 mm ± 0.07 mm 0.88 mm",
        "backing films taken off 16 16", "leak test, rise in the shut bag 5.0 mbar in 5 min 3.0 mbar in 5 min",
        "It does not certify structures", "received by",
    ):  # fmt: skip
        assert words in customer, words


def test_the_customer_reads_nothing_of_the_workshop(customer: str) -> None:
    for words in ("EUR", "Hands-on", "hands-on", "Ada", "Ben", "reather from the last part", "Cost", "Photos", "sigma"):
        assert words not in customer, words


def test_the_drawer_keeps_everything(drawer: str) -> None:
    for words in (
        "1A twill-200 2 Nov 12:17 Ada kit-1 2 of 2",
        "after ply 1 20 min, 100 mbar 25 min", "21 mbar", "24 mbar", "G-2",
        "Breather from the last part.", "Lay ply 1: 1A and 1B, twill-200 15 min 14 min", "Ada, Ben 2/2",
        "labour with overhead 193.28 EUR 184.89 EUR −8.40 EUR", "cloth as it was cut – 52.58 EUR",
        "planned price 412.00 EUR", "58 % became no piece", "Never recorded", "the part held 109 °C for 3 h 34 min",
        "pull since the release agent 1", "hottest in these cures 114 °C", "fit for laying",
        "hands-on 3 h 19 against 3 h 29 planned, 11 of 12 steps known",
    ):  # fmt: skip
        assert words in drawer, words


def test_life_stands_with_its_mark(customer: str) -> None:
    stands = shop(told())
    kit = compared(stands.build(NAME), stands, stands.build(NAME).last).cloth[0]
    assert kit.out is not None
    assert f"{100 * kit.out.share:.0f} % of 720 h" in customer


def test_the_same_part_gives_the_same_bytes() -> None:
    one, other = (as_built_pdf(report(told(), Whose.DRAWER)) for _ in range(2))
    assert one == other


def test_every_page_has_its_number_serial_and_the_four_marks() -> None:
    found = pages(as_built_pdf(report(told(), Whose.DRAWER)))
    for k, text in enumerate(found, 1):
        assert f"{k} of {len(found)}" in text
        assert "measured here data sheet published source common practice" in text
        assert k == 1 or "DHL-007, as built, for the drawer" in text


@pytest.mark.parametrize(("paper", "size"), [(Paper.A4, (595.3, 841.9)), (Paper.LETTER, (612.0, 792.0))])
def test_the_paper_is_that_of_the_workshop(paper: Paper, size: tuple[float, float]) -> None:
    document = pypdfium2.PdfDocument(as_built_pdf(replace(report(told(), Whose.CUSTOMER), paper=paper)))
    assert document[0].get_size() == pytest.approx(size, abs=0.1)


def test_concessions_passed_gates_and_corrections_are_told() -> None:
    story = told()
    closed = story.events.pop()
    conceded(story, NAME)
    conceded(story, NAME, customer="R. Holm")
    laid = next(e for e in story.events if isinstance(e.body, Laid))
    data = {"build": NAME, "ply": 1, "piece": "1A", "films": 2, "kit": "kit-1", "angle": 0.02}
    why = "the angle was not written down"
    story.tell(Corrected(corrects=laid.id, subjects=laid.subjects, kind="laid", data=data, why=why), 1, who="Ben")
    story.tell(closed.body, 1)
    words = " ".join(pages(as_built_pdf(report(story, Whose.DRAWER))))
    assert "Good, with 2 concessions." in words
    assert "overlap 12 mm instead of 15 mm at the hinge" in words
    assert "nobody asked yet" in words
    assert "R. Holm" in words
    assert "the room is fit for laying ply-1 Ada rain; 66 % for one hour only" in words
    assert "laid: ply 1, piece 1A, films off 2, kit kit-1, 2 Nov 12:17 by Ada" in words
    assert "laid: ply 1, piece 1A, films off 2, off its angle by 1.1°, kit kit-1" in words
    assert "the angle was not written down Ben" in words
    own = " ".join(pages(as_built_pdf(report(story, Whose.CUSTOMER))))
    assert "R. Holm" in own
    assert "rain" not in own  # a passed gate is the workshop's own


def test_what_departs_from_the_plan_is_on_the_first_page() -> None:
    story = Story()
    stocked(story)
    made(story, NAME, plan(), films=1, debulk=600.0)
    first = pages(as_built_pdf(report(story, Whose.CUSTOMER)))[0]
    assert "Not as planned, see Results: backing films taken off; debulks." in first
    assert "There is no log of it." in first


def test_scrap_and_open_parts_say_so_first() -> None:
    story = Story()
    stocked(story)
    made(story, NAME, plan(), verdict="scrap")
    own, all_ = (pages(as_built_pdf(report(story, w)))[0] for w in (Whose.CUSTOMER, Whose.DRAWER))
    assert "Scrap. This part must not be used." in own
    assert "delaminated" not in own
    assert "Delaminated at the hinge." in all_
    bare = Story()
    bare.tell(Begun(build=NAME, planned=plan()), 1)
    words = pages(as_built_pdf(report(bare, Whose.CUSTOMER)))[0]
    assert "Not finished. 0 of 12 steps are finished; this is how it stands." in words
    assert "No cloth was recorded." in words
    assert "No cure was recorded." in words


def test_thirty_plies_and_names_as_long_as_people_make_them_stay_on_the_paper() -> None:
    long = "Kohlefasergewebezuschnittsüberwachungsprotokollführung"
    name = "TLD-2026-0000000000012-STEUERBORD"
    planned = longer(plan(30), "Tageslukendeckelverstärkungsrahmen steuerbord, Kleinserie Nordlicht", long)
    story = Story()
    stocked(story)
    made(story, name, planned)
    for whose, most in ((Whose.CUSTOMER, 3), (Whose.DRAWER, 9)):
        document = pypdfium2.PdfDocument(as_built_pdf(report(story, whose, name)))
        assert 2 <= len(document) <= most
        for page in document:
            pixels = np.asarray(page.render(scale=1.0).to_pil().convert("L"))
            assert (pixels[:, -30:] > 250).all()  # nothing runs over the right margin, 13 mm or 36 points wide
            assert (pixels[:, :30] > 250).all()
    words = " ".join(pages(as_built_pdf(report(story, Whose.DRAWER, name))))
    assert "30B" in words
    assert long in words.replace(" ", "")


def test_holes_and_demould_stand_against_the_plan() -> None:
    planned = replace(plan(), holes=(PlannedHole(name="H1", off=0.001), PlannedHole(name="H2", off=0.001)))
    story = Story()
    story.tell(Begun(build=NAME, planned=planned), 1)
    story.tell(Measured(subject=NAME, found=Found.HOLE, value=-0.0014, place="H1"), 1)
    story.tell(Measured(subject=NAME, found=Found.TAP, value=0.0, place="rim"), 1)
    story.tell(Pulled(build=NAME, mould="M-1", temperature=331.15), 1)
    words = " ".join(pages(as_built_pdf(report(story, Whose.CUSTOMER))))
    assert "hole H1 at most 1.0 mm off −1.4 mm not as planned" in words
    assert "hole H2 at most 1.0 mm off not recorded –" in words
    assert "part as it came off the mould at most 50 °C 58 °C not as planned" in words
    assert "tap test, rim – not passed" in words


def test_a_post_cure_is_what_tg_is_wanted_of() -> None:
    planned = replace(plan(), programme="heat to 60 °C, hold 480 min; then off the mould: heat to 90 °C, hold 240 min")
    story = Story()
    story.tell(Begun(build=NAME, planned=planned), 1)
    first, last = "heat to 60 °C, hold 480 min", "heat to 85 °C, hold 240 min"
    story.tell(Cured(builds=(NAME,), programme=first, verdict="good", cure=0.7, tg=340.15, seconds=3.2e4), 1)
    story.tell(Cured(builds=(NAME,), post=True, programme=last, cure=0.94, tg=376.15, seconds=2e4), 900)
    words = " ".join(pages(as_built_pdf(report(story, Whose.CUSTOMER))))
    assert "Cure on the mould, Mon 2 Nov 2026, 08:02, 8 h 53" in words
    assert "degree of cure, least – 70.0 % –" in words  # wanted of the post-cure alone
    assert "Post-cure, off the mould" in words
    assert "degree of cure, least at least 95.0 % 94.0 % not kept" in words
    assert "Tg there at least 105 °C 103 °C not kept" in words
    assert "Run: heat to 85 °C, hold 240 min." in words
    assert "Run: heat to 60" not in words
    assert "It was not judged from a log." in words


def log(sensor: Sensor = Sensor.PART) -> CureLog:
    t = np.arange(0.0, 7200.0, 60.0)
    part = 293.15 + 60.0 * np.minimum(t / 3600.0, 1.0)
    part[40:50] = np.nan
    bag = np.full_like(t, 2000.0)
    channels = (Channel(name="TC1", sensor=sensor, values=part), Channel(name="bag", sensor=Sensor.BAG, values=bag))
    return CureLog(name="x.csv", time=t, channels=channels)


def test_the_chart_of_a_log_stands_in_the_report() -> None:
    story = told()
    cure = next(e for e in story.events if e.kind == "cured")
    svg = log_chart(log(), limit=393.15, limit_words="limit of the mould")
    drawn = {cure.id: CureDrawn(svg=svg, words="The log of this cure.")}
    words = " ".join(pages(as_built_pdf(report(story, Whose.CUSTOMER, drawn=drawn))))
    assert "TC1" in words
    assert "limit of the mould" in words
    assert "pressure in the bag, mbar" in words
    assert "The log of this cure." in words
    drawn = {cure.id: CureDrawn(svg="", words="Its log could not be read again.")}
    assert "could not be read again" in " ".join(pages(as_built_pdf(report(story, Whose.CUSTOMER, drawn=drawn))))


def test_a_chart_keeps_gaps_and_wants_a_temperature() -> None:
    svg = log_chart(log())
    paths = re.findall(r'<path d="M[^"]+" fill="none" stroke="#8f3a0d"', svg)
    assert len(paths) == 2  # before and after the gap
    with pytest.raises(ValueError, match="a chart needs a channel of temperature"):
        log_chart(log(Sensor.UNKNOWN))


def test_photos_are_upright_small_and_said_when_they_are_gone() -> None:
    picture = Image.new("RGB", (1200, 900), (40, 90, 40))
    exif = picture.getexif()
    exif[0x0112] = 6  # turned by the camera
    kept = io.BytesIO()
    picture.save(kept, "JPEG", exif=exif)
    svg = thumb(kept.getvalue(), "lid")
    assert svg is not None
    wide, high = (float(re.search(rf'<image [^>]*{w}="([\d.]+)"', svg)[1]) for w in ("width", "height"))  # type: ignore[index]
    assert high / wide == pytest.approx(1200 / 900, rel=0.01)
    assert thumb(b"no picture", "lid") is None
    story = told()
    closed = story.events.pop()
    story.tell(Photographed(subject=NAME, file="ef" * 32, called="b.jpg", caption="corner 3", step="bag"), 1)
    story.tell(closed.body, 1)
    words = " ".join(pages(as_built_pdf(report(story, Whose.DRAWER, pictures={"cd" * 32: kept.getvalue()}))))
    assert "the finished lid" in words
    gone = r"corner 3: 3 Nov \d\d:\d\d, Ada, Bag the part; the file is not there or is no picture"
    assert re.search(gone, words)


def test_words() -> None:
    assert [lasting(s) for s in (None, 0.0, 59 * 60.0, 3 * 3600 + 34 * 60.0, -120.0)] == [
        "–", "0 min", "59 min", "3 h 34", "−2 min",
    ]  # fmt: skip
    assert [more(s) for s in (60.0, -60.0, 10.0)] == ["+1 min", "−1 min", "0 min"]
    assert zone_of("Nowhere/Land") is UTC
    story = told()
    assert moment(story.events[0].at, zone_of("+01:00")) == "Mon 2 Nov 2026, 08:00"
    assert moment(story.events[0].at, zone_of("-03:30")) == "Mon 2 Nov 2026, 03:30"
    assert moment(None, UTC) == "not recorded"
    assert breakable("short words stay") == "short words stay"
    assert breakable("x" * 20).replace("\u00ad", "") == "x" * 20
    assert breakable("job-2026/left-hand_rim") == "job-\u200b2026/\u200bleft-\u200bhand_\u200brim"


def test_numbers_on_paper_are_those_of_the_comparison() -> None:
    stands = shop(told())
    found: PlanAgainstActual = compared(stands.build(NAME), stands, stands.build(NAME).last)
    words = " ".join(pages(as_built_pdf(report(told(), Whose.DRAWER))))
    for m in found.masses:
        assert f"{1e3 * m.measured:.1f} g" in words
    for p in found.points:
        assert p.thickness is not None
        assert f"thickness, {p.place} 0.88 mm ± 0.07 mm {1e3 * p.thickness:.2f} mm" in words
    for s in found.steps:
        assert f"{s.name} {lasting(s.planned_attended)} {lasting(s.attended)}" in words


def test_what_was_written_down_late_is_told_with_when_it_was_kept() -> None:
    story = told()
    at = story.at
    late = [
        Measured(subject=NAME, found=Found.MASS, value=0.1501, stage=MassStage.TRIMMED),
        Debulked(build=NAME, after=1, seconds=1500.0, pressure=3500.0),
        Started(build=NAME, step="bag"),
    ]
    history = [replace(story.tell(b, 0), late=True, kept=at.replace(day=3)) for b in late]
    stands = shop(told())
    found = compared(stands.build(NAME), stands, at)
    made_late = as_built_report(found, stands.workshop, Whose.DRAWER, zone=ZONE, history=[*story.events[:20], *history])
    words = " ".join(pages(as_built_pdf(made_late)))
    assert "Written down late 3 of 23 entries" in words
    assert "measured mass, trimmed: 150.1 g 3 Nov" in words
    assert "debulked: after ply 1, for 25 min, at 35 mbar" in words
    assert "started: bag" in words
    assert "4 Nov" in words
