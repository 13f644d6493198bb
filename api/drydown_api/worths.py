"""What other probes would bring: worked out in a short-lived process beside this one, kept for each run."""

import json
import logging
import pickle
import subprocess
import sys
import time
from dataclasses import dataclass
from enum import StrEnum
from threading import Lock, Thread

from drydown.config.model import Site, Tank
from drydown.store.read import Run
from drydown.worth.gain import Worth, worth_of

LONGEST = 300.0  # s for one tank
AGAIN = 600.0  # s after which a failure is forgotten
TASK = (sys.executable, "-m", "drydown.worth")

log = logging.getLogger(__name__)


class State(StrEnum):
    """How far it is."""

    NO_RUN = "no-run"
    WORKING = "working"
    TOLD = "told"
    FAILED = "failed"


@dataclass(frozen=True, slots=True)
class Answer:
    """What is known now of a tank."""

    state: State
    worth: Worth | None = None


@dataclass(frozen=True, slots=True)
class _Kept:
    run: Run
    answer: Answer
    since: float  # s of the monotonic clock

    def holds(self, run: Run, now: float) -> bool:
        has_failed = self.answer.state is State.FAILED
        return self.run == run and not (has_failed and now - self.since > AGAIN)


class Worths:
    """Of the tanks of a site; of each the answer for its last run is kept."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self._lock, self._turn = Lock(), Lock()  # routes run on threads; one process at a time
        self._kept: dict[str, _Kept] = {}

    def ask(self, tank: Tank, run: Run) -> Answer:
        """What is known of a run; where nothing is yet, it is begun."""
        now = time.monotonic()
        with self._lock:
            kept = self._kept.get(tank.name)
            if kept is not None and kept.holds(run, now):
                return kept.answer
            self._kept[tank.name] = begun = _Kept(run, Answer(State.WORKING), now)
        Thread(target=self._work, args=(tank, run), daemon=True, name=f"worth of {tank.name}").start()
        return begun.answer

    def _work(self, tank: Tank, run: Run) -> None:
        with self._turn:
            found = self._found(tank)
        with self._lock:
            self._kept[tank.name] = _Kept(run, found, time.monotonic())

    def _found(self, tank: Tank) -> Answer:
        task = pickle.dumps((self._site.store_path, tank))
        try:
            done = subprocess.run(TASK, input=task, capture_output=True, timeout=LONGEST, check=True)
            line = json.loads(done.stdout)
        except subprocess.CalledProcessError as error:
            log.warning("%s: what probes are worth was not found: %s", tank.name, _last_line(error.stderr))
            return Answer(State.FAILED)
        except (OSError, subprocess.TimeoutExpired, ValueError) as error:
            log.warning("%s: what probes are worth was not found: %s", tank.name, error)
            return Answer(State.FAILED)
        return Answer(State.TOLD, worth_of(line)) if line else Answer(State.NO_RUN)


def _last_line(text: bytes) -> str:
    return text.decode(errors="replace").strip().rpartition("\n")[2] or "it ended without a word"
