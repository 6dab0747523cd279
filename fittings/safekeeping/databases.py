"""Copies of the database as of one moment, while others write, and back again.

SQLite by its online backup (the C interface's `sqlite3_backup`, through Python's `sqlite3`);
PostgreSQL by pg_dump's custom format in one exported snapshot, so that the rows counted are the
rows dumped.
"""

import os
import sqlite3
import subprocess
from collections.abc import Callable, Mapping
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Protocol

from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from fittings.config import disks

PHOTOGRAPH_COLUMNS: Final = ("image", "thumbnail")
# A house nobody was let in to and without a customer holds nothing that could be lost.
OF_A_HOUSE: Final = ("auth_user", "customers_customer")


class DatabaseError(Exception):
    """The database could not be copied, or was not brought back whole."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What a copy holds: rows by table, migrations by app, names of photographs."""

    rows: Mapping[str, int]
    migrations: Mapping[str, list[str]]
    photographs: list[str]

    @property
    def empty(self) -> bool:
        return not any(self.rows.get(table) for table in OF_A_HOUSE)


class Keeper(Protocol):
    """One kind of database."""

    engine: str

    def copy(self, to: Path) -> Contents: ...
    def is_empty(self) -> bool: ...
    def set_aside(self, folder: Path) -> None: ...
    def bring_back(self, copy: Path) -> None: ...


def keeper() -> Keeper:
    """The one for the database in the settings."""
    kinds: dict[str, type[Keeper]] = {"sqlite": SqliteKeeper, "postgresql": PostgresKeeper}
    return kinds[connection.vendor]()


def contents() -> Contents:
    """What the database in use holds now."""
    return _contents_of(connection)


class SqliteKeeper:
    engine = "sqlite"

    def __init__(self) -> None:
        self.path = Path(connection.settings_dict["NAME"])

    def copy(self, to: Path) -> Contents:
        with closing(sqlite3.connect(self.path)) as house, closing(sqlite3.connect(to)) as kept:
            # All pages at one lock: writers wait for it, and no writer can make it start again.
            house.backup(kept, pages=-1)
            _check(kept)
            return _sqlite_contents(kept)

    def is_empty(self) -> bool:
        if not self.path.exists():
            return True
        with closing(sqlite3.connect(self.path)) as house:
            return _sqlite_contents(house).empty

    def set_aside(self, folder: Path) -> None:
        connection.close()
        for path in self.path.parent.glob(f"{self.path.name}*"):
            path.rename(folder / path.name)

    def bring_back(self, copy: Path) -> None:
        connection.close()
        with closing(sqlite3.connect(copy)) as kept:
            _check(kept)
        copy.chmod(0o600)
        disks.sync(copy)
        # What another file's journal says must never be played into this one.
        for stale in self.path.parent.glob(f"{self.path.name}-*"):
            stale.unlink()
        copy.replace(self.path)
        disks.sync(self.path.parent)


class PostgresKeeper:
    engine = "postgresql"

    def copy(self, to: Path) -> Contents:
        with connection.cursor() as cursor:
            cursor.execute("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
            try:
                cursor.execute("SELECT pg_export_snapshot()")
                (snapshot,) = cursor.fetchone()
                options = ["--format=custom", "--no-owner", "--no-privileges"]
                self._run("pg_dump", *options, f"--snapshot={snapshot}", f"--file={to}")
                return _contents_of(connection)
            finally:
                cursor.execute("ROLLBACK")

    def is_empty(self) -> bool:
        return _contents_of(connection).empty

    def set_aside(self, folder: Path) -> None:
        self.copy(folder / "database.dump")

    def bring_back(self, copy: Path) -> None:
        with connection.cursor() as cursor:
            cursor.execute("DROP SCHEMA public CASCADE; CREATE SCHEMA public")
        options = ["--no-owner", "--no-privileges", "--exit-on-error", "--single-transaction"]
        self._run("pg_restore", *options, str(copy))

    def _run(self, program: str, *options: str) -> None:
        # As Django starts psql: where the server is, who asks, and the password in the environment.
        arguments, extra = connection.client.settings_to_cmd_args_env(connection.settings_dict, [])
        *where, name = arguments[1:]
        command = [program, *where, f"--dbname={name}", *options]
        try:
            subprocess.run(  # noqa: S603 (the settings' own server, no shell)
                command, check=True, capture_output=True, env={**os.environ, **(extra or {})}
            )
        except FileNotFoundError as problem:
            raise DatabaseError(f"{program} is not here: install postgresql-client.") from problem
        except subprocess.CalledProcessError as problem:
            said = problem.stderr.decode(errors="replace").strip()
            raise DatabaseError(f"{program} failed: {said}") from problem


def _contents_of(database: BaseDatabaseWrapper) -> Contents:
    tables = set(database.introspection.table_names())
    with database.cursor() as cursor:

        def ask(statement: str) -> list[Any]:
            cursor.execute(statement)
            return list(cursor.fetchall())

        return _contents(tables, ask)


def _sqlite_contents(house: sqlite3.Connection) -> Contents:
    def ask(statement: str) -> list[Any]:
        return house.execute(statement).fetchall()

    names = ask("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'")
    return _contents({name for (name,) in names}, ask)


def _contents(tables: set[str], ask: Callable[[str], list[Any]]) -> Contents:
    # Names come from the database's own catalogue.
    rows = {name: ask(f'SELECT COUNT(*) FROM "{name}"')[0][0] for name in sorted(tables)}  # noqa: S608
    migrations: dict[str, list[str]] = {}
    if MigrationRecorder.Migration._meta.db_table in tables:
        for app, name in ask("SELECT app, name FROM django_migrations ORDER BY id"):
            migrations.setdefault(app, []).append(name)
    photographs: set[str] = set()
    undeleted = ""
    if "fittings_photographdeletion" in tables:
        undeleted = "AND id NOT IN (SELECT photograph_id FROM fittings_photographdeletion)"
    if "fittings_photograph" in tables:
        for column in PHOTOGRAPH_COLUMNS:
            found = ask(
                f"SELECT {column} FROM fittings_photograph WHERE {column} <> '' {undeleted}"  # noqa: S608
            )
            photographs |= {name for (name,) in found}
    return Contents(rows, migrations, sorted(photographs))


def _check(house: sqlite3.Connection) -> None:
    """DatabaseError unless SQLite finds its file whole and every reference kept."""
    (said,) = house.execute("PRAGMA integrity_check(1)").fetchone()
    if said != "ok":
        raise DatabaseError(f"SQLite finds its file damaged: {said}")
    if house.execute("PRAGMA foreign_key_check").fetchone():
        raise DatabaseError("A row refers to one that is not there.")


def known_migrations() -> set[tuple[str, str]]:
    """What this version of the program could have applied."""
    loader = MigrationLoader(None)
    return set(loader.disk_migrations or {}) | set(loader.replacements)
