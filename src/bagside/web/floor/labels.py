"""What a label's code means: the build and the piece it belongs to, or the thing in the records."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import unquote, urlsplit

from bagside.ledger.bodies import Sort
from bagside.ledger.things import Build
from bagside.records.database.ledger import Ledger
from bagside.web.floor.pictures import Pictures

LONGEST = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Meant:
    """What a code means.

    Parameters
    ----------
    build
        Serial number; empty when it is no build that is open.
    piece
        Of it; empty for the whole build.
    thing, sort
        Something else in the records: a kit, a roll, an offcut; empty when it is none.
    """

    build: str = ""
    piece: str = ""
    thing: str = ""
    sort: str = ""

    @property
    def known(self) -> bool:
        """Whether anything is meant."""
        return bool(self.build or self.thing)


def meant_by(code: str, ledger: Ledger, pictures: Pictures) -> Meant:
    """Return what a label's code means.

    Parameters
    ----------
    code
        As a camera read it or a person typed it: an address that ends in ``/p/…`` or ``/o/…``, the plain words of a
        label, or a name.
    ledger
        Opened.
    pictures
        Know the keys of the labels of each revision.
    """
    text = code.strip()[:LONGEST]
    builds = [t for t in ledger.things(Sort.BUILD).values() if isinstance(t, Build)]
    found = re.search(r"(?:^|/)([po])/([^/?#]+)$", urlsplit(text).path or text)
    if found is not None:
        key = unquote(found[2])
        return _piece(key, builds, pictures) if found[1] == "p" else _thing(key, ledger)
    if ";" in text:
        return _words(text, builds)
    named = _named(text, [b.name for b in builds])
    if named:
        return Meant(build=named)
    by_key = _piece(text.lower(), builds, pictures)
    return by_key if by_key.known else _thing(text, ledger)


def _piece(key: str, builds: Sequence[Build], pictures: Pictures) -> Meant:
    """Return the build and piece of a label's key: the open build of that part of the job."""
    for build in builds:
        kept: Mapping[str, Any] = pictures.kept(build.planned.revision) or {}
        found = kept.get("labels", {}).get(key)
        if found is not None and found[1] == build.planned.number:
            return Meant(build=build.name, piece=str(found[0]))
    return Meant()


def _words(text: str, builds: Sequence[Build]) -> Meant:
    """Return what the plain words of a piece's label mean: piece; part; ply; revision; job."""
    words = [w.strip() for w in text.split(";")]
    number = next((int(m[1]) for w in words[1:] if (m := re.fullmatch(r"(?:.*\s)?(\d+)", w))), 0)
    for build in builds:
        labels = {label for ply in build.planned.plies for label in ply.pieces}
        if build.planned.job in words and words[0] in labels and number in (0, build.planned.number):
            return Meant(build=build.name, piece=words[0])
    return Meant()


def _thing(name: str, ledger: Ledger) -> Meant:
    found = ledger.thing(name)
    if isinstance(found, Build):
        return Meant(build=name)
    return Meant() if found is None else Meant(thing=name, sort=found.sort.value)


def _named(text: str, names: Sequence[str]) -> str:
    """Return the one name that is meant but for case, dashes and spaces; empty when none or several are."""
    plain = _plain(text)
    found = [n for n in names if _plain(n) == plain] or [n for n in names if plain and _plain(n).startswith(plain)]
    return found[0] if len(found) == 1 else ""


def _plain(text: str) -> str:
    return re.sub(r"[\s_-]+", "", text).casefold()
