"""A job that is being put together on the pages; kept for all windows until it is made, not with a page."""

from __future__ import annotations

import re
import secrets
import shutil
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from bagside.errors import Problem
from bagside.quantity import NotAQuantity, Quantity, read
from bagside.records.writing import unwritable
from bagside.spec.library import Library
from bagside.spec.workshop import Workshop
from bagside.web.founding.cards import Card
from bagside.web.founding.mesh import MeshSeen
from bagside.web.words.tongue import Tongue

CARDS, MESH = "cards", "mesh"
START = {
    "quantity": "1",
    "mould_thickness": "6 mm",
    "mould_material": "glass-epoxy",
    "depth": "0 mm",
    "flange": "75 mm",
    "trim": "0 mm",
    "service": "60 °C",
}
"""Answers to begin with; common practice, no source."""
RULES = {"rule_x": "", "rule_y": "", "thick": "0.3 mm"}
_PLAIN = {"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss"}


@dataclass(slots=True, kw_only=True)
class PlyDraft:
    """A ply in the order of laying.

    Parameters
    ----------
    material
        Name of a prepreg.
    angle
        As the file states it.
    card
        Name of the template it is cut from; empty when it is draped.
    copies
        Of the card, for each part.
    """

    material: str
    angle: str = "0°"
    card: str = ""
    copies: int = 1


@dataclass(slots=True, kw_only=True)
class MeshDraft:
    """The mesh of a mould that was sent.

    Parameters
    ----------
    file
        Where it lies now.
    seen
        What it holds.
    unit
        Of its numbers; empty until a person has said it.
    up, start
        Towards the laminate; where laying starts, in the numbers of the file.
    along
        The part's zero direction.
    picture
        Where ``seen.picture`` lies now; None when it was not kept.
    """

    file: Path
    seen: MeshSeen
    unit: str = ""
    up: tuple[float, float, float] = (0.0, 0.0, 1.0)
    start: tuple[float, float, float] = (0.0, 0.0, 0.0)
    along: tuple[float, float, float] = (1.0, 0.0, 0.0)
    picture: Path | None = None


@dataclass(slots=True)
class Draft:
    """What is known of a job so far.

    Parameters
    ----------
    folder
        Where files that were sent lie until the job is made.
    way
        ``cards`` or ``mesh``.
    name
        Of the part.
    answers
        By the names of `START` and ``replaces_material``, ``replaces_thickness``, as the file states them.
    touched
        Names of answers that a person gave.
    cards
        In the order they were made; the first is the part's own outline.
    hand
        Which card is in hand.
    plies
        In the order of laying.
    mesh
        None until one was sent.
    paper, rules
        Sheet under a card in a photo; its printed rules as measured and the card's thickness, as a file states them.
    """

    folder: Path
    way: str = CARDS
    name: str = ""
    answers: dict[str, str] = field(default_factory=lambda: dict(START))
    touched: set[str] = field(default_factory=set)
    cards: list[Card] = field(default_factory=lambda: [Card(name="card")])
    hand: int = 0
    plies: list[PlyDraft] = field(default_factory=list)
    mesh: MeshDraft | None = None
    paper: str = "A4"
    rules: dict[str, str] = field(default_factory=lambda: dict(RULES))

    @property
    def card(self) -> Card:
        """The card in hand."""
        return self.cards[self.hand]

    def first_ply(self, workshop: Workshop | None, library: Library | None) -> None:
        """Begin with one ply of the cloth that is there, when there is none yet.

        Parameters
        ----------
        workshop
            Whose rolls are looked at.
        library
            Materials.
        """
        if self.plies:
            return
        known = {} if library is None else library.prepreg
        rolls = [] if workshop is None else [r.material for r in workshop.stock if r.material in known]
        material = next(iter(rolls or known), "twill-200")
        self.plies = [PlyDraft(material=material, angle="0°", card=self.cards[0].name)]

    def kept(self, sent: Path) -> Path:
        """Move a file that was sent among the files of this draft and return where it lies, under a name of its own.

        Parameters
        ----------
        sent
            Where it lies now.

        Raises
        ------
        OutputError
            When there is no room for it.
        """
        target = self._target(sent.suffix.lower())
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            shutil.move(sent, target)
        except OSError as error:
            target.unlink(missing_ok=True)
            raise unwritable(target, error) from None
        return target

    def kept_bytes(self, content: bytes, suffix: str) -> Path:
        """Write a file of this draft and return where it lies.

        Parameters
        ----------
        content
            Of the file.
        suffix
            Its ending.

        Raises
        ------
        OutputError
            When there is no room for it.
        """
        target = self._target(suffix)
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
        except OSError as error:
            target.unlink(missing_ok=True)
            raise unwritable(target, error) from None
        return target

    def _target(self, suffix: str) -> Path:
        return self.folder / f"{secrets.token_hex(6)}{suffix}"  # a card may be renamed, and another take its name

    def forgotten(self) -> None:
        """Forget everything, and take the files away."""
        shutil.rmtree(self.folder, ignore_errors=True)
        fresh = Draft(self.folder)
        for key in self.__slots__:
            setattr(self, key, getattr(fresh, key))


def plain(name: str) -> str:
    """Return a name as a folder or a template has it: small letters, digits and hyphens.

    Parameters
    ----------
    name
        As a person calls it.

    Examples
    --------
    >>> plain("Lukendeckel groß, 2")
    'lukendeckel-gross-2'
    """
    low = "".join(_PLAIN.get(c, c) for c in name.casefold())
    bare = unicodedata.normalize("NFKD", low).encode("ascii", "ignore").decode("ascii")
    return re.sub("[^a-z0-9]+", "-", bare).strip("-")[:60]


def wants(draft: Draft, taken: tuple[str, ...], tongue: Tongue) -> Iterator[Problem]:
    """Yield what must still be said before there is a job; the place names the control.

    Parameters
    ----------
    draft
        So far.
    taken
        Names of jobs that are there.
    tongue
        Of the person.
    """

    def problem(place: str, key: str, **values: object) -> Problem:
        return Problem(place=place, came="", wanted=tongue.say(f"new_job.{key}", **values))

    name = plain(draft.name)
    if not name:
        yield problem("name", "wants_name")
    elif name in taken:
        yield problem("name", "name_taken", name=name)
    if draft.way == MESH:
        if draft.mesh is None:
            yield problem("mesh", "wants_mesh")
        elif not draft.mesh.unit:
            yield problem("unit", "wants_unit")
    else:
        for card in draft.cards:
            for size in card.missing:
                key = f"wants_{size}" if size in ("file", "unit", "layer") else "wants_size"
                yield problem(f"card_{size}", key, card=card.name, size=tongue.say(f"new_job.size_{size}"))
    if not draft.plies:
        yield problem("plies", "wants_ply")
    if draft.answers.get("replaces_material") and not draft.answers.get("replaces_thickness"):
        yield problem("replaces_thickness", "wants_replaces")
    if not _is_more_than(draft.answers["quantity"], 0):
        yield problem("quantity", "wants_quantity")


def _is_more_than(text: str, least: int) -> bool:
    return text.isascii() and text.isdigit() and int(text) > least


def metres(text: str) -> float:
    """Return a stated length [m]; zero when it does not read.

    Parameters
    ----------
    text
        As a file states it.
    """
    try:
        return read(text, Quantity.LENGTH)
    except NotAQuantity:
        return 0.0
