"""``bagside build start BUILD [STEP]``: a step is begun, if nothing that must come first is missing."""

from __future__ import annotations

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


def start(
    build: given.Serials,
    step: given.AStep = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Start a step: its cautions and what to do are shown; a gate that does not hold stops it, and says why."""
    from bagside.cli import show
    from bagside.cli.build import words
    from bagside.cli.build.found import builds_called, step_called
    from bagside.cli.build.gated import stopped
    from bagside.cli.build.step_words import what_to_do
    from bagside.cli.desk import desk
    from bagside.errors import InputError
    from bagside.ledger.bodies import Started

    with desk(workshop, who, at, late=late) as here:
        meant = []
        for found in builds_called(here.ledger, build):
            planned = step_called(found, step) if step else words.next_step(found)
            if planned is None:
                raise InputError.one("STEP", "", f"every step of {found.name} is done")
            meant.append((found, planned))
        code = stopped(here, meant, "start", json=json)
        if code:
            return code
        events = words.kept(here, *(Started(build=b.name, step=s.key) for b, s in meant))
        first, planned = meant[0]
        now = words.again(here, first.name)
    names = ", ".join(b.name for b, _ in meant)
    if not json:
        what_to_do(planned)
        number = words.number_of(first, planned)
        show.OUT.print(f"{names}: {number} {planned.name} – started {words.clock(events[0].at)}.", soft_wrap=True)
    return words.answered(now, (), events=events, before=[b for b, _ in meant], json=json, upcoming=False)
