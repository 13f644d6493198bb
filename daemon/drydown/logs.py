"""One line a happening: plain on a terminal, with its level where the journal reads it."""

import logging
import os
import sys

# sd-daemon(3): a line that begins with <N> has the priority N of syslog
PRIORITIES = {logging.DEBUG: 7, logging.INFO: 6, logging.WARNING: 4, logging.ERROR: 3, logging.CRITICAL: 2}


class JournalFormatter(logging.Formatter):
    """For systemd's journal, which has the time already."""

    def format(self, record: logging.LogRecord) -> str:
        """Every line of the record with its priority."""
        mark = f"<{PRIORITIES.get(record.levelno, 6)}>"
        return "\n".join(mark + line for line in super().format(record).splitlines())


def set_up() -> None:
    """Log to standard error from now on."""
    handler = logging.StreamHandler(sys.stderr)
    if "JOURNAL_STREAM" in os.environ:
        handler.setFormatter(JournalFormatter("%(message)s"))
    else:
        handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s", "%H:%M:%S"))
    logging.basicConfig(level=logging.INFO, handlers=[handler], force=True)
