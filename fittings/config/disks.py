"""What a disk was told to keep, kept though the power is cut."""

import os
from pathlib import Path


def sync(path: Path) -> None:
    """Wait until the disk has the file, or the names in the folder."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
