"""Things as they are but for one: to ask what would be if it were otherwise, without writing anything down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from bagside.ledger.things import Thing


class OneOver(Mapping[str, Thing]):
    """One thing in place of, or beside, all others.

    Parameters
    ----------
    one
        As it would be.
    others
        By name; read only as far as they are asked for.
    """

    def __init__(self, one: Thing, others: Mapping[str, Thing]) -> None:
        self._one = one
        self._others = others

    def __getitem__(self, name: str) -> Thing:
        return self._one if name == self._one.name else self._others[name]

    def __iter__(self) -> Iterator[str]:
        yield self._one.name
        yield from (name for name in self._others if name != self._one.name)

    def __len__(self) -> int:
        return len(self._others) + (self._one.name not in self._others)
