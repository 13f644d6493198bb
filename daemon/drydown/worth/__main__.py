"""`python -m drydown.worth`: a task of the process that starts it on standard input, JSON on standard output.

The pages start it, so that their own process neither loads numpy nor computes for seconds.
"""

import json
import os
import pickle
import signal
import sys
from contextlib import suppress
from pathlib import Path

from drydown.config.model import Tank
from drydown.store.read import StoreReader
from drydown.worth.choice import chosen_run
from drydown.worth.gain import Worth, line_of

LONGEST = 300  # s, after which it ends by itself


def main() -> None:
    """Of a pickled path of the store and its Tank; null where no run can tell."""
    signal.alarm(LONGEST)
    with suppress(OSError):  # where that is not allowed it computes as it is
        os.nice(10)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from drydown.worth.lived import gains  # here, as numpy is told by the environment how to compute
    from drydown.worth.recorded import history_of

    store: Path
    tank: Tank
    store, tank = pickle.load(sys.stdin.buffer)
    with StoreReader(store) as reader:
        run = chosen_run(reader, tank.name)
        history = history_of(reader, tank, run) if run else None
    found = Worth(run.start, gains(history)) if run and history else None
    json.dump(line_of(found) if found else None, sys.stdout)


if __name__ == "__main__":
    main()
