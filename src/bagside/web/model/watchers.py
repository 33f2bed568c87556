"""Who is told when something changes: windows that come and go."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Generic, ParamSpec

Told = ParamSpec("Told")


class Watchers(Generic[Told]):
    """Those who watch one thing; each is told with what `tell` is given."""

    def __init__(self) -> None:
        self._all: list[Callable[Told, None]] = []

    def __len__(self) -> int:
        return len(self._all)

    def __iter__(self) -> Iterator[Callable[Told, None]]:
        return iter(tuple(self._all))  # one may leave while the others are told

    def add(self, watcher: Callable[Told, None]) -> Callable[[], None]:
        """Tell a watcher from now on, and return how to end that.

        Parameters
        ----------
        watcher
            Called with what `tell` is given.
        """
        self._all.append(watcher)

        def unwatch() -> None:
            if watcher in self._all:
                self._all.remove(watcher)

        return unwatch

    def tell(self, *args: Told.args, **kwargs: Told.kwargs) -> None:
        """Tell all of them.

        Parameters
        ----------
        *args, **kwargs
            What there is to tell.
        """
        for watcher in self:
            watcher(*args, **kwargs)
