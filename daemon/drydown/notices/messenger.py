"""Has notices sent by a process of its own (`sender`), which is started when it is needed and ended after."""

import json
import queue
import subprocess
import sys
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

LONGEST = 60.0  # s for one notice; then the process is ended, whatever it does
IDLE = 600.0  # s without a notice after which the process is ended


@dataclass(frozen=True, slots=True)
class Answer:
    """What went wrong, empty where the service has taken the notice; `unsure`: it may have, all the same."""

    trouble: str
    unsure: bool = False


GONE = Answer("the process that sends notices ended", unsure=True)
SLOW = Answer("nothing was heard of it within a minute", unsure=True)


class Messenger:
    """Safe to share between threads; each waits for its own answer alone."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process: subprocess.Popen[str] | None = None
        self._answers: dict[int, queue.SimpleQueue[Answer]] = {}
        self._number = 0
        self._rest: threading.Timer | None = None

    def send(self, request: Mapping[str, Any]) -> Answer:
        """Have one request of `sender` done. Blocks."""
        answer: queue.SimpleQueue[Answer] = queue.SimpleQueue()
        with self._lock:
            self._number += 1
            number = self._number
            try:
                process = self._running()
                self._answers[number] = answer
                assert process.stdin
                process.stdin.write(json.dumps({"id": number, **request}) + "\n")
                process.stdin.flush()
            except OSError as error:
                self._answers.pop(number, None)
                return Answer(f"the process that sends notices can't be started ({error.strerror})")
        try:
            return answer.get(timeout=LONGEST)
        except queue.Empty:
            process.kill()
            return SLOW

    def close(self) -> None:
        """End the process, and let it finish what it can in a moment."""
        with self._lock:
            process, self._process = self._process, None
            if self._rest:
                self._rest.cancel()
        if process:
            assert process.stdin
            process.stdin.close()
            try:
                process.wait(2)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()

    def _running(self) -> "subprocess.Popen[str]":
        if self._rest:
            self._rest.cancel()
        self._rest = threading.Timer(IDLE, self.close)
        self._rest.daemon = True
        self._rest.start()
        if self._process is None or self._process.poll() is not None:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "drydown.notices.sender"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
            )
            threading.Thread(target=self._listen, args=(self._process,), daemon=True).start()
        return self._process

    def _listen(self, process: "subprocess.Popen[str]") -> None:
        asked = self._answers
        assert process.stdout
        for line in process.stdout:
            told = json.loads(line)
            answer = asked.pop(told["id"], None)
            if answer:
                answer.put(Answer(told["trouble"], told["unsure"]))
        process.wait()
        with self._lock:
            if self._process is process or self._process is None:
                for number in list(asked):
                    asked.pop(number).put(GONE)
