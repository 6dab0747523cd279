"""Photographs on a disk: each whole or not at all, and there after the power was cut."""

from contextlib import suppress
from pathlib import Path
from typing import Any

from django.core.files.storage import FileSystemStorage

from fittings.config import disks

PART = ".part"


class WholeFilesStorage(FileSystemStorage):
    """Django's own, but a file has its name only once the disk has all of it.

    The row that names a photograph is synced to the disk when it is acknowledged; the picture must
    not be less durable. OSError: nothing is left of the file.
    """

    def _save(self, name: str, content: Any) -> str:
        part = f"{name}{PART}"
        try:
            part = super()._save(part, content)  # type: ignore[misc]  # not in the stubs
            disks.sync(Path(self.path(part)))
            path = Path(self.path(name))
            Path(self.path(part)).rename(path)
        except BaseException:
            with suppress(OSError):
                self.delete(part)
            raise
        # The names of the file and of its folder, which may be new too.
        disks.sync(path.parent)
        disks.sync(path.parent.parent)
        return name
