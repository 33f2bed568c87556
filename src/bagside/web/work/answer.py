"""Wait for what a child process answers, from a coroutine."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import Any

from bagside.web.work.child import Ended
from bagside.web.work.crew import Crew, Lane


async def answered(
    crew: Crew, key: str, function: Callable[..., Any] | str, *arguments: Any, lane: Lane = Lane.QUICK
) -> Ended:
    """Return how a task ended; who asks again with the same key lets go of the first answer.

    Parameters
    ----------
    crew
        Does the work.
    key, function, arguments, lane
        See `Crew.ask`.
    """
    done: asyncio.Future[Ended] = asyncio.get_running_loop().create_future()

    def ended(value: Ended) -> None:
        if not done.done():
            done.set_result(value)

    crew.ask(key, function, *arguments, heard=lambda _: None, ended=ended, lane=lane)
    return await done
