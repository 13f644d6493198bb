"""Everything that the recorder listens to, into a real store that must stay whole and readable."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from drydown.record import Recorder
from drydown.store.care import Health, look
from fuzz.messages import parted, recorded
from fuzz.read_back import read_back
from fuzz.target import Target

COMMIT_EVERY = 100  # messages


class Recording:
    """What `drydown record` does with each message, without the network."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / "store.sqlite3"
        self._recorder = Recorder(self._path, raw_days=30.0)
        self._taken = 0

    def feed(self, payload: bytes) -> None:
        topic, body = parted(payload)
        self._taken += 1
        self._recorder.take(topic, body, is_live=bool(self._taken % 3))
        if self._recorder.is_due and self._taken % COMMIT_EVERY == 0:
            self._recorder.commit()
            assert all(at >= 0 for at in self._recorder.committed.values()), self._recorder.committed
            self._recorder.keep_up()

    def check(self) -> None:
        self._recorder.commit()
        assert self._recorder.waiting == 0
        assert look(self._path, was_ours=True) is Health.SOUND
        read_back(self._path)

    def close(self) -> None:
        self._recorder.close()


@contextmanager
def _opened(folder: Path) -> Iterator[Recording]:
    recording = Recording(folder)
    try:
        yield recording
    finally:
        recording.close()


TARGET = Target("recorder", recorded, _opened, share=300, few=300)
