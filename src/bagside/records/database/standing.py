"""Things as the rules and gates ask for them: what is there at hand, what is gone looked up when somebody names it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from bagside.ledger.things import Thing
from bagside.records.database.ledger import Ledger


class Standing(Mapping[str, Thing]):
    """Everything in the ledger by name, read as far as it is asked for.

    Iterating gives what is there, in the order of the names; a name finds what is gone too. What was read once stays as
    it was then, so one command sees one state.

    Parameters
    ----------
    ledger
        Open for as long as this is used.
    """

    def __init__(self, ledger: Ledger) -> None:
        self._ledger = ledger
        self._there = ledger.things(there=True)
        self._gone: dict[str, Thing | None] = {}

    def __getitem__(self, name: str) -> Thing:
        found = self._there.get(name)
        if found is None:
            if name not in self._gone:
                self._gone[name] = self._ledger.thing(name)
            found = self._gone[name]
        if found is None:
            raise KeyError(name)
        return found

    def __iter__(self) -> Iterator[str]:
        return iter(self._there)

    def __len__(self) -> int:
        return len(self._there)
