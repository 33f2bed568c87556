"""A part's own record, told to the finding of causes of pinholes: what was written down, and nothing else."""

from __future__ import annotations

from bagside.bagging.pinholes import Ranked, Record, diagnosis
from bagside.errors import InputError
from bagside.ledger.actual.compared import PlanAgainstActual
from bagside.ledger.shop import Shop
from bagside.spec.pinhole_file import Seen

TOLD = 3
"""Causes that are told of each part."""


def pinhole_record(p: PlanAgainstActual, shop: Shop) -> Record | None:
    """Return what a part's record tells of its pinholes; None when nobody wrote where they are in known words.

    Parameters
    ----------
    p
        The part.
    shop
        Whose library holds its cloth.

    Notes
    -----
    Places are those of `bagside.spec.pinhole_file.Seen`, the one with most pinholes first. A debulk that was never
    recorded is unknown, not zero.

    Raises
    ------
    InputError
        When what was recorded lies outside what the finding of causes takes.
    """
    words = {s.value: s for s in Seen}
    where = tuple(words[x.place] for x in p.pinholes if x.place in words and x.count > 0)
    if not where:
        return None
    plan = p.build.planned
    leak = p.leaks[-1] if p.leaks else None
    rise = None if leak is None or leak.rise is None else max(300.0 * leak.rise, 0.0)
    room = [c.reading.what for c in p.climate if not p.cures or c.reading.at <= p.cures[0].at]
    wet = [w.humidity for w in room if w.humidity]
    done = [d for d in p.debulks if d.done is not None]
    first = [d.done.what.seconds for d in done if d.after == 1 and d.done is not None]
    more = [d.done.what.seconds for d in done if d.after > 1 and d.done is not None]
    cured = next((c.what for c in p.cures if not c.what.post), None)
    vacuum = cured.pressure if cured is not None and cured.pressure is not None else None
    if vacuum is None and leak is not None:
        vacuum = leak.reading.what.start
    off, there = p.films
    shares = [u.out.share for u in p.cloth if u.out is not None]
    sheets = [shop.library.prepreg[u.material] for u in p.cloth if u.material in shop.library.prepreg]
    read = [x.thickness for x in p.points if x.thickness is not None]
    return Record(
        where=where,
        vacuum=vacuum,
        ambient=leak.reading.what.ambient if leak is not None and leak.reading.what.ambient else plan.ambient,
        drop=rise,
        volume=leak.reading.what.volume if leak is not None else None,
        humidity=max(wet) if wet else None,
        room=max(w.value for w in room) if room else None,
        first_debulk=max(first) if first else None,
        debulks=float(len(more)) if more else None,
        debulk_time=sum(more) / len(more) if more else None,
        plies=float(len(p.plies)) if p.plies else None,
        hold=next((s.elapsed for s in p.steps if s.key == "hold"), None),
        life_used=max(shares) if shares else None,
        thickness=max(read) if read else None,
        resin_content=sheets[0].resin_content if sheets else None,
        films_supplied=float(there) if there else None,
        films_removed=float(off) if there and all(x.laid for x in p.plies) else None,
        hottest=cured.hottest_part if cured is not None else None,
    )


def likely_causes(p: PlanAgainstActual, shop: Shop) -> tuple[Ranked, ...]:
    """Return what a part's record makes likely as the cause of its pinholes, most likely first.

    Parameters
    ----------
    p, shop
        As of `pinhole_record`.

    Returns
    -------
    tuple of Ranked
        At most `TOLD`; empty when nobody wrote where the pinholes are, or a reading lies outside what is usual.
    """
    try:
        record = pinhole_record(p, shop)
        return () if record is None else diagnosis(record).ranked[:TOLD]
    except InputError:
        return ()
