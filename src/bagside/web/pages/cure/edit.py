"""Segments of a cycle in a job's file, written as a person would: what did not change keeps its words and comments."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import tomlkit
from tomlkit import TOMLDocument

from bagside.quantity import NotAQuantity, Quantity, read

Segments = Sequence[tuple[float, float, float]]
KEYS = {"cure": "segments", "post-cure": "post_cure"}
"""Under ``[cure]``, by the name of a run."""
ZERO = 273.15
_FIELDS = (("to", Quantity.TEMPERATURE, 0.05), ("rate", Quantity.RAMP, 0.0005 / 60.0), ("hold", Quantity.TIME, 3.0))
"""Name, kind, and how much less than is written counts as the same [SI]."""


def temperature_text(kelvin: float) -> str:
    """Return a temperature as a job states it, to a tenth of a degree.

    Parameters
    ----------
    kelvin
        [K].

    Examples
    --------
    >>> temperature_text(353.15), temperature_text(339.26)
    ('80 °C', '66.1 °C')
    """
    return f"{round(kelvin - ZERO, 1):g} °C"


def rate_text(per_second: float) -> str:
    """Return a ramp as a job states it, to three figures.

    Parameters
    ----------
    per_second
        [K/s].

    Examples
    --------
    >>> rate_text(1.0 / 60.0), rate_text(20.0 / 2220.0)
    ('1 °C/min', '0.541 °C/min')
    """
    return f"{float(f'{60.0 * per_second:.3g}'):g} °C/min"


def time_text(seconds: float) -> str:
    """Return a time as a job states it: whole and half hours in hours, else minutes.

    Parameters
    ----------
    seconds
        [s].

    Examples
    --------
    >>> time_text(5400.0), time_text(5700.0), time_text(21600.0)
    ('1.5 h', '95 min', '6 h')
    """
    minutes = round(seconds / 60.0)
    return f"{minutes / 60.0:g} h" if minutes and minutes % 30 == 0 and minutes > 30 else f"{minutes} min"


_TEXTS = {"to": temperature_text, "rate": rate_text, "hold": time_text}


def put_segments(document: TOMLDocument, name: str, segments: Segments, reasons: Sequence[str] = ()) -> None:
    """Put the segments of a run into a job's file; a cycle that was to be looked for is one no more.

    Parameters
    ----------
    document
        Of the job.
    name
        ``cure`` or ``post-cure``.
    segments
        Target [K], ramp [K/s] and hold [s] of each.
    reasons
        Written beside each segment when all are written anew.
    """
    cure = document["cure"]
    found = cure.get(KEYS[name])
    if found is None or reasons or len(found) != len(segments):
        if found is not None and not reasons and len(found) and _fits(found, segments):
            _lengthen(found, segments)
        else:
            cure[KEYS[name]] = _whole(segments, reasons)
    else:
        for one, segment in zip(found, segments, strict=True):
            _put(one, segment)
    cure.pop("design", None)


def segments_in(document: TOMLDocument, name: str) -> tuple[tuple[float, float, float], ...]:
    """Return the segments that stand in a job's file; none when they are not stated or cannot be read.

    Parameters
    ----------
    document
        Of the job.
    name
        ``cure`` or ``post-cure``.
    """
    found = document.get("cure", {}).get(KEYS[name]) or ()
    out = []
    for one in found:
        values = [_value(one, key, kind) for key, kind, _ in _FIELDS]
        if any(v is None for v in values):
            return ()
        out.append((values[0] or 0.0, values[1] or 0.0, values[2] or 0.0))
    return tuple(out)


def alike(one: Segments, other: Segments) -> bool:
    """Return whether two programmes would be written alike.

    Parameters
    ----------
    one, other
        Target [K], ramp [K/s] and hold [s] of each segment.
    """
    return len(one) == len(other) and all(
        abs(a - b) <= less
        for s, t in zip(one, other, strict=True)
        for a, b, (_, _, less) in zip(s, t, _FIELDS, strict=True)
    )


def _fits(found: Any, segments: Segments) -> bool:
    """Return whether one list is the beginning of the other, or has one segment more somewhere."""
    return abs(len(found) - len(segments)) == 1


def put_cycle(document: TOMLDocument, name: str, segments: Segments, runs: Mapping[str, Segments]) -> None:
    """Put the segments of one run into a job's file, and those of the others that were only looked for so far.

    Parameters
    ----------
    document
        Of the job.
    name
        ``cure`` or ``post-cure``: the run that was changed.
    segments
        Of that run.
    runs
        Of every run as it stands now; what the file states already is left alone.
    """
    wanted = "design" in document["cure"]
    put_segments(document, name, segments)
    for other, found in runs.items():
        if wanted and other != name:
            put_segments(document, other, found)


def _lengthen(found: Any, segments: Segments) -> None:
    """Add one segment to a list, or take one away, where the two part."""
    at = next((k for k, (one, s) in enumerate(zip(found, segments, strict=False)) if not _same(one, s)), None)
    if len(found) < len(segments):
        where = len(found) if at is None else at
        found.insert(where, _inline(segments[where]))
    else:
        del found[len(segments) if at is None else at]
    for one, segment in zip(found, segments, strict=True):
        _put(one, segment)


def _whole(segments: Segments, reasons: Sequence[str]) -> tomlkit.items.Array:
    out = tomlkit.array()
    for k, segment in enumerate(segments):
        out.add_line(_inline(segment), indent="  ", comment=reasons[k] if k < len(reasons) else None)
    out.add_line(indent="")
    return out


def _inline(segment: tuple[float, float, float]) -> tomlkit.items.InlineTable:
    one = tomlkit.inline_table()
    for key, value in zip(("to", "rate", "hold"), segment, strict=True):
        if key != "hold" or value:
            one.append(key, _TEXTS[key](value))
    return one


def _put(one: Any, segment: tuple[float, float, float]) -> None:
    for (key, kind, less), value in zip(_FIELDS, segment, strict=True):
        if _value(one, key, kind) is not None and abs((_value(one, key, kind) or 0.0) - value) <= less:
            continue
        if key == "hold" and not value:
            one.pop(key, None)
        else:
            one[key] = _TEXTS[key](value)


def _same(one: Any, segment: tuple[float, float, float]) -> bool:
    return all(
        abs((_value(one, key, kind) or 0.0) - value) <= less
        for (key, kind, less), value in zip(_FIELDS, segment, strict=True)
    )


def _value(one: Any, key: str, kind: Quantity) -> float | None:
    text = one.get(key)
    if text is None:
        return 0.0 if key == "hold" else None
    try:
        return read(str(text), kind)
    except NotAQuantity:
        return None
