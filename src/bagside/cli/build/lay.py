"""``bagside build lay BUILD PLY…``: pieces are laid, and their backing films counted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.ledger.bodies import Laid
    from bagside.ledger.planned import PlannedPly, PlannedStep
    from bagside.ledger.things import Build
    from bagside.records.desk import Desk


def lay(
    build: given.Serial,
    pieces: Annotated[
        list[str],
        typer.Argument(metavar="PLY[:PIECE]…", help='"3" is all of ply 3 that is not laid yet; "3:3B" one piece.'),
    ],
    films: Annotated[int, typer.Option(help="Backing films in your hand: off all these pieces together.")] = -1,
    kit: Annotated[str, typer.Option(help="Kit they came out of, by its name; the one laid from before else.")] = "",
    angle: Annotated[str, typer.Option(help='Measured off the arrow, as in "2°".')] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Tick pieces as laid, with the films that came off; what is still to come off is said."""
    from bagside.cli.build import words
    from bagside.cli.build.found import build_called, listed, pieces_called
    from bagside.cli.build.gated import stopped
    from bagside.cli.desk import desk
    from bagside.cli.options import quantity
    from bagside.ledger.bodies import Laid
    from bagside.ledger.builds.points import reading_findings
    from bagside.quantity import Quantity

    off = quantity(angle, Quantity.ANGLE, "--angle") if angle else None
    with desk(workshop, who, at, late=late) as here:
        found = build_called(here.ledger, build)
        meant = pieces_called(found, pieces)
        counts = films_each(meant, films)
        out_of = kits_of(here, found, meant, kit)
        bodies = [
            Laid(build=found.name, ply=p.number, piece=piece, films=count, kit=name, angle=off)
            for (p, piece), count, name in zip(meant, counts, out_of, strict=True)
        ]
        code = stopped(here, _begun(here, found, bodies), "lay it", json=json)
        if code:
            return code
        events = words.kept(here, *bodies)
        now = words.again(here, found.name)
    taken = sum(counts)
    to_come = films_to_come(now)
    names = ", ".join(_spoken(meant))
    source = f" out of {listed(list(dict.fromkeys(k for k in out_of if k)))}" if any(out_of) else ""
    said = [
        f"{found.name}: {names} laid{source}, {words.plural(taken, 'film')} off; "
        + (f"{words.plural(to_come, 'film')} still to come off." if to_come else "every film is off."),
    ]
    return words.answered(
        now,
        said,
        [f for f in reading_findings(now) if f.stage == "films"],
        events=events,
        before=[found],
        data={"laid": [[p.number, piece] for p, piece in meant], "films_off": taken, "films_to_come": to_come},
        json=json,
    )


def _begun(here: Desk, build: Build, bodies: Sequence[Laid]) -> list[tuple[Build, PlannedStep]]:
    """Return the steps that are begun, each with the build as it is then: what is laid with it before it is laid."""
    from bagside.cli.build.found import planned_step
    from bagside.ledger.builds.build_events import build_after

    out = []
    for number in dict.fromkeys(b.ply for b in bodies):
        step = planned_step(build, f"ply-{number}")
        if step is not None:
            out.append((build, step))
        for body in bodies:
            if body.ply == number:
                build = build_after(build, here.event(body), build.name) or build
    return out


def films_each(meant: Sequence[tuple[PlannedPly, str]], films: int) -> list[int]:
    """Return how many films came off each piece.

    Parameters
    ----------
    meant
        Plies and pieces.
    films
        Counted in all; below zero when nobody said.

    Raises
    ------
    InputError
        When nobody counted, or fewer or more than planned came off several pieces: then it must be said which.
    """
    from bagside.errors import InputError

    planned = [p.films for p, _ in meant]
    if films < 0:
        raise InputError.one(
            "--films", "", "count the backing films in your hand and say how many", f"--films {sum(planned)} is planned"
        )
    if len(meant) == 1:
        return [films]
    if films != sum(planned):
        raise InputError.one(
            "--films",
            str(films),
            f"{sum(planned)} films are on these {len(meant)} pieces",
            f"look for the film; then tick one piece at a time, as in {meant[0][0].number}:{meant[0][1]}",
        )
    return planned


def films_to_come(build: Build) -> int:
    """Return how many backing films are still on pieces that are not laid.

    Parameters
    ----------
    build
        Any.
    """
    total = 0
    for ply in build.planned.plies:
        laid = sum(n.what.ply == ply.number for n in build.laid)
        total += ply.films * max(len(ply.pieces) - laid, 0)
    return total


def _spoken(meant: Sequence[tuple[PlannedPly, str]]) -> list[str]:
    """Return plies and pieces as people say them: a whole ply by its number alone."""
    out = []
    for number in dict.fromkeys(p.number for p, _ in meant):
        ply = next(p for p, _ in meant if p.number == number)
        pieces = [piece for p, piece in meant if p.number == number]
        whole = len(pieces) == len(ply.pieces)
        count = f" ({len(pieces)} pieces)" if len(pieces) > 1 else ""
        out.append(f"ply {number}{count}" if whole else f"ply {number}, {', '.join(pieces)}")
    return out


def kits_of(here: Desk, build: Build, meant: Sequence[tuple[PlannedPly, str]], text: str) -> list[str]:
    """Return the kit that each piece comes out of: as stated, else laid from before, else that of the part's number.

    Parameters
    ----------
    here
        The desk.
    build, meant
        The build, its plies and pieces.
    text
        Kits as typed, several with commas; may be empty.

    Returns
    -------
    list of str
        A name for each piece; empty where no kit in the ledger holds it.

    Raises
    ------
    InputError
        When there is no such kit, none of those stated holds a piece, or several could be meant.
    """
    from bagside.cli.build.found import listed, one_of
    from bagside.errors import InputError
    from bagside.ledger.bodies import Sort
    from bagside.ledger.gates.kits_for import job_of
    from bagside.ledger.things import Cloth

    shop = here.standing()
    own = (build.planned.job, "")
    kits = {
        name: kit
        for name, kit in here.ledger.things(Sort.KIT).items()
        if isinstance(kit, Cloth) and job_of(kit, shop) in own
    }
    stated = [
        one_of(word, list(kits), "--kit", "there is no such kit, or all of it is laid")
        for word in text.split(",")
        if word.strip()
    ]
    used = list(dict.fromkeys(n.what.kit for n in reversed(build.laid) if n.what.kit))
    left = {n: Counter((k.piece.label, k.piece.ply) for k in kit.pieces if not k.laid_in) for n, kit in kits.items()}
    out = []
    for ply, piece in meant:
        holding = [name for name in kits if left[name][(piece, ply.number)] > 0]
        if stated:
            mine = [name for name in stated if name in holding]
            if not mine:
                hint = f"{listed(holding)} have it" if len(holding) > 1 else f"{holding[0]} has it" if holding else ""
                raise InputError.one(
                    "--kit", f'"{text}"', f"piece {piece} of ply {ply.number} is not in it, or was laid", hint
                )
        else:
            own_number = [name for name in holding if name.endswith(f"-{build.planned.number}")]
            mine = [name for name in used if name in holding] or (own_number if len(own_number) == 1 else holding)
            if len(mine) > 1 and mine[0] not in used:
                raise InputError.one(
                    "--kit", "", f"of which kit is it? {listed(mine, 'or')} hold piece {piece} of ply {ply.number}"
                )
        kit = mine[0] if mine else ""
        if kit:
            left[kit][(piece, ply.number)] -= 1
        out.append(kit)
    return out
