"""Money: what one further part costs, what is paid once, and the price by number off."""

from __future__ import annotations

from html import escape

from bagside.planning.cost import Total
from bagside.web.house import House
from bagside.web.model.job_desk import Shown
from bagside.web.parts.basis import mark
from bagside.web.parts.controls import link
from bagside.web.parts.frame import JobSheet, picture, rows, strip
from bagside.web.parts.html import box, figure, markup, words
from bagside.web.parts.opened import job_page
from bagside.web.views.money.drawn import NARROW, amount_said, group_said, line_said, prices_drawn, shares_drawn
from bagside.web.views.money.view import MoneyView


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    job_page(house, "money", "board", opened=lambda sheet, _: sheet.draws(lambda shown: _draw(shown, sheet)))


def _draw(shown: Shown, sheet: JobSheet) -> None:
    view: MoneyView = shown.view
    say, tongue = sheet.say, sheet.tongue
    with picture("money"):
        with box("div", "half"):
            words(say("money.further"), tag="h2")
            markup(shares_drawn(view, tongue))
            further = tongue.money(view.repeat, view.currency)
            markup(f"<p>{escape(say('money.further_costs', amount=further))}{mark(view.basis, tongue)}</p>")
        with box("div", "half"):
            words(say("money.by_number"), tag="h2")
            figure(prices_drawn(view, tongue), look="on-desk")
            figure(prices_drawn(view, tongue, NARROW), look="on-phone")
    with strip() as (left, middle, right):
        with left:
            words(say("money.once"), tag="h2")
            markup(_table(view, Total.ONE_OFF, sheet))
            words(say("money.spread", amount=tongue.money(view.one_off, view.currency), parts=view.spread), tag="p",
                  look="q s")  # fmt: skip
            words(say("money.equipment"), tag="h2")
            markup(_table(view, Total.EQUIPMENT, sheet))
            words(say("money.equipment_why", amount=tongue.money(view.equipment, view.currency)), tag="p", look="q s")
        with middle:
            words(say("money.lines"), tag="h2")
            markup(_table(view, Total.REPEAT, sheet), look="scroll")
        with right:
            words(say("money.price_one", quantity=view.quantity), tag="p", look="q")
            markup(f'<p class="fig">{escape(tongue.money(view.price, view.currency))}{mark(view.basis, tongue)}</p>')
            words(say("money.whole", amount=tongue.money(view.price * view.quantity, view.currency)), tag="p")
            words(say("money.with", scrap=tongue.share(view.scrap), profit=tongue.share(view.profit)), tag="p",
                  look="q s")  # fmt: skip
            body = [
                [escape(say("money.off", count=n)), escape(tongue.money(price, view.currency))]
                for n, price in view.prices
            ]
            hand = next((k for k, (n, _) in enumerate(view.prices) if n == view.quantity), None)
            markup(rows(("", say("money.price")), body, right=(0, 1), hand=hand, name=say("money.by_number")))
            link(say("money.prices_where"), "/workshop")


def _table(view: MoneyView, total: Total, sheet: JobSheet) -> str:
    """Return the lines of one total as a table: what, how much, for how much each, in all."""
    say, tongue = sheet.say, sheet.tongue
    lines = [line for line in view.lines if line.total is total]
    if not lines:
        return f'<p class="q">{escape(say("money.none"))}</p>'
    order = {s.group: k for k, s in enumerate(view.shares)}
    lines.sort(key=lambda line: (order.get(line.group, 99), -line.cost))
    body = []
    before = ""
    for line in lines:
        group = group_said(line.group, tongue) if total is Total.REPEAT and line.group != before else ""
        before = line.group
        body.append(
            [
                f'<span class="q">{escape(group)}</span>',
                escape(line_said(line, tongue)),
                escape(amount_said(line, tongue)),
                escape(tongue.money(line.price, view.currency)),
                f"{escape(tongue.money(line.cost, view.currency))}{mark(line.basis, tongue)}",
            ]
        )
    head = ("", say("money.what"), say("money.amount"), say("money.each"), say("money.cost"))
    if total is Total.REPEAT:
        return rows(head, body, right=(2, 3, 4), name=say("money.lines"))
    name = say(f"money.{total.name.lower()}")
    return rows(head[1:2] + head[4:], [[row[1], row[4]] for row in body], right=(1,), name=name)
