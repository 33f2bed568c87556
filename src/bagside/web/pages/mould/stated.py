"""What is stated on the mould so far: net edge, holes, lines, pieces; each can be changed or taken away here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from tomlkit import TOMLDocument

from bagside.errors import BagsideError, InputError
from bagside.quantity import Quantity
from bagside.spec.fields import PositiveLength
from bagside.spec.region import EVERYTHING
from bagside.web.pages.mould.edge_edits import cut_off_set
from bagside.web.pages.mould.edits import hole_removed, hole_set, line_removed
from bagside.web.pages.mould.ground import Ground
from bagside.web.pages.mould.piece_edits import one_piece, pull_set
from bagside.web.parts.amount import amount
from bagside.web.parts.controls import entry, verb
from bagside.web.parts.html import box, words
from bagside.web.views.mould.pull import best_pull
from bagside.web.work.child import Ended
from bagside.web.work.crew import Lane


def stated_key(page: Ground) -> str:
    """Return what the list of what is stated hangs on.

    Parameters
    ----------
    page
        The page.
    """
    document = page.desk.file.document().unwrap()
    mould = document.get("mould", {})
    told = [document.get(key) for key in ("part", "holes", "lines")]
    return repr([*told, mould.get("net_edge"), mould.get("pieces")])


def stated_list(page: Ground) -> None:
    """Draw what is stated on the mould.

    Parameters
    ----------
    page
        The page.
    """
    say = page.sheet.say
    document = page.desk.file.document()
    part = str(document.get("part", EVERYTHING))
    words(say("mould.edge"), tag="h2")
    words(say("mould.edge_whole") if part == EVERYTHING else say("mould.edge_is", name=part), tag="p")
    cut = document.get("mould", {}).get("net_edge", [])
    if cut:
        with box("p"):
            words(say("mould.scan_cut", count=len(cut)))
            verb(say("mould.remove"), _does(page, "did_cut_gone", cut_off_set((), None)))
    _holes(page, document)
    _lines(page, document)
    _pieces(page, document)


def _holes(page: Ground, document: TOMLDocument) -> None:
    say, tongue = page.sheet.say, page.sheet.tongue
    holes = document.get("holes", [])
    if not holes:
        return
    words(say("mould.holes"), tag="h2")
    with box("ul", "mould-list"):
        for k, hole in enumerate(holes):
            name = str(hole.get("name", ""))
            with box("li"):
                entry(say("mould.name"), name, _sets(page, k, "name", name), wide="9em")
                amount(tongue, say("mould.diameter"), str(hole.get("diameter", "")), Quantity.LENGTH, "mm",
                       _sets(page, k, "diameter", name), wanted=PositiveLength)  # fmt: skip
                verb(say("mould.remove"), _does(page, "did_hole_gone", hole_removed(k), name=name),
                     name=f"{say('mould.remove')}: {name}")  # fmt: skip


def _lines(page: Ground, document: TOMLDocument) -> None:
    say = page.sheet.say
    lines = document.get("lines", {})
    if not lines:
        return
    words(say("mould.lines"), tag="h2")
    with box("ul", "mould-list"):
        for name, line in lines.items():
            with box("li"):
                words(str(name), look="b")
                words(say("mould.points", count=len(line.get("points", []))), look="q")
                verb(say("mould.remove"), _does(page, "did_line_gone", line_removed(str(name)), name=name),
                     name=f"{say('mould.remove')}: {name}")  # fmt: skip


def _pieces(page: Ground, document: TOMLDocument) -> None:
    say = page.sheet.say
    pieces = document.get("mould", {}).get("pieces", [])
    words(say("mould.pieces"), tag="h2")
    if not pieces:
        words(say("mould.pieces_one"), tag="p")
        return
    with box("ul", "mould-list"):
        for k, piece in enumerate(pieces):
            name = str(piece.get("name", ""))
            pull = " ".join(f"{float(x):g}" for x in piece.get("pull", []))
            with box("li"):
                words(name, look="b")
                entry(say("mould.pull"), pull, _pulls(page, k, name), hint=say("mould.pull_hint"), wide="10em")
                with box("div", "mould-row"):
                    verb(say("mould.pull_look"), _look_along(page, piece), name=f"{name}: {say('mould.pull_look')}")
                    verb(say("mould.pull_me"), _pull_here(page, k, name), name=f"{name}: {say('mould.pull_me')}")
                    verb(say("mould.pull_find"), pull_best(page, k, name), name=f"{name}: {say('mould.pull_find')}")
    verb(say("mould.to_one"), _does(page, "did_one", one_piece()))


def _does(page: Ground, did: str, change: Callable[[TOMLDocument], None], **values: object) -> Callable[[], object]:
    what = page.sheet.say(f"mould.{did}", **values)
    return page.sheet.doing(lambda: page.sheet.edit(what, change))


def _sets(page: Ground, index: int, key: str, name: str) -> Callable[[str], None]:
    def act(value: str) -> None:
        what = page.sheet.say("mould.did_hole_set", name=name, what=page.sheet.say(f"mould.{key}"))
        page.sheet.edit(what, hole_set(index, key, value.strip()))

    return act


def _pulls(page: Ground, index: int, name: str) -> Callable[[str], None]:
    def act(text: str) -> None:
        try:
            x, y, z = (float(part.replace("−", "-")) for part in text.replace(";", " ").split())
        except ValueError:
            raise InputError.one("", text, page.sheet.say("mould.pull_wrong")) from None
        if not 1e-6 < x * x + y * y + z * z < 1e12:
            raise InputError.one("", text, page.sheet.say("mould.pull_wrong"))
        page.sheet.edit(page.sheet.say("mould.did_pull", name=name), pull_set(index, (x, y, z)))

    return act


def _look_along(page: Ground, piece: Mapping[str, Any]) -> Callable[[], object]:
    """Return the act that looks at the mould as the part leaves this piece: what is hidden then is locked."""

    def act() -> None:
        if page.view is not None:
            page.view.look_from([-float(x) for x in piece.get("pull", [0, 0, -1])])

    return act


def _pull_here(page: Ground, index: int, name: str) -> Callable[[], object]:
    async def act() -> None:
        way = None if page.view is None else await page.view.towards()
        if way is not None:
            _put_pull(page, index, name, way)

    return act


def pull_best(page: Ground, index: int, name: str) -> Callable[[], object]:
    """Return the act that looks for the best pull of a piece and states it.

    Parameters
    ----------
    page
        The page.
    index, name
        Of the piece.
    """
    desk = page.desk

    def found(ended: Ended) -> None:
        with page.sheet.client:
            if isinstance(ended.error, BagsideError):
                page.sheet.tell(ended.error)
            elif isinstance(ended.result, tuple):
                _put_pull(page, index, name, ended.result)

    def act() -> None:
        desk.crew.ask(f"pull:{desk.name}:{index}", best_pull, desk.file.path, index, heard=lambda _: None,
                      ended=found, lane=Lane.QUICK)  # fmt: skip

    return act


def _put_pull(page: Ground, index: int, name: str, way: tuple[float, float, float]) -> None:
    what = page.sheet.say("mould.did_pull", name=name)
    page.sheet.doing(lambda: page.sheet.edit(what, pull_set(index, way)))()
