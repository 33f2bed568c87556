"""The drawings of a workshop's parts, with its own figures in the reader's units."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from bagside.web.founding import pictures
from bagside.web.founding.questions import EVERY
from bagside.web.parts.amount import for_person
from bagside.web.words.tongue import MINUS, Tongue

_DRAWN: dict[str, tuple[Callable[[Mapping[str, str]], str], dict[str, str]]] = {
    "room": (pictures.room_picture, {"warm": "room_temperature", "damp": "room_humidity"}),
    "oven": (
        pictures.oven_picture,
        {"hottest": "oven_hottest", "rise": "oven_heating", "spread": "oven_spread"},
    ),
    "pump": (pictures.pump_picture, {"reaches": "pump_reaches", "flow": "pump_flow"}),
    "freezer": (pictures.freezer_picture, {"cold": "freezer_temperature"}),
    "roll": (pictures.roll_picture, {"width": "roll_width", "length": "roll_length"}),
}


def group_picture(group: str, values: Mapping[str, str], tongue: Tongue) -> str:
    """Return the drawing of a part of a workshop; none of what has no drawing.

    Parameters
    ----------
    group
        See `bagside.web.founding.questions.GROUPS`.
    values
        By the names of questions, as a file states them.
    tongue
        Of the reader.
    """
    if group not in _DRAWN:
        return ""
    draw, places = _DRAWN[group]
    asked = {q.name: q for q in EVERY}
    say = {"title": tongue.say(f"begin.picture_{group}"), "absolute": tongue.say("begin.absolute")}
    say["label"] = values.get("roll_batch", "") or tongue.say("begin.label")
    for place, name in places.items():
        kind = asked[name].kind
        number, unit = ("", "") if kind is None else for_person(values.get(name, ""), kind, asked[name].unit, tongue)
        say[place] = f"{number.replace('-', MINUS)} {unit}" if number else "?"
    return draw(say)
