"""Both stores, for every test that asks for one: SQLite in a file, PostgreSQL in its own server.

Properties are tried without a stopwatch: how fast a machine is, is no property of the code.
"""

from __future__ import annotations

import atexit
import gc
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, settings
from sqlalchemy import create_engine, make_url, text
from sqlalchemy.exc import DBAPIError
from tests import unsynced
from tests.made_tables import made_tables
from tests.remembered import remembered

from pointage.data.records import forget_own
from pointage.daybook.store import tables
from pointage.daybook.store.store import Store, open_store

EVERYTHING = bool(os.environ.get("CI"))
"""Where CI is set nothing is left out. Else the tests marked `long` are, and properties are tried
on fewer examples, so that whoever changes something has an answer soon."""
SOON = 15

settings.register_profile("house", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("soon", settings.get_profile("house"), max_examples=SOON)
settings.load_profile("house" if EVERYTHING else "soon")
unsynced.begin()
made_tables.begin()
# Nothing that a test starts may find, or leave anything in, the kitchen of who runs it.
os.environ["XDG_DATA_HOME"] = tempfile.mkdtemp(prefix="pointage-tests-")
atexit.register(shutil.rmtree, os.environ["XDG_DATA_HOME"], ignore_errors=True)

LONGEST = (
    "tests/whole/",
    "tests/faults/",
    "tests/daybook/test_never_lose.py",
    "tests/daybook/test_exchange.py",
    "tests/fuzz/",
    "tests/mixture/test_honesty.py",
    "tests/web/browser/test_outbox_under_faults.py",
)
"""The longest. They begin first, so that no core waits for the last of them."""


DECIDED_BY_IT = tuple(
    f"tests/daybook/test_{room}.py"
    for room in ("store", "revisions", "opening", "migrations", "never_lose")
)
"""Where it is the database that decides: what two writers get, what stands after a kill."""


def _leave_cases(items: list[pytest.Item]) -> None:
    """Of a test with many cases those marked `soon` are spread over them; the rest are `long`.

    So is PostgreSQL's half of what takes both stores, but for one of each file, where the database
    decides nothing.
    """
    cases: dict[tuple[str, int], list[pytest.Item]] = {}
    for item in items:
        if soon := item.get_closest_marker("soon"):
            cases.setdefault((item.nodeid.partition("[")[0], *soon.args), []).append(item)
    for (_, count), found in cases.items():
        kept = {round(at * (len(found) - 1) / max(count - 1, 1)) for at in range(count)}
        for at, item in enumerate(found):
            if at not in kept:
                item.add_marker(pytest.mark.long)
    seen: set[Path] = set()
    for item in items:
        if _is_twin(item) and not item.get_closest_marker("long"):
            if item.path in seen:
                item.add_marker(pytest.mark.long)
            seen.add(item.path)


def _is_twin(item: pytest.Item) -> bool:
    takes_both = "new_url" in getattr(item, "fixturenames", ())
    of_postgresql = item.get_closest_marker("postgresql") is not None
    return takes_both and of_postgresql and not item.nodeid.startswith(DECIDED_BY_IT)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    _leave_cases(items)
    items.sort(
        key=lambda item: not (item.nodeid.startswith(LONGEST) or item.get_closest_marker("long"))
    )
    asked_for = "long" in config.option.markexpr or any("::" in each for each in config.args)
    if not EVERYTHING and not asked_for:
        long = [item for item in items if item.get_closest_marker("long")]
        items[:] = [item for item in items if not item.get_closest_marker("long")]
        config.hook.pytest_deselected(items=long)


REMEMBERED = (
    "tests/cli/",
    "tests/desk/",
    "tests/faults/",
    "tests/web/",
    "tests/whole/",
    "tests/test_earlier",
    "tests/test_repository",
)
"""Here the engine is asked by way of the desk; see `remembered`."""
MIGRATED = ("tests/daybook/test_migrations.py", "tests/daybook/test_opening.py")
"""Here an empty store is migrated, as the program does it."""


def pytest_collection_finish(session: pytest.Session) -> None:
    gc.freeze()  # thousands of tests and all modules stay: to go through them again takes a while
    if any(item.nodeid.startswith(REMEMBERED) for item in session.items):
        remembered.begin()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    remembered.on = item.nodeid.startswith(REMEMBERED)
    made_tables.given = not item.nodeid.startswith(MIGRATED)
    try:
        return (yield)
    finally:
        remembered.on = made_tables.given = False


_FIRST: list[Path] = []
_OTHERS = (
    "SELECT count(*) FROM pg_stat_activity "
    "WHERE datname = current_database() AND pid <> pg_backend_pid()"
)


class PostgreSQL:
    """A PostgreSQL server of the tests' own, on a socket in a temporary folder."""

    def __init__(self, programs: Path, folder: Path, user: list[str]) -> None:
        self._programs = programs
        self._folder = folder
        self._user = user
        self._migrated: str | None = None
        self._emptied: list[str] = []

    def make(self) -> None:
        """Its files; those of the first in this process are kept for others to begin with."""
        data = self._folder / "data"
        if not _FIRST:
            _FIRST.append(Path(tempfile.mkdtemp(prefix="pg-")))
            atexit.register(shutil.rmtree, _FIRST[0], ignore_errors=True)
            if self._user:
                shutil.chown(_FIRST[0], "postgres")
            first = str(_FIRST[0] / "data")
            whom = ("-U", "pointage", "-A", "trust", "-E", "UTF8")
            self._run("initdb", "-D", first, *whom, "--no-sync")
        shutil.copytree(_FIRST[0] / "data", data)
        if self._user:
            for path in (data, *data.rglob("*")):
                shutil.chown(path, "postgres")

    def start(self) -> None:
        data = str(self._folder / "data")
        log = str(self._folder / "log")
        options = f"-k {self._folder} -c listen_addresses='' -c timezone=Europe/Dublin"
        options += " -c fsync=off -c full_page_writes=off"  # see `unsynced`
        options += " -c autovacuum=off"  # no database lives long enough
        self._run("pg_ctl", "-D", data, "-l", log, "-w", "-o", options, "start")

    def stop(self) -> None:
        """At once, as when the power goes: nothing is written that was not written before."""
        self._run("pg_ctl", "-D", str(self._folder / "data"), "-m", "immediate", "-w", "stop")

    def url(self, database: str) -> str:
        return f"postgresql://pointage@/{database}?host={self._folder}"

    def new_database(self, *, bare: bool = False) -> str:
        """An empty store's database: with its tables, unless it is to be bare, or the test is one
        of migrations."""
        if bare or not made_tables.given:
            return self._created("template0")
        if self._emptied:
            return self._emptied.pop()
        if self._migrated is None:
            self._migrated = self._created("template0")
            open_store(self._migrated).close()
        return self._created(make_url(self._migrated).database or "")

    def take_back(self, url: str) -> None:
        """Empty a database for another test, which takes a tenth of making one.

        It is left where it lies if somebody still uses it, or if it is not as it was made.
        """
        engine = create_engine(url.replace("postgresql:", "postgresql+psycopg:"))
        try:
            with engine.begin() as connection:
                others = connection.scalar(text(_OTHERS))
                revision = connection.scalar(text("SELECT version_num FROM alembic_version"))
                if others or revision != tables.REVISION:
                    return
                connection.execute(text("SET LOCAL session_replication_role = replica"))
                for table in tables.metadata.sorted_tables:
                    connection.execute(text(f"DELETE FROM {table.name}"))
        except DBAPIError:
            return
        finally:
            engine.dispose()
        self._emptied.append(url)

    def _created(self, template: str) -> str:
        name = f"daybook_{uuid4().hex}"
        server = create_engine(
            self.url("postgres").replace("postgresql:", "postgresql+psycopg:"),
            isolation_level="AUTOCOMMIT",
        )
        with server.connect() as connection:
            connection.execute(text(f"CREATE DATABASE {name} TEMPLATE {template}"))
        server.dispose()
        return self.url(name)

    def _run(self, program: str, *arguments: str) -> None:
        done = subprocess.run(
            [*self._user, str(self._programs / program), *arguments],
            cwd=self._folder,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
        assert done.returncode == 0, f"{program} failed: {done.stderr}"


def _server_programs() -> Path | None:
    """The folder of PostgreSQL's server programs; Debian keeps them off PATH, newest last here."""
    on_path = shutil.which("initdb")
    if on_path is not None and shutil.which("pg_ctl") is not None:
        return Path(on_path).resolve().parent
    debian = [each.parent for each in Path("/usr/lib/postgresql").glob("*/bin/initdb")]
    return max(debian, key=lambda each: int(each.parent.name), default=None)


def _do_without(reason: str) -> None:
    if os.environ.get("CI"):
        pytest.fail(f"{reason}, and CI is set")
    pytest.skip(reason)


@contextmanager
def server() -> Iterator[PostgreSQL]:
    """A server that runs until it is let go; without its programs the test is skipped."""
    programs = _server_programs()
    if programs is None:
        _do_without("no PostgreSQL server programs (initdb, pg_ctl) on this machine")
        return
    user: list[str] = []
    folder = Path(tempfile.mkdtemp(prefix="pg-"))  # a socket's path must be short
    if os.geteuid() == 0:  # the server refuses to run as root
        path = os.pathsep.join((os.environ.get("PATH", ""), "/usr/sbin", "/sbin"))
        runuser = shutil.which("runuser", path=path)
        if runuser is None:
            _do_without("PostgreSQL does not run as root, and there is no runuser")
            return
        user = [runuser, "-u", "postgres", "--"]
        shutil.chown(folder, "postgres")
    running = PostgreSQL(programs, folder, user)
    try:
        running.make()
        running.start()
        yield running
        running.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(autouse=True)
def _no_ingredients_of_others() -> Iterator[None]:
    """What one kitchen describes, a process knows: the next test begins without."""
    yield
    forget_own()


@pytest.fixture(scope="session")
def postgresql() -> Iterator[PostgreSQL]:
    with server() as running:
        yield running


@pytest.fixture
def own_postgresql() -> Iterator[PostgreSQL]:
    """A server that a test may stop and start."""
    with server() as running:
        yield running


@pytest.fixture(
    params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)],
)
def new_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Callable[[], str]]:
    """Gives the URL of one more empty store at each call."""
    if request.param == "sqlite":
        yield lambda: f"sqlite:///{tmp_path / uuid4().hex}.sqlite3"
        return
    server: PostgreSQL = request.getfixturevalue("postgresql")
    given: list[str] = []

    def new() -> str:
        given.append(server.new_database())
        return given[-1]

    yield new
    if made_tables.given:
        for url in given:
            server.take_back(url)


@pytest.fixture
def url(new_url: Callable[[], str]) -> str:
    return new_url()


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    with open_store(url) as opened:
        yield opened
