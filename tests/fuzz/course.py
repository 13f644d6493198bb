"""Puts inputs into a target and says what came of it."""

import ctypes
import gc
import os
import traceback
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path

from fuzz.guarded import guarded
from fuzz.mutate import Mutator
from fuzz.target import Target

CHECK_EVERY = 5000  # inputs
MOST_FAULTS = 20  # kept of one target


@dataclass(slots=True)
class Outcome:
    """What came of some inputs. `grown` is by how many bytes the process grew after the first fifth."""

    inputs: int = 0
    crashes: int = 0
    grown: int = 0
    faults: list[tuple[bytes, str]] = field(default_factory=list)

    def add(self, payload: bytes, told: str) -> None:
        """One more fault; only the first of each kind is kept."""
        self.crashes += 1
        if len(self.faults) < MOST_FAULTS and _kind(told) not in [_kind(other) for _, other in self.faults]:
            self.faults.append((payload, told))


def fuzz(target: Target, folder: Path, count: int, number: int = 1) -> Outcome:
    """Feed so many inputs, made from the target's seeds by a number, in a fresh part in an empty folder."""
    return _feed(target, folder, Mutator(target.seeds(), number).inputs(count), count)


def feed_all(target: Target, folder: Path, payloads: list[bytes]) -> Outcome:
    """Feed just these."""
    return _feed(target, folder, payloads, len(payloads))


def _feed(target: Target, folder: Path, payloads: Iterable[bytes], count: int) -> Outcome:
    outcome, warm = Outcome(), 0
    folder.mkdir(parents=True, exist_ok=True)
    with guarded(folder) as found, target.opened(folder) as part:
        for payload in payloads:
            outcome.inputs += 1
            _try(outcome, payload, part.feed, found)
            if outcome.inputs % CHECK_EVERY == 0:
                _try(outcome, payload, lambda _: part.check(), found)
            if outcome.inputs == count // 5:
                warm = resident()
        _try(outcome, b"", lambda _: part.check(), found)
        outcome.grown = resident() - warm
    return outcome


def _try(outcome: Outcome, payload: bytes, take: Callable[[bytes], object], found: list[str]) -> None:
    try:
        take(payload)
    except Exception:
        outcome.add(payload, traceback.format_exc())
    for told in found:
        outcome.add(payload, told)
    found.clear()


def resident() -> int:
    """Bytes of this process that are in memory, but for what the allocator keeps free for later."""
    gc.collect()
    ctypes.CDLL(None).malloc_trim(0)
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")


def _kind(told: str) -> tuple[str, str]:
    """Where it happened and of what type it was."""
    lines = told.strip().splitlines()
    places = [line.strip() for line in lines if line.strip().startswith("File ")]
    return (places[-1] if places else ""), lines[-1].partition(":")[0]
