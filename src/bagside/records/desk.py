"""The records of a workshop opened: whose folder, who says so, on which device, when.

A command or a page opens them for as long as one thing takes and lets go again, so that others can write between. What
has happened is stated by the device with its own time and its own id: an event that is sent twice counts once.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from bagside.errors import InputError
from bagside.ledger.bodies import Body
from bagside.ledger.event import Event, new_event
from bagside.ledger.shop import Shop
from bagside.records.database.ledger import Ledger
from bagside.records.database.standing import Standing
from bagside.spec.library import Library, workshop_library
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.workshop import Workshop

BEGIN = 'begin them on the page of the freezer, or with "bagside stock begin"'


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """An opened workshop with its ledger, and who sits there.

    Parameters
    ----------
    folder
        Of the workshop.
    shop
        As stated.
    ledger
        Opened.
    who, device
        Of every event that is written.
    stated, zone, late
        When things happened that do not say so themselves, now when None; the clock of that; whether they are late.
    kept
        What was read already.
    """

    folder: Path
    shop: Workshop
    ledger: Ledger
    who: str
    device: str
    stated: datetime | None = None
    zone: str = ""
    late: bool = False
    kept: dict[str, Library] = field(default_factory=dict, repr=False)

    @property
    def library(self) -> Library:
        """The materials, read when they are asked for first: a tick needs none."""
        if "library" not in self.kept:
            self.kept["library"] = workshop_library(self.folder)
        return self.kept["library"]

    @property
    def at(self) -> datetime:
        """The moment that is stated, or now."""
        return self.stated or datetime.now(UTC).astimezone()

    def event(
        self, body: Body, at: datetime | None = None, id: str = "", *, zone: str = "", late: bool = False
    ) -> Event:
        """Return an event of this desk.

        Parameters
        ----------
        body
            What happened.
        at
            When, with a zone; the desk's moment when None.
        id
            When the device has made one already.
        zone
            Of the clock it was read on; the desk's, and else the offset of `at`, when empty.
        late
            Whether it is written down after what came later, on purpose.

        Raises
        ------
        InputError
            When an id, a name or a time cannot be kept.
        """
        return new_event(
            body,
            who=self.who,
            device=self.device,
            at=at or self.at,
            zone=zone or self.zone,
            late=late or self.late,
            id=id,
        )

    def standing(self) -> Shop:
        """Return the workshop as it stands: what is there, and what is gone when it is named."""
        return Shop(things=Standing(self.ledger), library=self.library, workshop=self.shop)


@contextmanager
def desk(
    folder: Path,
    who: str,
    device: str,
    *,
    at: datetime | None = None,
    zone: str = "",
    late: bool = False,
    begin: bool = False,
    called: str = "",
) -> Iterator[Desk]:
    """Open the workshop's records.

    Parameters
    ----------
    folder
        Of the workshop.
    who, device, zone, late
        See `Desk`.
    at
        When things happened that do not say so themselves; now when None.
    begin
        Whether records are begun when there are none.
    called
        What the folder is called where something is wrong with it; its name when empty.

    Raises
    ------
    InputError
        When there is no workshop, it cannot be read, or it has no records.
    OutputError
        When the disk or the server fails.
    """
    file, called = folder / "workshop.toml", called or folder.name
    if not file.is_file():
        raise InputError.one(called, "", "there is no workshop.toml in it", "set the workshop up first")
    shop = stated_from(load_toml(file), Workshop, file.name)
    if not begin and not Ledger.kept_for(folder, shop.records):
        raise InputError.one(called, "", "this workshop has no records yet", BEGIN)
    with Ledger.opened(folder, shop.records) as ledger:
        yield Desk(folder=folder, shop=shop, ledger=ledger, who=who, device=device, stated=at, zone=zone, late=late)
