"""Python starts with this where its folder is on PYTHONPATH: the wall clock is off by what a file says, in s.

As on a board whose clock is set while drydown runs; the boot clock goes on as it does.
"""

import os
import time
from pathlib import Path

SKEW, _time = Path(os.environ["SKEW"]), time.time

time.time = lambda: _time() + float(SKEW.read_text())
