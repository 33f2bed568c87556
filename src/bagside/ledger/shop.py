"""The workshop as it stands: what is there, with the materials and the room it is judged by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bagside.errors import InputError, did_you_mean
from bagside.ledger.things import Build, Cloth, Goods, Mould, Place, Thing
from bagside.spec.library import Library
from bagside.spec.workshop import Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """Everything that rules and gates may ask.

    Parameters
    ----------
    things
        By name. Going through them gives what is there; a name finds what is gone too.
    library, workshop
        As stated in the workshop's folder.
    """

    things: Mapping[str, Thing]
    library: Library
    workshop: Workshop

    def cloth(self, name: str) -> Cloth:
        """Return a roll, an offcut or a kit.

        Parameters
        ----------
        name
            On its label.

        Raises
        ------
        InputError
            When there is none of this name.
        """
        found = self.things.get(name)
        if not isinstance(found, Cloth):
            raise InputError.one("name", f'"{name}"', "there is no cloth of this name", self._near(name, Cloth))
        return found

    def build(self, name: str) -> Build:
        """Return a build.

        Parameters
        ----------
        name
            Its serial number.

        Raises
        ------
        InputError
            When there is none of this name.
        """
        found = self.things.get(name)
        if not isinstance(found, Build):
            raise InputError.one("build", f'"{name}"', "there is no build of this name", self._near(name, Build))
        return found

    def mould(self, name: str) -> Mould | None:
        """Return a mould; None when it is not in the ledger."""
        found = self.things.get(name)
        return found if isinstance(found, Mould) else None

    def place(self, name: str) -> Place | None:
        """Return a place; None when it is not in the ledger."""
        found = self.things.get(name)
        return found if isinstance(found, Place) else None

    def goods(self, name: str) -> Goods | None:
        """Return an adhesive, a coating or a consumable; None when it is not in the ledger."""
        found = self.things.get(name)
        return found if isinstance(found, Goods) else None

    def _near(self, name: str, kind: type[object]) -> str:
        return did_you_mean(name, [n for n, t in self.things.items() if isinstance(t, kind)])
