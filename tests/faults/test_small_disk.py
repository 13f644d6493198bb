"""What waits for a recorder meets a full disk: that is told, memory keeps it, and it goes on later."""

from contextlib import closing
from pathlib import Path

import pytest

from drydown.bus import shelf
from drydown.bus.shelf import DiskShelf
from drydown.bus.spool import SERIES, Entry, Spool
from support.broker import until
from support.small_disk import small_disk, use_up

SAID = [b"%06d" % number + b"x" * 1000 for number in range(400)]


def test_a_full_disk_holds_up_nothing_and_costs_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shelf, "RETRY", 0.05)
    with small_disk(tmp_path, 1000) as disk, closing(DiskShelf(disk / "waiting", 1e8)) as made:
        spool = Spool(shelf=made)

        def say(bodies: list[bytes]) -> None:
            for body in bodies:
                spool.add(Entry("readings", body, SERIES))
            spool.put_by()

        say(SAID[:100])
        until(lambda: made.safe == 100)
        use_up(disk / "ballast")
        say(SAID[100:300])
        until(lambda: "full" in made.trouble)
        spool.lighten()
        say(SAID[300:])
        assert (made.safe, spool.unconfirmed, spool.dropped) == (100, 400, 0)
        (disk / "ballast").unlink()
        until(spool.put_by)
        until(spool.put_by)  # what was said meanwhile
        assert (made.safe, made.trouble) == (400, "")
        spool.lighten()
        sent: list[bytes] = []
        while message := spool.take():
            sent += message.bodies
        assert sent == SAID
