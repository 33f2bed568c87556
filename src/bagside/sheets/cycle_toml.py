"""A cycle that was found, as text for a job's file."""

from __future__ import annotations

from collections.abc import Sequence

import tomlkit

from bagside.cure import Programme
from bagside.planning.cure_design import FoundCycle
from bagside.quantity import shown


def cycle_toml(found: FoundCycle) -> str:
    """Return the segments of a cycle as a job states them, each with what holds it back.

    Parameters
    ----------
    found
        The cycle.
    """
    document = tomlkit.document()
    document.add(
        tomlkit.comment("found by bagside cure design; goes under [cure] in job.toml in place of [cure.design]")
    )
    document.add("segments", _segments(found.case.programme, found.reasons))
    if found.case.post is not None:
        document.add("post_cure", _segments(found.case.post, found.post_reasons))
    return tomlkit.dumps(document)


def _segments(programme: Programme, reasons: Sequence[str]) -> tomlkit.items.Array:
    out = tomlkit.array()
    for k, s in enumerate(programme.segments):
        one = tomlkit.inline_table()
        one.append("to", _plain(shown(s.target, "°C", 1)))
        one.append("rate", _plain(shown(s.ramp, "°C/min", 3)))
        if s.hold:
            one.append("hold", _plain(shown(s.hold, "min", 1)))
        out.add_line(one, comment=reasons[k] if k < len(reasons) else None)
    out.add_line(indent="")
    return out


def _plain(words: str) -> str:
    return words.replace("\u2009", " ").replace("\u202f", " ").replace("\u2212", "-")
