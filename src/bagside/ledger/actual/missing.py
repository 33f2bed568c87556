"""What was never recorded of a part, in sentences: a report says it instead of hiding it."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.ledger.actual.cloth import Used
from bagside.ledger.actual.laid import DebulkActual, PlyActual
from bagside.ledger.actual.measured import Holding, PointActual
from bagside.ledger.actual.steps import StepActual
from bagside.ledger.bodies import Found
from bagside.ledger.things import Build


def missing_of(
    build: Build,
    steps: Sequence[StepActual],
    plies: Sequence[PlyActual],
    debulks: Sequence[DebulkActual],
    leaks: Sequence[Holding],
    points: Sequence[PointActual],
    cloth: Sequence[Used],
) -> tuple[str, ...]:
    """Return what nobody recorded.

    Parameters
    ----------
    build
        The part.
    steps, plies, debulks, leaks, points, cloth
        As they were.

    Returns
    -------
    tuple of str
        Clauses, in the order of the work; of a part that is still being made only what belongs to finished steps and to
        what came before them.
    """
    reached = _reached(build, steps)
    out = [*_of_steps(steps, reached), *_of_plies(plies, cloth, reached, steps)]
    late = {s.key for s in steps[:reached]}
    for d in debulks:
        if d.planned is not None and d.done is None and _begun(f"debulk-{d.after}", late, build):
            out.append(f"the debulk after ply {d.after} was never recorded")
    over = build.closed is not None
    if (over or "leak" in late) and not leaks:
        out.append("no leak test was recorded")
    if (over or "cure" in late) and not build.cures:
        out.append("no cure was recorded")
    for c in build.cures:
        if not c.what.file:
            out.append("the " + ("post-cure" if c.what.post else "cure") + " has no log")
        elif not c.what.verdict:
            out.append("the log of the " + ("post-cure" if c.what.post else "cure") + " was not judged")
    if over or build.cures:
        out += _of_readings(build, points, over)
    return tuple(out)


def _reached(build: Build, steps: Sequence[StepActual]) -> int:
    """Return how many steps are behind: all of a closed part, else up to the last that was finished."""
    if build.closed is not None:
        return len(steps)
    return max((k + 1 for k, s in enumerate(steps) if s.finished is not None), default=0)


def _begun(key: str, late: set[str], build: Build) -> bool:
    return build.closed is not None or key in late or bool(build.cures)


def _of_steps(steps: Sequence[StepActual], reached: int) -> list[str]:
    out = []
    mine = [s for s in steps[:reached] if s.share == 1.0]  # what is done for all parts at once may stand with another
    never = [s.name for s in mine if s.started is None and s.finished is None]
    if never:
        out.append(_some(never, "step was never started or finished", "steps were never started or finished"))
    half = [s.name for s in steps[:reached] if s.started is not None and s.finished is None]
    if half:
        out.append(_some(half, "step was started and never finished", "steps were started and never finished"))
    headless = [s.name for s in steps[:reached] if s.started is None and s.finished is not None]
    if headless:
        out.append(_some(headless, "step has an end and no start", "steps have an end and no start"))
    untimed = [s.name for s in steps[:reached] if s.finished is not None and s.attended is None]
    if untimed:
        out.append(_some(untimed, "step has no hands-on time", "steps have no hands-on time"))
    ended = [s for s in steps[:reached] if s.finished is not None and s.ticked < len(s.boxes)]
    empty = [f"{s.name} ({len(s.boxes) - s.ticked} of {len(s.boxes)})" for s in ended]
    if empty:
        out.append(_some(empty, "step was finished with boxes not ticked", "steps were finished with boxes not ticked"))
    return out


def _of_plies(
    plies: Sequence[PlyActual], cloth: Sequence[Used], reached: int, steps: Sequence[StepActual]
) -> list[str]:
    out = []
    over = reached == len(steps)
    top = max((p.number for p in plies if p.ticks), default=0)
    unticked = [x.label for p in plies for x in p.pieces if x.tick is None and (over or p.number < top)]
    if unticked:
        out.append(_some(unticked, "piece was never ticked", "pieces were never ticked"))
    bare = sorted({n for u in cloth if not u.kit for n in u.plies})
    if bare:
        out.append(f"no kit was named for {_plies(bare)}: batch and life of that cloth are not known")
    strange = sorted({u.kit for u in cloth if u.kit and u.out is None and not u.sources})
    if strange:
        out.append(_some(strange, "kit is not in the ledger", "kits are not in the ledger"))
    batchless = sorted({u.kit for u in cloth if u.sources and not u.batches})
    if batchless:
        out.append(_some(batchless, "kit has no batch", "kits have no batch"))
    return out


def _of_readings(build: Build, points: Sequence[PointActual], over: bool) -> list[str]:
    out = []
    stages = {m.what.stage for m in build.measured if m.what.found is Found.MASS}
    weighed = {s.value for s in stages if s is not None}
    late = ("finished", "trimmed") if not over else ()
    unweighed = [m.stage for m in build.planned.masses if m.stage not in weighed and m.stage not in late]
    if unweighed:
        out.append("no mass was written down for: " + ", ".join(unweighed))
    blank = [p.place for p in points if p.planned is not None and p.thickness is None]
    if over and blank:
        out.append(_some(blank, "point has no thickness", "points have no thickness"))
    found = {m.what.found for m in build.measured}
    if over and Found.PINHOLES not in found:
        out.append("nobody counted pinholes")
    if Found.CLIMATE not in found:
        out.append("the room was never read")
    if over and not build.photos:
        out.append("there is no photo")
    if build.planned.thermocouples and Found.THERMOCOUPLES not in found:
        out.append("nobody wrote where the thermocouples were: " + "; ".join(build.planned.thermocouples))
    if over and build.pulled is None:
        out.append("when it came off the mould was not recorded")
    return out


def runs(numbers: Sequence[int]) -> str:
    """Return numbers as ``1 to 4, 6``.

    Parameters
    ----------
    numbers
        Rising.
    """
    out: list[list[int]] = []
    for n in numbers:
        if out and n == out[-1][-1] + 1:
            out[-1].append(n)
        else:
            out.append([n])
    return ", ".join(f"{r[0]} to {r[-1]}" if len(r) > 2 else ", ".join(map(str, r)) for r in out)


def _plies(numbers: Sequence[int]) -> str:
    return f"ply {numbers[0]}" if len(numbers) == 1 else f"plies {runs(numbers)}"


def _some(names: Sequence[str], one: str, more: str, most: int = 4) -> str:
    between = "; " if any("," in n for n in names) else ", "
    shown = between.join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")
    return f"{'one' if len(names) == 1 else len(names)} {one if len(names) == 1 else more}: {shown}"
