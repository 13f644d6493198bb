"""The demo's tank on disk: a real broker, recorder and server, and a watcher that a test steps."""

import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from pathlib import Path
from types import TracebackType
from typing import Self

from drydown.config.load import load
from drydown.config.model import Site
from drydown.demo.place import write_site
from drydown.demo.watcher import STEP, DemoWatcher
from drydown.record import RecordService
from drydown.texts.notices import NoticeText
from support.broker import free_port, mosquitto
from support.on_thread import on_thread
from support.processes import Running, running, wait_until_said
from support.served import served

MINUTE = 60.0  # s


class DemoPlace:
    """The boathouse with its tank heron. Times are minutes of the tank since its story began.

    It settles until 30, bubbles until 75, is paused until 87; then the vent is shut until 93. Use as a
    context: the watcher is there while the block lasts.
    """

    def __init__(self, folder: Path, broker_port: int) -> None:
        self.folder = folder
        self.config = write_site(folder, broker_port, free_port())
        self.site = load(self.config)
        self.address = f"http://127.0.0.1:{self.site.serve.port}"
        self.told: list[NoticeText] = []
        self.watcher = DemoWatcher(self.site, self.told.append, lambda: None)
        self._minutes = 0.0
        self._living = threading.Event()

    def __enter__(self) -> Self:
        self.watcher.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.watcher.close()

    def play(self, until: float) -> None:
        """Let the tank live until then, as fast as can be."""
        while self._minutes < until:
            self._step()

    @property
    def minutes(self) -> float:
        """How long the tank has lived."""
        return self._minutes

    @contextmanager
    def living(self, pace: float = MINUTE) -> Iterator[None]:
        """Let it live beside the test, so many times as fast as a real one."""
        self._living.set()
        thread = threading.Thread(target=self._live, args=(STEP / pace,), daemon=True)
        thread.start()
        try:
            yield
        finally:
            self._living.clear()
            thread.join()

    def _live(self, rest: float) -> None:
        still = threading.Event()
        while self._living.is_set():
            self._step()
            still.wait(rest)

    def _step(self) -> None:
        self.watcher.step()
        self.watcher.catch_up()
        self._minutes += STEP / MINUTE


@contextmanager
def serving(config: Path) -> Iterator[Running]:
    """`drydown serve` while the block lasts."""
    with running("serve", "--config", config, log=config.with_suffix(".serve.log")) as process:
        wait_until_said(process, "http://")
        yield process


def recording(site: Site) -> AbstractContextManager[RecordService]:
    """The recorder, on a thread and in more of a hurry than on a board."""
    return on_thread(RecordService(site, commit_after=0.1))


@contextmanager
def demo_place(folder: Path) -> Iterator[DemoPlace]:
    """All of it while the block lasts."""
    with ExitStack() as stack:
        broker = stack.enter_context(mosquitto(folder))
        place = DemoPlace(folder, broker.port)
        stack.enter_context(recording(place.site))
        stack.enter_context(serving(place.config))
        yield stack.enter_context(place)


@contextmanager
def served_demo(folder: Path, prepare: Callable[[Path], object] = lambda _store: None) -> Iterator[DemoPlace]:
    """The same, served from a thread of the test; `prepare` may write to its store before all others."""
    with mosquitto(folder) as broker:
        place = DemoPlace(folder, broker.port)
        prepare(place.site.store_path)
        with recording(place.site), served(place.config) as client, place:
            place.address = str(client.base_url).rstrip("/")
            yield place


@contextmanager
def demo_at(folder: Path, minutes: float) -> Iterator[DemoPlace]:
    """The same at so many minutes of its story, with everything recorded."""
    with demo_place(folder) as place:
        place.play(minutes)
        place.watcher.catch_up(0)
        yield place
