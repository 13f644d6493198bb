"""What the watcher says, kept for the pages: one connection to it, however many pages are open."""

import asyncio
import contextlib
from collections.abc import AsyncIterator, Callable, Hashable
from typing import Any

from drydown.bus.local_client import WatcherError, ask_async, follow
from drydown.config.model import Site
from drydown.texts.language import say

RETRY = 1.0  # s between two attempts to reach the watcher
SETTLE = 0.1  # s at least between two looks at the state, however many lines come
QUIET = 3.0  # s after which the state is asked for anyway, and every page is told, so that it knows we live

State = dict[str, Any]


class Live:
    """The last known state of every tank, and a signal when it was looked at again."""

    def __init__(self, site: Site) -> None:
        self._socket = site.socket_path
        self._stale = asyncio.Event()
        self._looked = asyncio.Condition()
        self._ended = False
        self._made: dict[Hashable, str] = {}
        self.states: dict[str, State] = {}
        self.trouble = say("The watcher has not been asked yet; try again.")

    @contextlib.asynccontextmanager
    async def running(self) -> AsyncIterator[None]:
        """Follow the watcher, whether it is there or not, until the block ends."""
        tasks = [asyncio.create_task(self._listen()), asyncio.create_task(self._keep_fresh())]
        try:
            yield
        finally:
            for task in tasks:
                task.cancel()

    async def end(self) -> None:
        """Let every `looks` come to its end."""
        async with self._looked:
            self._ended = True
            self._looked.notify_all()

    async def looks(self) -> AsyncIterator[None]:
        """Yields at once, and whenever the state was looked at again, which is every QUIET s at least."""
        while not self._ended:
            yield
            async with self._looked:
                if not self._ended:
                    await self._looked.wait()

    def once(self, name: Hashable, make: Callable[[], str]) -> str:
        """What `make` gives, made once between two looks however many pages ask for it."""
        if name not in self._made:
            self._made[name] = make()
        return self._made[name]

    async def refresh(self) -> None:
        """Ask the watcher for the state now."""
        try:
            states, trouble = await ask_async(self._socket, "state"), ""
        except WatcherError as error:
            states, trouble = self.states, str(error)
        async with self._looked:
            self.states, self.trouble = states, trouble
            self._made.clear()
            self._looked.notify_all()

    async def what_if(self, tank: str, fuel_temperature: float) -> list[State]:
        """What a start would bring, now and with the fuel at so many K. Raises WatcherError."""
        answer = await ask_async(self._socket, "what-if", tank=tank, fuel_temperature=fuel_temperature)
        found: list[State] = answer["prospects"]
        return found

    async def _listen(self) -> None:
        while True:
            with contextlib.suppress(WatcherError):
                async for _line in follow(self._socket):
                    self._stale.set()
            self._stale.set()
            await asyncio.sleep(RETRY)

    async def _keep_fresh(self) -> None:
        while True:
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(self._stale.wait(), QUIET)
            self._stale.clear()
            await self.refresh()
            await asyncio.sleep(SETTLE)
