"""What every test runs under, and real databases for those that need more than a transaction."""

import gc
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from pathlib import Path

import hypothesis
import pytest
from django.conf import global_settings
from django.conf import settings as project
from django.contrib.contenttypes.models import ContentType
from django.core.management import call_command
from django.db import connection

from tests import live_house as houses
from tests.databases import default_database, sqlite_url
from tests.live_house import LiveHouse
from tests.once import made_once
from tests.postgres import PostgresServer, running_server


def pytest_configure(config: pytest.Config) -> None:
    folder = tempfile.TemporaryDirectory(prefix="ledger-tests-")
    config.add_cleanup(folder.cleanup)
    project.MEDIA_ROOT = Path(folder.name) / "photographs"
    project.STATIC_ROOT = Path(folder.name)
    # Static files as they lie: hashed names need a collectstatic first.
    project.STORAGES = {
        **project.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    # A page is worked out anew in every test but those of the keeping itself.
    nothing = {"BACKEND": "django.core.cache.backends.dummy.DummyCache"}
    project.CACHES = {**project.CACHES, "template_fragments": nothing}
    # Who looked at whom is one more row for a page: tests/privacy counts it, and no other test.
    project.MIDDLEWARE = [
        name for name in project.MIDDLEWARE if not name.endswith("SeenMiddleware")
    ]
    # Made to be slow, the real hashers would be most of the suite's time.
    project.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    # No test is timed: the machine may be busy with others.
    hypothesis.settings.register_profile("unhurried", deadline=None)
    hypothesis.settings.load_profile("unhurried")
    # Eleven thousand tests are a million objects that stay: while they are made nothing of it is
    # rubbish, and afterwards looking through it for rubbish, again and again, would find none.
    gc.disable()


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if "chromium" in item.fixturenames:
            item.add_marker("browser")
        if "postgres_server" in item.fixturenames:
            item.add_marker("postgres")


def pytest_collection_finish() -> None:
    gc.freeze()
    gc.enable()


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory, django_db_blocker) -> Path:
    """A migrated SQLite file, to be copied."""

    def make(folder: Path) -> None:
        with django_db_blocker.unblock(), default_database(sqlite_url(folder / "ledger.sqlite3")):
            call_command("migrate", verbosity=0)

    return made_once(tmp_path_factory, "sqlite", make) / "ledger.sqlite3"


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings, sqlite_template) -> None:
    # The template is laid over whatever Django makes: its own migrating would be thrown away.
    if connection.vendor == "sqlite":
        connection.settings_dict["TEST"]["MIGRATE"] = False


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, sqlite_template, django_db_blocker) -> None:
    """The tests' own database is what the migrations make, migrated once for all workers."""
    with django_db_blocker.unblock():
        if connection.vendor == "sqlite":
            connection.ensure_connection()
            with closing(sqlite3.connect(sqlite_template)) as migrated:
                migrated.backup(connection.connection)
            ContentType.objects.clear_cache()


@pytest.fixture
def sqlite_database(sqlite_template, tmp_path, django_db_blocker) -> Iterator[str]:
    """A migrated SQLite file is the default database; its URL."""
    url = sqlite_url(shutil.copy(sqlite_template, tmp_path))
    with django_db_blocker.unblock(), default_database(url):
        yield url


@pytest.fixture(scope="session")
def postgres_server(tmp_path_factory, django_db_blocker) -> Iterator[PostgresServer]:
    """A server of this worker's own that has a migrated database, `ledger_template`."""

    def make(folder: Path) -> None:
        with running_server() as server:
            server.execute("CREATE DATABASE ledger_template")
            migrated = default_database(server.url("ledger_template"))
            with django_db_blocker.unblock(), migrated:
                call_command("migrate", verbosity=0)
            server.copy_data(folder)

    with running_server(data=made_once(tmp_path_factory, "postgres", make)) as server:
        yield server


@pytest.fixture
def postgres_database(postgres_server, django_db_blocker) -> Iterator[str]:
    """A migrated PostgreSQL database of the test's own is the default database; its URL."""
    postgres_server.execute("CREATE DATABASE ledger TEMPLATE ledger_template")
    url = postgres_server.url("ledger")
    try:
        with django_db_blocker.unblock(), default_database(url):
            yield url
    finally:
        postgres_server.execute("DROP DATABASE ledger WITH (FORCE)")


@pytest.fixture(
    params=["sqlite_database", pytest.param("postgres_database", marks=pytest.mark.postgres)]
)
def either_database(request) -> str:
    """The test runs twice: on a migrated SQLite file, and on PostgreSQL."""
    return request.getfixturevalue(request.param)


@pytest.fixture(scope="session")
def house_template(sqlite_template, tmp_path_factory) -> Path:
    """The data folder of a house that has just been set up."""
    return made_once(
        tmp_path_factory, "house", lambda folder: houses.set_up(folder, sqlite_template)
    )


@pytest.fixture(scope="session")
def served_with(request) -> dict[str, str]:
    """What a house is served with beside its folder: where the tests run on PostgreSQL, it too."""
    if "postgresql" not in project.DATABASES["default"]["ENGINE"]:
        return {}
    return {"DATABASE_URL": request.getfixturevalue("postgres_server").url("ledger")}


@pytest.fixture
def database_of(
    request, served_with, django_db_blocker
) -> Callable[[Path], AbstractContextManager[None]]:
    """Makes the database of the new house in a folder the test's default one."""

    @contextmanager
    def opened(data: Path) -> Iterator[None]:
        if served_with:
            request.getfixturevalue("postgres_database")
            yield
            return
        file = sqlite_url(data / "ledger.sqlite3")
        with django_db_blocker.unblock(), default_database(file):
            yield

    return opened


@pytest.fixture(scope="session")
def loaded_house(house_template, served_with, tmp_path_factory) -> Iterator[houses.Loaded]:
    """The ledger loaded for the one folder in which every new house of this session lies."""
    data = shutil.copytree(house_template, tmp_path_factory.mktemp("loaded") / "house")
    with houses.load(data, **served_with) as loaded:
        yield loaded


@pytest.fixture
def live_house(house_template, loaded_house, database_of, settings) -> Iterator[LiveHouse]:
    """A new house in a server process of its own, whose database is the test's default as well."""
    data = loaded_house.data
    shutil.rmtree(data)
    shutil.copytree(house_template, data)
    # What the test writes must be readable by the server, which runs on the real settings.
    settings.PASSWORD_HASHERS = global_settings.PASSWORD_HASHERS
    settings.MEDIA_ROOT = data / "photographs"
    settings.SECRET_KEY = (data / "secret-key").read_text(encoding="ascii").strip()
    with database_of(data), houses.begun(loaded_house) as house:
        yield house


@pytest.fixture(scope="session")
def demo_template(house_template, tmp_path_factory) -> Path:
    """The data folder of the invented house, as it is now."""

    def make(folder: Path) -> None:
        shutil.copytree(house_template, folder, dirs_exist_ok=True)
        houses.manage(folder, "demo_house")

    return made_once(tmp_path_factory, "demo-house", make)
