"""What a bag asks of people."""

from __future__ import annotations

from bagside.bagging.items import Pleats
from bagside.bagging.pleats import HIGHEST
from bagside.bagging.sheet import NEEDED_FILMS, BagShape, Films, strips_of
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

FILM_MARGIN = 20.0  # [K] rating over the hottest of the cycle
COSMETIC = 3000.0  # [Pa] absolute, wanted for a visible part
REJECT = 10000.0  # [Pa] absolute, above which a bag is not cured
DIAL = 95000.0  # [Pa] below ambient, a fixed reading many ask for


def bag_findings(
    shape: BagShape,
    pleats: Pleats,
    sheet: tuple[float, float],
    films: Films,
    hottest: float,
    *,
    ambient: float,
    left: float,
) -> tuple[Finding, ...]:
    """Return what a bag asks of people.

    Parameters
    ----------
    shape, pleats, sheet
        What is bagged, its pleats and its film.
    films
        Limit [K] and width [m] by name.
    hottest
        Of the cycle [K].
    ambient, left
        Absolute pressure outside and in the bag [Pa].
    """
    return (
        *(f for name in NEEDED_FILMS for f in _rating(name, films[name][0], hottest)),
        *_depth(pleats, shape),
        *_strips(sheet, films["bag film"][1]),
        *_vacuum(ambient, left),
    )


def _rating(name: str, limit: float, hottest: float) -> list[Finding]:
    margin = limit - hottest
    if margin >= FILM_MARGIN:
        return []
    over = margin < 0
    return [
        Finding(
            severity=Severity.STOP if over else Severity.WATCH,
            stage="bagging",
            place=name,
            what=f"it stands {shown(limit, '°C', 0)}, the cycle reaches {shown(hottest, '°C', 0)}",
            why="it melts or turns brittle and the bag is lost in the oven"
            if over
            else "the oven's spread and an overshoot use up what is left",
            do="take one that stands at least 20 K more than the cycle, or cure cooler"
            if over
            else "take one with 20 to 30 K to spare, or watch the leading thermocouple closely",
            basis=Basis.DATA_SHEET,
            source="rating at least 20 to 30 K over the cycle",
        )
    ]


def _depth(pleats: Pleats, shape: BagShape) -> list[Finding]:
    if not pleats.held_down:
        return []
    point = None
    if len(pleats.places):
        at = pleats.places[int(pleats.heights.argmax())]
        point = (float(at[0]), float(at[1]), float(at[2]))
    return [
        Finding(
            severity=Severity.WATCH,
            stage="bagging",
            place=f"pleats, mould {shown(shape.depth, 'mm', 0)} deep",
            what=f"half the depth is more than {shown(HIGHEST, 'mm', 0)} at {pleats.held_down} of {pleats.count} "
            "pleats, so they are planned at that height",
            why="higher pleats fold over and leak; lower ones may leave the bag short of the floor",
            do="put a second pleat beside each of these, or take a film that stretches; try it at 200 mbar first",
            basis=Basis.COMMON,
            source="pleats of 50 to 120 mm, half the local depth",
            point=point,
        )
    ]


def _strips(sheet: tuple[float, float], roll: float) -> list[Finding]:
    strips = strips_of(sheet, roll)
    if strips == 1:
        return []
    return [
        Finding(
            severity=Severity.WATCH,
            stage="bagging",
            place="bag film",
            what=f"the sheet is {shown(min(sheet), 'mm', 0)} wide, the roll {shown(roll, 'mm', 0)}: {strips} strips",
            why="each joint of tape is a line that can leak when it softens",
            do="take a wider film, or lay the joints flat beside the part and press them twice",
            basis=Basis.COMMON,
        )
    ]


def _vacuum(ambient: float, left: float) -> list[Finding]:
    out = []
    reached = ambient - left
    if left > COSMETIC:
        bad = left > REJECT
        out.append(
            Finding(
                severity=Severity.STOP if bad else Severity.WATCH,
                stage="bagging",
                place="vacuum",
                what=f"{shown(left, 'mbar', 0)} are left in a good bag",
                why="voids are not closed" if bad else "air left between plies shows as pinholes",
                do="find the leak or service the pump before laying up: 20 to 30 mbar are wanted",
                basis=Basis.COMMON,
                source="20 to 30 mbar for a visible part; above 100 mbar it is not cured",
            )
        )
    if ambient - COSMETIC < DIAL:
        out.append(
            Finding(
                severity=Severity.SEEN,
                stage="bagging",
                place="gauge",
                what=f"ambient is {shown(ambient, 'mbar', 0)}: a perfect bag reads −{shown(reached, 'mbar', 0)} here",
                why="a fixed reading of −950 mbar cannot be reached, and weather moves it by 20 to 30 mbar",
                do="judge by absolute pressure or by the share of today's ambient pressure",
                basis=Basis.PUBLISHED,
                source="standard atmosphere",
            )
        )
    return out
