"""Money as pictures: bars of what one further part costs, the price by number off, and lines in the reader's words."""

from __future__ import annotations

import math
from html import escape

from bagside.planning.cost import CostLine, Total
from bagside.sheets import colour, paper
from bagside.sheets.typeface import BODY, NOTE, width
from bagside.web.parts.basis import mark
from bagside.web.views.money.view import MoneyView
from bagside.web.words.tongue import Tongue

WIDE, NARROW, TALL = 126.0, 86.0, 66.0
"""On a desk and on a phone, and how tall [mm]."""
LEFT, RIGHT, TOP, BOTTOM = 16.0, 7.0, 6.0, 12.0
APART = 30.0
"""Between two figures on the line [mm]."""
AXIS = (1, 2, 5, 10, 20, 50, 100, 200)
KNOWN = {
    "bag film": "bag_film",
    "release film": "release_film",
    "breather": "breather",
    "edge breather": "edge_breather",
    "sealant tape": "sealant_tape",
    "gloves, blades, paper, wipes": "sundries",
    "oven": "oven_energy",
    "oven's time": "oven_time",
    "attended time, overhead included": "attended",
    "templates": "templates",
    "mould and pattern": "mould_pattern",
}
"""Lines that the plan names itself; what is bought or owned keeps the name that the workshop gave it."""


def shares_drawn(view: MoneyView, tongue: Tongue) -> str:
    """Return where the money of one further part goes, as bars from one line, in HTML.

    Parameters
    ----------
    view
        What it costs.
    tongue
        Of the reader.
    """
    most = max((s.cost for s in view.shares), default=0.0) or 1.0
    lines = "".join(
        f'<li><span class="name">{escape(group_said(s.group, tongue))}</span>'
        f'<span class="track"><i style="width:{100.0 * s.cost / most:.2f}%"></i></span>'
        f'<span class="value">{escape(tongue.money(s.cost, view.currency))}{mark(s.basis, tongue)} '
        f'<span class="q">{escape(tongue.share(s.share))}</span></span></li>'
        for s in view.shares
    )
    return f'<ul class="bars tall">{lines}</ul>'


def prices_drawn(view: MoneyView, tongue: Tongue, wide: float = WIDE) -> str:
    """Return the price of one part by number off as SVG: a line of what is worked out, a square at this job's.

    Parameters
    ----------
    view
        What it costs.
    tongue
        Of the reader.
    wide
        Of the drawing [mm].
    """
    if len(view.curve) < 2:
        return ""
    last = view.curve[-1][0]
    top = max(max(p for _, p in view.curve), view.price) * 1.08
    step = next(
        s * 10**k for k in range(-2, 9) for s in (1, 2, 5) if top / (s * 10**k) <= 5.0
    )  # fmt: skip

    def at(number: float, price: float) -> tuple[float, float]:
        x = LEFT + (wide - LEFT - RIGHT) * math.log(number) / math.log(last)
        return x, TOP + (TALL - TOP - BOTTOM) * (1.0 - price / top)

    out = []
    count = 0
    while count * step <= top:
        _, y = at(1, count * step)
        out.append(paper.line([(LEFT, y), (wide - RIGHT, y)], weight=paper.HAIR, ink=colour.HAIR))
        out.append(
            paper.text(LEFT - 1.6, y + 0.9, tongue.number(count * step), size=NOTE, anchor="end", ink=colour.SECOND)
        )
        count += 1
    for number in AXIS:
        if number <= last:
            x, y = at(number, 0.0)
            out.append(paper.line([(x, y), (x, y + 1.0)], weight=paper.THIN))
            out.append(paper.text(x, y + 4.2, str(number), size=NOTE, anchor="middle", ink=colour.SECOND))
    out.append(paper.line([at(1, 0.0), at(last, 0.0)], weight=paper.THIN))
    x, y = at(last, 0.0)
    out.append(paper.text(x, y + 8.4, tongue.say("money.number_off"), size=NOTE, anchor="end", ink=colour.SECOND))
    further = view.repeat / (1.0 - view.scrap) * (1.0 + view.profit)
    low, right = at(1, further), at(last, further)
    out.append(paper.line([low, right], weight=paper.THIN, dashes="1.6 0.9"))
    without = tongue.say("money.without_once")
    out.append(paper.text(low[0] + 1.0, low[1] + 3.8, without, size=NOTE))
    out.append(paper.line([at(n, p) for n, p in view.curve], weight=paper.BOLD))
    told = -wide
    for number, price in view.prices:
        if number > last or number == view.quantity:
            continue
        x, y = at(number, price)
        out.append(paper.circle(x, y, 1.0, weight=paper.THIN, fill=colour.PAPER))
        if x - told > APART:  # those that stand too near are told in the table
            out.append(_beside(x, y, tongue.money(price, view.currency), wide))
            told = x
    x, y = at(view.quantity, view.price)
    words = tongue.say("money.this_job", quantity=view.quantity, price=tongue.money(view.price, view.currency))
    out.append(paper.rect(x - 1.4, y - 1.4, 2.8, 2.8, weight=paper.EDGE, fill=colour.TAPE))
    beneath = 7.0 if x + 1.0 > low[0] + 1.0 + width(without, NOTE) else 11.0  # clear of the words beside the line
    out.append(_beside(x, y + beneath, words, wide, bold=True))
    return paper.sheet(wide, TALL, out, title=tongue.say("money.by_number"))


def _beside(x: float, y: float, words: str, wide: float, *, bold: bool = False) -> str:
    long = width(words, BODY, bold=bold)
    end = x + 2.0 + long > wide - 1.0
    return paper.text(
        x - 2.0 if end else x + 2.0, y - 1.6, words, size=BODY, bold=bold, anchor="end" if end else "start", halo=True
    )  # fmt: skip


def group_said(group: str, tongue: Tongue) -> str:
    """Return the name of a group of lines.

    Parameters
    ----------
    group
        See `bagside.planning.cost.CostLine`.
    tongue
        Of the reader.
    """
    return tongue.say(f"money.group_{group.replace(' ', '_')}")


def line_said(line: CostLine, tongue: Tongue) -> str:
    """Return what a line of cost is, in the reader's words.

    Parameters
    ----------
    line
        One of the plan's.
    tongue
        Of the reader.
    """
    if line.total is Total.EQUIPMENT:
        return line.what
    if line.what in KNOWN:
        return tongue.say(f"money.line_{KNOWN[line.what]}")
    if line.what.startswith("cloth "):
        return tongue.say("money.line_cloth", name=line.what.removeprefix("cloth "))
    if line.what.startswith("offcuts "):
        return tongue.say("money.line_offcuts", name=line.what.removeprefix("offcuts ").partition(",")[0])
    if line.what.startswith("adhesive, "):
        return tongue.say("money.line_adhesive", name=line.what.removeprefix("adhesive, "))
    return line.what


def amount_said(line: CostLine, tongue: Tongue) -> str:
    """Return how much of a line there is, with its unit.

    Parameters
    ----------
    line
        One of the plan's.
    tongue
        Of the reader.
    """
    if line.unit in ("set", "pcs"):
        return tongue.say(f"money.unit_{line.unit}", count=tongue.number(line.amount))
    digits = 0 if line.amount >= 100.0 else 1 if line.amount >= 10.0 else 2 if line.amount >= 1.0 else 3
    return f"{tongue.number(line.amount, digits)} {line.unit}"
