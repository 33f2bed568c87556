"""The cards of a new job: sizes typed, a drawing sent, a photo of the card on its sheet."""

from __future__ import annotations

import base64
import math
from collections.abc import Awaitable, Callable
from functools import partial
from html import escape
from pathlib import Path

import shapely
from nicegui import ui

from bagside.errors import BagsideError, InputError
from bagside.geometry import polygon
from bagside.quantity import NotAQuantity, Quantity, read
from bagside.sheets.themed import themed
from bagside.spec import fields
from bagside.web.founding.card_picture import BROAD, SLIM, Floats, card_picture
from bagside.web.founding.cards import (
    DRAWING,
    MAY_BE_EMPTY,
    MEANT,
    PHOTO,
    SIZES,
    Card,
    as_points,
    drawing_read,
    photo_read,
)
from bagside.web.founding.draft import metres, plain
from bagside.web.founding.mesh import METRES, UNITS
from bagside.web.guard import DRAWINGS, MOST, PHOTOS, parsed_aside
from bagside.web.pages.new_job.asked import NewPage
from bagside.web.parts.amount import amount
from bagside.web.parts.controls import choice, download, entry, verb
from bagside.web.parts.drop import Drop
from bagside.web.parts.findings import findings
from bagside.web.parts.html import box, figure, markup, words


class CardAsking:
    """The part of the page where cards are made.

    Parameters
    ----------
    page
        Of the new job.
    """

    def __init__(self, page: NewPage) -> None:
        self.page = page
        self._broad: ui.html | None = None
        self._slim: ui.html | None = None
        self._says: ui.html | None = None

    @property
    def card(self) -> Card:
        """The card in hand."""
        return self.page.draft.card

    def picture(self) -> None:
        """Show the card in hand."""
        say, draft = self.page.sheet.say, self.page.draft
        with box("p", "ways"):
            for k, card in enumerate(draft.cards):
                chosen = verb(card.name, partial(self._take, k), name=say("new_job.take_card", card=card.name))
                chosen._props["aria-pressed"] = "true" if k == draft.hand else "false"
            verb(say("new_job.add_card"), self._add)
            if draft.hand:
                verb(say("new_job.drop_card", card=self.card.name), self._drop)
        self._broad = self._slim = self._says = None
        if self.card.shape in (DRAWING, PHOTO) and not self.card.loops:
            self._wait_for_file()  # the place of the picture
            return
        self._broad, self._slim = figure("", look="card broad"), figure("", look="card slim")
        self._says = words("", tag="p", look="b note")
        self.redraw()
        over = self.card.over
        if self.card.shape == PHOTO and over is not None and over.is_file():
            address = "data:image/png;base64," + base64.b64encode(over.read_bytes()).decode("ascii")
            alt = escape(say("new_job.picture_over", card=self.card.name), quote=True)
            markup(f'<img class="over" src="{address}" alt="{alt}">')

    def _wait_for_file(self) -> None:
        page, say = self.page, self.page.sheet.say
        if self.card.shape == DRAWING:
            if self.card.raw is not None:
                self._ask_unit(self.card.raw)
            if self.card.layers:
                self._ask_layer(self.card.layers)
            name = say("new_job.drop_drawing")
            Drop(page.sheet, name, kinds=DRAWINGS, most=MOST["drawing"], took=self._drawing_came)
        else:
            name = say("new_job.drop_photo")
            Drop(page.sheet, name, kinds=PHOTOS, most=MOST["photo"], took=self._photo_came, camera=True)

    def redraw(self) -> None:
        """Draw the card in hand with what it is now."""
        if self._broad is None or self._slim is None or self._says is None or self._broad.is_deleted:
            return
        says = ""
        try:
            for place, room in ((self._broad, BROAD), (self._slim, SLIM)):
                place.set_content(themed(self._drawn(room)))
        except BagsideError as error:
            says = " ".join(f"{p.wanted}." for p in error.problems) if isinstance(error, InputError) else str(error)
        self._says.set_content(escape(says))

    def _drawn(self, room: tuple[float, float]) -> str:
        page, card = self.page, self.card
        say, tongue = page.sheet.say, page.sheet.tongue
        title, zero = say("new_job.picture_card", card=card.name), say("new_job.zero")
        loops = card.outline()
        if not loops:
            return self._meant(title, zero, room)
        low, high = loops[0].min(axis=0), loops[0].max(axis=0)
        sizes = (tongue.length(float(high[0] - low[0])), tongue.length(float(high[1] - low[1])))
        net: list[Floats] = []
        trim = metres(page.draft.answers["trim"])
        if trim and page.draft.hand == 0:
            inside = polygon(loops).buffer(-trim, join_style="mitre")
            parts = [g for g in getattr(inside, "geoms", [inside]) if not g.is_empty]
            net = [shapely.get_coordinates(g.exterior) for g in parts]
        ply = next((k for k, p in enumerate(page.draft.plies) if p.card == card.name), None)
        warp, said = self._warp(ply)
        return card_picture(loops, title=title, sizes=sizes, zero=zero, trim=net, warp=warp, said=said, room=room)

    def _meant(self, title: str, zero: str, room: tuple[float, float]) -> str:
        """Return the shape with the names of its sizes on it: what is asked."""
        shape, say = self.card.shape, self.page.sheet.say
        if shape not in SIZES:
            return card_picture((), title=title, sizes=("", ""), zero=zero, room=room)
        sizes = [say(f"new_job.size_{s}") for s in ("length", "diameter") if s in SIZES[shape]]
        sizes += [say("new_job.size_width")] if "width" in SIZES[shape] else []
        loops = Card(name="meant", shape=shape, sizes=dict(MEANT[shape])).outline()
        along, across = (*sizes, "", "")[:2]
        return card_picture(loops, title=title, sizes=(along, across), zero=zero, room=room, meant=True)

    def _warp(self, ply: int | None) -> tuple[float | None, str]:
        stated = self.card.warp or ("" if ply is None else self.page.draft.plies[ply].angle)
        try:
            angle = read(stated, Quantity.ANGLE) if stated else None
        except NotAQuantity:
            angle = None
        if angle is None:
            return None, ""
        say = self.page.sheet.say
        return angle, say("new_job.warp") if self.card.warp or ply is None else say("new_job.warp_of", ply=ply + 1)

    def ask(self) -> None:
        """Show what is asked of the card in hand."""
        page, card = self.page, self.card
        say = page.sheet.say
        words(say("new_job.card"), tag="h2", look="b")
        if page.draft.hand:
            entry(say("new_job.card_name"), card.name, self._renamed, wide="10em")
        shapes = {s: say(f"new_job.shape_{s}") for s in (*SIZES, DRAWING, PHOTO)}
        choice(say("new_job.shape"), shapes, card.shape, self._shaped)
        if card.shape == DRAWING:
            self._ask_drawing()
        elif card.shape == PHOTO:
            self._ask_photo()
        else:
            for size in SIZES[card.shape]:
                self._ask_size(size)
        if page.draft.hand == 0:
            page.ask("trim", Quantity.LENGTH, "mm", fields.SomeLength, self.page.picture_again)

    def _ask_size(self, size: str) -> None:
        page, card = self.page, self.card
        say, tongue = page.sheet.say, page.sheet.tongue
        name = say(f"new_job.size_{size}")
        value = card.sizes.get(size, "")
        if size == "points":
            field = entry(name, value.replace(" mm", ""), self._points, hint=say("new_job.h_points"), wide="100%")
        else:
            field = amount(
                tongue, name, value, Quantity.LENGTH, "mm", partial(self._sized, size),
                wanted=fields.PositiveLength, may_be_empty=size in MAY_BE_EMPTY,
            )  # fmt: skip
        page.fields[f"card_{size}"] = field

    def _sized(self, size: str, value: str) -> None:
        self.card.sizes[size] = value
        self.page.picture_again()

    def _points(self, typed: str) -> None:
        self.card.sizes["points"] = as_points(typed, self.page.sheet.tongue)
        self.page.picture_again()

    def _shaped(self, shape: str) -> None:
        card = self.card
        card.shape, card.loops, card.warp, card.sure, card.found, card.file = shape, (), "", None, (), None
        card.over, card.left_out, card.raw, card.layers = None, 0, None, ()
        self.page.drawn()

    def _take(self, k: int) -> None:
        self.page.draft.hand = k
        self.page.drawn()

    def _add(self) -> None:
        draft = self.page.draft
        names = {card.name for card in draft.cards}
        name = next(f"card-{k}" for k in range(2, 1000) if f"card-{k}" not in names)
        draft.cards.append(Card(name=name))
        draft.hand = len(draft.cards) - 1
        self.page.drawn()

    def _drop(self) -> None:
        draft = self.page.draft
        gone = draft.cards.pop(draft.hand)
        draft.hand = 0
        for ply in draft.plies:
            ply.card = draft.cards[0].name if ply.card == gone.name else ply.card
        self.page.drawn()

    def _renamed(self, typed: str) -> None:
        draft, name = self.page.draft, plain(typed)
        if not name or name in ("part", "lay-up") or name in {c.name for c in draft.cards if c is not self.card}:
            raise InputError.one("", typed, self.page.sheet.say("new_job.card_name_taken").rstrip("."))
        for ply in draft.plies:
            ply.card = name if ply.card == self.card.name else ply.card
        self.card.name = name
        self.page.drawn()

    # --- a drawing

    def _ask_drawing(self) -> None:
        page, card = self.page, self.card
        say = page.sheet.say
        options = {"": say("new_job.unit_in_file")} | {u: u for u in UNITS}
        page.fields["card_unit"] = choice(
            say("new_job.unit"), options, card.unit, partial(self._drawing_said, "unit"),
            hint=say("new_job.h_drawing_unit"),
        )  # fmt: skip
        page.fields["card_layer"] = entry(
            say("new_job.layer"), card.layer, partial(self._drawing_said, "layer"), hint=say("new_job.h_layer")
        )
        if card.loops:
            self._wait_for_file()

    def _ask_unit(self, raw: tuple[float, float]) -> None:
        """Ask in which unit a drawing is, by what that makes of it."""
        say, tongue = self.page.sheet.say, self.page.sheet.tongue
        with box("fieldset", "units"):
            with box("legend"):
                words(say("new_job.which_unit_drawing"))
            for unit in UNITS:
                size = " × ".join(tongue.length(x * METRES[unit]) for x in raw)
                with box("div"):
                    verb(say("new_job.unit_makes", unit=unit, size=size), self._chosen("unit", unit))

    def _ask_layer(self, layers: tuple[str, ...]) -> None:
        """Ask which of several outlines is the card."""
        say = self.page.sheet.say
        with box("fieldset", "units"):
            with box("legend"):
                words(say("new_job.which_layer"))
            for layer in layers:
                with box("div"):
                    verb(layer, self._chosen("layer", layer))

    def _chosen(self, name: str, value: str) -> Callable[[], Awaitable[None]]:
        async def act() -> None:
            try:
                await self._drawing_said(name, value)
            except BagsideError as error:
                self.page.sheet.tell(error)

        return act

    async def _drawing_said(self, name: str, value: str) -> None:
        card, before = self.card, getattr(self.card, name)
        setattr(card, name, value.strip())
        if card.file is not None:
            try:
                await self._drawing_looked(card.file)
            except BagsideError:
                setattr(card, name, before)
                raise
            self.page.drawn()
        else:
            self.page.keep()

    async def _drawing_came(self, path: Path, name: str) -> None:
        await self._drawing_looked(path)
        self.card.file = self.page.draft.kept(path)
        self.page.drawn()

    async def _drawing_looked(self, path: Path) -> None:
        """Read a drawing as far as it can be without an answer; what it does not say is asked then."""
        card, say = self.card, self.page.sheet.say
        found = await parsed_aside(drawing_read, path, card.unit, card.layer)
        names = tuple(dict.fromkeys(n for n in found.layers if n))
        several = len(found.loops) > 1
        if several and len(names) < 2:
            raise InputError.one("", "", say("new_job.several_nameless", count=len(found.loops)).rstrip("."))
        card.layers = names if several else ()
        card.raw = None if several else found.raw
        card.loops = () if several or found.raw is not None else found.loops[0]
        card.warp = "" if not card.loops or found.warps[0] is None else _degrees(found.warps[0])

    # --- a photo

    def _ask_photo(self) -> None:
        page, card = self.page, self.card
        say, tongue, draft = page.sheet.say, page.sheet.tongue, page.draft
        words(say("new_job.photo_how"), tag="p", look="note")
        with box("p", "verbs-row"):
            for paper in ("A4", "A3"):
                download(say("new_job.print_sheet", paper=paper), f"/new/sheet-{paper}.pdf")
        choice(say("new_job.paper"), {"A4": "A4", "A3": "A3"}, draft.paper, self._paper)
        for rule in ("rule_x", "rule_y", "thick"):
            page.fields[f"photo_{rule}"] = amount(
                tongue, say(f"new_job.q_{rule}"), draft.rules[rule], Quantity.LENGTH, "mm",
                partial(self._ruled, rule), wanted=fields.SomeLength, hint=say(f"new_job.h_{rule}"),
                may_be_empty=rule != "thick",
            )  # fmt: skip
        if card.loops:
            self._wait_for_file()
        if card.sure is not None:
            words(say("new_job.sure", sure=tongue.length(card.sure, 2)), tag="p", look="note")
            if card.left_out:
                words(tongue.count("new_job.left_out", card.left_out), tag="p", look="b note")
        findings(card.found, tongue, most=3)

    def _paper(self, paper: str) -> None:
        self.page.draft.paper = paper
        self.page.keep()

    def _ruled(self, rule: str, value: str) -> None:
        self.page.draft.rules[rule] = value
        self.page.keep()

    async def _photo_came(self, path: Path, name: str) -> None:
        card, draft = self.card, self.page.draft
        rules = [metres(draft.rules[k]) if draft.rules[k] else 0.0 for k in ("rule_x", "rule_y", "thick")]
        found = await parsed_aside(photo_read, path, draft.paper, *rules)
        over = draft.kept_bytes(found.picture, ".png")
        card.loops, card.sure, card.found = found.loops[0], found.sure[0], found.found
        card.warp = "" if found.warps[0] is None else _degrees(found.warps[0])
        card.left_out, card.over = len(found.loops) - 1, over
        self.page.drawn()


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):.1f}°"
