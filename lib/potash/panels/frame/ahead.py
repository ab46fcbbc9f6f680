"""Results kept, and those beside the present one worked out ahead while the hand rests."""

import asyncio
from collections.abc import Callable
from typing import Generic, TypeVar

from potash.errors import PotashError

Result = TypeVar("Result")

_REST_SECONDS = 0.12
_BETWEEN_SECONDS = 0.03


class WorkedAhead(Generic[Result]):
    """The results at the ``count`` positions of a slider, by position.

    A slider held down asks for one neighbour after the other; each is at hand if the moment
    before it was long enough to work it out. One result is worked out at a time, so that a key
    press never waits for more than one of them.
    """

    def __init__(self, work: Callable[[int], Result], count: int) -> None:
        self._work = work
        self._count = count
        self._kept: dict[int, Result] = {}
        self._waiting: asyncio.TimerHandle | None = None

    def at(self, position: int) -> Result:
        """The result at ``position``; those around it are worked out later, if a loop runs."""
        if position not in self._kept:
            self._kept[position] = self._work(position)
        self._wait(position, _REST_SECONDS)
        return self._kept[position]

    def stop(self) -> None:
        """Work nothing out ahead any more."""
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

    def _wait(self, position: int, seconds: float) -> None:
        self.stop()
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            return
        self._waiting = loop.call_later(seconds, self._next, position)

    def _next(self, position: int) -> None:
        around = sorted(range(self._count), key=lambda other: abs(other - position))
        missing = next((other for other in around if other not in self._kept), None)
        if missing is not None:
            try:
                self._kept[missing] = self._work(missing)
            except PotashError:
                return  # told if somebody moves the slider there
            self._wait(position, _BETWEEN_SECONDS)
