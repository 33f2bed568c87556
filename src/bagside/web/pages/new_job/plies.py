"""The plies of a new job in laying order: cloth, angle, and what each is cut from."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from nicegui.element import Element

from bagside.errors import InputError
from bagside.quantity import Quantity
from bagside.spec import fields
from bagside.web.founding.draft import MESH, PlyDraft
from bagside.web.pages.new_job.asked import NewPage
from bagside.web.parts.amount import as_stated, for_person
from bagside.web.parts.bare import bare_choice, bare_entry
from bagside.web.parts.controls import verb
from bagside.web.parts.html import box, words


def plies_table(page: NewPage) -> None:
    """Show the plies.

    Parameters
    ----------
    page
        Of the new job.
    """
    say, draft = page.sheet.say, page.draft
    cards = draft.way != MESH
    words(say("new_job.plies"), tag="h2", look="b")
    with box("table", "plies-new", aria_label=say("new_job.plies")):
        with box("thead"), box("tr"):
            heads = ("ply", "cloth", "angle", *(("card", "copies") if cards else ()))
            for head in heads:
                _cell("th", say(f"new_job.ply_{head}"))
            _cell("th", "")
        with box("tbody"):
            for k, ply in enumerate(draft.plies):
                with box("tr"):
                    _row(page, k, ply, cards)
    with box("p", "verbs-row"):
        verb(say("new_job.add_ply"), partial(_then, page, lambda: draft.plies.append(_another(page))))
        if len(draft.plies) > 1:
            verb(say("new_job.mirror_plies"), partial(_then, page, lambda: _mirrored(page)))
    words(say("new_job.plies_is"), tag="p", look="q s")


def _row(page: NewPage, k: int, ply: PlyDraft, cards: bool) -> None:
    say, sheet, draft = page.sheet.say, page.sheet, page.draft
    number = k + 1
    _cell("td", say("new_job.first_ply", number=number) if k == 0 else str(number))
    with box("td"):
        known = {} if page.library is None else page.library.prepreg
        options = {n: n for n in known}
        name = say("new_job.cloth_of", ply=number)
        bare_choice(sheet, name, options, ply.material, partial(_set, page, ply, "material"))
    with box("td"), box("span", "n"):
        value, unit = for_person(ply.angle, Quantity.ANGLE, "°", sheet.tongue)
        name = say("new_job.angle_of", ply=number)
        page.lines.append(bare_entry(sheet, name, value, partial(_angle, page, ply), wide="4em"))
        words(unit)
    if cards:
        with box("td"):
            names = {card.name: card.name for card in draft.cards}
            bare_choice(sheet, say("new_job.card_of", ply=number), names, ply.card, partial(_set, page, ply, "card"))
        with box("td"):
            name = say("new_job.copies_of", ply=number)
            act = partial(_copies, page, ply)
            page.lines.append(bare_entry(sheet, name, str(ply.copies), act, wide="3em", mode="numeric"))
    with box("td", "verbs-row"):
        if k > 0:
            _verb(page, "down_ply", number, lambda: _swapped(page, k - 1))
        if k + 1 < len(draft.plies):
            _verb(page, "up_ply", number, lambda: _swapped(page, k))
        _verb(page, "copy_ply", number, lambda: draft.plies.insert(k + 1, _copy(ply)))
        if len(draft.plies) > 1:
            _verb(page, "drop_ply", number, lambda: draft.plies.pop(k))


def _verb(page: NewPage, key: str, number: int, act: Callable[[], object]) -> None:
    say = page.sheet.say
    text = say(f"new_job.{key}")
    verb(text, partial(_then, page, act), name=say("new_job.of_ply", verb=text, ply=number))


def _then(page: NewPage, act: Callable[[], object]) -> None:
    act()
    page.drawn()


def _cell(tag: str, text: str) -> Element:
    with box(tag) as cell:
        words(text)
    return cell


def _set(page: NewPage, ply: PlyDraft, name: str, value: str) -> None:
    setattr(ply, name, value)
    page.picture_again()


def _angle(page: NewPage, ply: PlyDraft, typed: str) -> None:
    ply.angle = as_stated(typed, Quantity.ANGLE, "°", page.sheet.tongue, fields.Angle)
    page.picture_again()


def _copies(page: NewPage, ply: PlyDraft, typed: str) -> None:
    if not (typed.strip().isascii() and typed.strip().isdigit() and int(typed) > 0):
        raise InputError.one("", typed, page.sheet.say("asked.no_whole", came=typed).rstrip("."))
    ply.copies = int(typed)
    page.keep()


def _copy(ply: PlyDraft) -> PlyDraft:
    return PlyDraft(material=ply.material, angle=ply.angle, card=ply.card, copies=ply.copies)


def _another(page: NewPage) -> PlyDraft:
    last = page.draft.plies[-1]
    card = page.draft.card.name if page.draft.way != MESH else last.card
    return PlyDraft(material=last.material, angle=last.angle, card=card)


def _swapped(page: NewPage, k: int) -> None:
    plies = page.draft.plies
    plies[k], plies[k + 1] = plies[k + 1], plies[k]


def _mirrored(page: NewPage) -> None:
    """Lay the same plies again in the other order, so that the stack is symmetric about its middle."""
    page.draft.plies += [_copy(ply) for ply in reversed(page.draft.plies)]
