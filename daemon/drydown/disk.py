"""What it takes for a file's new name to outlive a power cut."""

import os
from pathlib import Path


def commit_names(folder: Path) -> None:
    """Return once the disk has the names in a folder as they are now (fsync(2)). Raises OSError."""
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
