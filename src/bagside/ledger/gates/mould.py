"""Gates of the mould: it stands the heat, it holds vacuum, release agent is on it."""

from __future__ import annotations

from datetime import datetime

from bagside.findings import Basis
from bagside.ledger.gates.gate import Gate
from bagside.ledger.gates.tightness import judged_drop
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build, Mould
from bagside.quantity import shown

NEW_COATS = 4
"""Release coats that a mould wants before its first pull: 4 to 6. Common practice, no source."""


def mould_heat(build: Build, step: str, shop: Shop) -> Gate:
    """Return whether the mould stands the cure, by what was planned and by what it has seen.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    shop
        For the mould.
    """
    plan, mould = build.planned, shop.mould(build.mould)
    limit, words, basis = plan.mould_limit, plan.mould_words or "as planned", Basis.COMMON
    if mould is not None and mould.limit is not None:
        limit, words, basis = mould.limit, f"as stated for {mould.name}", Basis.DATA_SHEET
    why = "above its limit a mould creeps, and every later part with it"
    if limit is None or plan.hottest_tool is None:
        missing = "its limit" if limit is None else "how hot the cure makes it"
        return Gate(
            key="mould-heat", step=step, holds=None, what=f"{missing} is not known", why=why,
            do="state the mould's limit, or plan the cure with its mould", basis=basis,
        )  # fmt: skip
    seen = mould.hottest if mould is not None else None
    asked = f"the cure takes it to {shown(plan.hottest_tool, '°C', 0)}, it stands {shown(limit, '°C', 0)}"
    if seen is not None and seen > limit:
        return Gate(
            key="mould-heat", step=step, holds=False, why=why, basis=basis, source=words,
            what=f"it has seen {shown(seen, '°C', 0)}, it stands {shown(limit, '°C', 0)}",
            do="look at its face and measure a known length; state its limit anew when it is sound",
        )  # fmt: skip
    return Gate(
        key="mould-heat", step=step, holds=plan.hottest_tool <= limit, what=asked, why=why,
        do="cure cooler and longer, or on another mould", basis=basis, source=words,
    )  # fmt: skip


def mould_tight(build: Build, step: str, shop: Shop) -> Gate:
    """Return whether the bare mould held vacuum, after its last repair.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    shop
        For the mould.
    """
    mould = shop.mould(build.mould)
    why = "a bag cannot be tighter than the mould it is taped to; a leak through the face marks the part"
    source = "a resin maker's guide: vacuum tight, tested before it is used"
    do = "bag the bare mould, shut the pump off, and write the drop down for the mould"
    if mould is None:
        what = f"the mould {build.mould} is not in the ledger" if build.mould else "no mould is named"
        return Gate(
            key="mould-tight", step=step, holds=None, what=what, why=why, do=f"receive it; then {do}",
            basis=Basis.PUBLISHED, source=source,
        )  # fmt: skip
    tests = [(at, m) for at, m in mould.tests if m.found.value == "leak"]
    repaired = max((at for at, *_ in mould.repairs), default=None)
    if not tests or (repaired is not None and tests[-1][0] < repaired):
        what = "no vacuum test of its face is written down" if not tests else _since(mould, tests[-1][0])
        return Gate(
            key="mould-tight", step=step, holds=None, what=what, why=why, do=do, basis=Basis.PUBLISHED, source=source
        )
    at, test = tests[-1]
    drop = judged_drop(build.planned, test)
    return Gate(
        key="mould-tight", step=step, holds=drop.holds, what=f"{at:%Y-%m-%d}: {drop.what}", why=why,
        do=drop.do or do, basis=drop.basis, source=drop.source,
    )  # fmt: skip


def released(build: Build, step: str, shop: Shop) -> Gate:
    """Return whether release agent is on the mould for one more pull.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    shop
        For the mould.

    Notes
    -----
    Without the mould in the ledger, the finished release step of the build is what somebody has looked at; pulls are
    not counted then.
    """
    mould = shop.mould(build.mould)
    why = "a few square centimetres without release are enough to stick a part to its mould"
    do = "put release on, let it cure, and write it down for the mould"
    if mould is None:
        done = next((s for s in build.steps if s.key == "release"), None)
        ticked = done is not None and done.finished is not None
        return Gate(
            key="release", step=step, holds=True if ticked else None, why=why, do=do, basis=Basis.COMMON,
            what="the release step is finished; pulls are not counted" if ticked else "nothing says that it is on",
        )  # fmt: skip
    if not mould.coats:
        return Gate(
            key="release", step=step, holds=None, what="no release coat is written down for it", why=why, do=do,
            basis=Basis.COMMON,
        )  # fmt: skip
    if not mould.pulls:
        coats = sum(n for _, n, _ in mould.coats)
        return Gate(
            key="release", step=step, holds=coats >= NEW_COATS, why=why, do=do, basis=Basis.COMMON,
            what=f"it is new and has {coats} coat{'s' if coats != 1 else ''}; {NEW_COATS} or more are wanted",
        )  # fmt: skip
    each = mould.coats_last or build.planned.release_each
    since = mould.pulls_since_release
    if not each:
        return Gate(
            key="release", step=step, holds=None, why=why, do="state for the mould how many pulls a coat serves",
            what=f"{since} pulls since release; for how many a coat serves is not known", basis=Basis.COMMON,
        )  # fmt: skip
    own = mould.coats_last is not None
    return Gate(
        key="release", step=step, holds=since < each, why=why, do=do,
        what=f"{since} pull{'s' if since != 1 else ''} since release; a coat serves {each}",
        basis=Basis.DATA_SHEET if own else Basis.COMMON,
        source=f"as stated for {mould.name}" if own else "one coat for every 3 to 5 pulls, for each when split or deep",
    )  # fmt: skip


def _since(mould: Mould, tested: datetime) -> str:
    at, what, where = mould.repairs[-1]
    place = f" ({where})" if where else ""
    return f"tested {tested:%Y-%m-%d}, and repaired after that, {at:%Y-%m-%d}: {what}{place}"
