"""What kept the ledger from keeping something, in words for whoever stands before it.

Full disks, disks that cannot be written to, and databases that do not answer are no faults of the
program: the page says what is the matter, and that nothing of this one thing was kept.
"""

import errno
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import psycopg

SAFE: Final = "Nothing of what was sent just now was kept; all that was kept before is safe."


@dataclass(frozen=True, slots=True)
class Trouble:
    """A status above 500, which a tablet takes as "later": it keeps its entry and tries again."""

    status: int
    title: str
    remedy: str

    @property
    def words(self) -> str:
        return f"{self.title}. {SAFE} {self.remedy}"


FULL: Final = Trouble(
    507,  # Insufficient Storage: RFC 4918, 11.5
    "The disk of the house's computer is full",
    "Whoever looks after that computer must make room on it; then send it again.",
)
READ_ONLY: Final = Trouble(
    503,
    "The disk of the house's computer cannot be written to",
    "Whoever looks after that computer must look at its disk; then send it again.",
)
FAILING: Final = Trouble(
    503,
    "The disk of the house's computer fails",
    "Whoever looks after that computer must look at its disk and at the last copies.",
)
BUSY: Final = Trouble(
    503, "Others were writing all the while, and this had no turn", "Send it again."
)
NO_ANSWER: Final = Trouble(
    503,
    "The ledger's database does not answer",
    "Try again in a minute; if that does not help, call whoever looks after it.",
)

_ERRNO: Final = {
    **dict.fromkeys((errno.ENOSPC, errno.EDQUOT, errno.EFBIG), FULL),
    **dict.fromkeys((errno.EROFS, errno.EACCES, errno.EPERM), READ_ONLY),
    errno.EIO: FAILING,
}
# Primary result codes: the low byte of what SQLite answers (sqlite.org, "Result and Error Codes").
_SQLITE: Final = {
    sqlite3.SQLITE_FULL: FULL,
    sqlite3.SQLITE_READONLY: READ_ONLY,
    sqlite3.SQLITE_CANTOPEN: READ_ONLY,
    sqlite3.SQLITE_IOERR: FAILING,
    sqlite3.SQLITE_CORRUPT: FAILING,
    sqlite3.SQLITE_NOTADB: FAILING,
    sqlite3.SQLITE_BUSY: BUSY,
    sqlite3.SQLITE_LOCKED: BUSY,
}
# SQLSTATE (PostgreSQL, appendix A): disk_full, read_only_sql_transaction, io_error.
_SQLSTATE: Final = {"53100": FULL, "25006": READ_ONLY, "58030": FAILING}


def trouble_of(error: BaseException | None) -> Trouble | None:
    """What the error, or one that it came from, says is the matter; None for any other."""
    return next((found for each in _chain(error) if (found := _known(each))), None)


def _known(error: BaseException) -> Trouble | None:
    if isinstance(error, sqlite3.Error):
        return _SQLITE.get(getattr(error, "sqlite_errorcode", 0) & 0xFF)
    if isinstance(error, OSError):
        return _ERRNO.get(error.errno or 0)
    if isinstance(error, psycopg.Error):
        gone = isinstance(error, psycopg.OperationalError | psycopg.InterfaceError)
        state = error.sqlstate or ""
        # Without a state it was not the server that spoke; of class 57P it is going or coming.
        return _SQLSTATE.get(state) or (
            NO_ANSWER if gone and (not state or state.startswith(("08", "57P"))) else None
        )
    return None


def _chain(error: BaseException | None) -> Iterator[BaseException]:
    seen: set[int] = set()
    while error is not None and id(error) not in seen:
        seen.add(id(error))
        yield error
        error = error.__cause__ or error.__context__
