"""The engine under the store: SQLite or PostgreSQL, brought to the newest schema, with its troubles in words.

SQLite runs with a write-ahead log and full durability: a save that was acknowledged is on the disk. Writers
queue (BEGIN IMMEDIATE), readers never wait for them. Several processes may share either database.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DBAPIError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from planner.errors import PlanError
from server.store.tables import metadata

MIGRATIONS = Path(__file__).parent / "migrations"
NEWEST = "0006"  # the last file in migrations/versions
EMPTY_BYTES = 4096  # a file of one page has no tables yet
WAIT_S = 30  # how long a writer waits for its turn before it says so
_MIGRATING = 7_203_415  # PostgreSQL advisory lock: one process migrates, the others wait


class StoreError(PlanError):
    """The store cannot do what was asked; what was there before is still there."""

    status = 422  # the HTTP status that tells it best


class NotFound(StoreError):
    """No such plan or version, or it is in the bin."""

    status = 404


class StorageTrouble(StoreError):
    """The disk or the database is full, read-only, busy or away."""

    status = 503


class Database:
    """An open database at the newest schema.

    Raises StorageTrouble when it cannot be opened at all. A SQLite file that can be read but not written is
    opened for reading; `read_only` then says so and every write raises StorageTrouble.
    """

    def __init__(self, url: str) -> None:
        self.url = make_url(url)
        self.sqlite = self.url.get_backend_name() == "sqlite"
        self.place = str(Path(self.url.database or "").parent) if self.sqlite else "the database"
        self.read_only = False
        self.damaged = False  # some page of it: it is read as far as it goes, and not written
        self._turn = threading.Lock()  # SQLite: one writer a process queues here, fairly, instead of polling
        if self.sqlite:
            self._open_sqlite()
        else:
            self.engine = open_engine(self.url.render_as_string(hide_password=False))
            with troubles_in_words(self.place):
                migrate(self.engine)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One consistent look at everything."""
        with troubles_in_words(self.place), self.engine.connect() as connection:
            if not self.sqlite:
                connection = connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One change, whole or not at all; on the disk when the block has ended."""
        if self.damaged:
            raise damaged_file(self.place)
        if self.read_only:
            raise _read_only(self.place)
        if self.sqlite and not self._turn.acquire(timeout=WAIT_S):
            raise _busy()
        try:
            with troubles_in_words(self.place), self.engine.connect() as connection:
                connection = connection.execution_options(writes=True)
                with connection.begin():
                    yield connection
        finally:
            if self.sqlite:
                self._turn.release()

    def passing(self, statement: str, values: Mapping[str, Any]) -> Any:
        """One statement on what may be lost (`shared.py`), by itself: the first figure it gives, None for none."""
        with troubles_in_words(self.place), self.engine.connect() as connection:
            alone = connection.execution_options(isolation_level="AUTOCOMMIT")
            found = alone.execute(text(statement), values)
            return found.scalar() if found.returns_rows else None

    def size(self, connection: Connection) -> int:
        """Bytes that plans, their versions and keys take."""
        if self.sqlite:
            asked = "SELECT page_count * page_size FROM pragma_page_count, pragma_page_size"
        else:
            sizes = (f"pg_total_relation_size('{table}')" for table in metadata.tables)
            asked = f"SELECT {' + '.join(sizes)}"
        return int(connection.execute(text(asked)).scalar_one())

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()

    def _open_sqlite(self) -> None:
        file = Path(self.url.database or "plans.db").expanduser().resolve()
        try:
            file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as trouble:
            raise _no_folder(file.parent) from trouble
        before = file.stat().st_size if file.exists() else 0
        if not file.exists():
            try:
                file.touch(mode=0o600)  # plans are hers: nobody else on the machine reads them
            except OSError as trouble:
                raise _no_folder(file.parent) from trouble
        self.engine = open_engine(f"sqlite:///{file}")
        try:
            with troubles_in_words(self.place):
                self._look_over(before)
                migrate(self.engine)
                with self.engine.connect().execution_options(writes=True) as connection, connection.begin():
                    pass  # BEGIN IMMEDIATE fails here when the file or its folder is read-only
        except StorageTrouble as trouble:
            self.engine.dispose()
            if not self._open_for_reading(file):
                raise trouble from None

    def _look_over(self, size: int) -> None:
        """Notice damage before anything is written. Raises StorageTrouble where it is no shelf any more.

        A file with pages but without tables is one whose first page is gone, not a new one.
        """
        with self.engine.connect() as connection:
            if size > EMPTY_BYTES and _revision(connection) is None:
                raise damaged_file(self.place)
            if connection.execute(text("PRAGMA quick_check(1)")).scalar() != "ok":
                self.damaged = True

    def _open_for_reading(self, file: Path) -> bool:
        """Open a file that cannot be written; immutable when not even its log's index may be made."""
        for how in ("mode=ro", "mode=ro&immutable=1"):
            self.engine = open_engine(f"sqlite:///file:{file}?{how}&uri=true", durable=False)
            try:
                with self.engine.connect() as connection:
                    self.read_only = _revision(connection) == NEWEST
            except SQLAlchemyError:
                self.engine.dispose()
            if self.read_only:
                return True
        return False


def open_engine(url: str, *, durable: bool = True) -> Engine:
    """An engine for a database URL. durable=False leaves a SQLite file's settings alone (it is read-only)."""
    if not url.startswith("sqlite:"):
        url = re.sub(r"^postgres(ql)?:", "postgresql+psycopg:", url)
        try:
            return create_engine(url, pool_size=8, max_overflow=32, pool_pre_ping=True)
        except ModuleNotFoundError as missing:
            raise StorageTrouble(
                f"The driver of this database, {missing.name}, is not installed.",
                cure="Type python3 -m server.bootstrap with the same environment, and start again.",
            ) from None
    wait = {"timeout": WAIT_S, "check_same_thread": False}
    engine = create_engine(url, pool_size=8, max_overflow=32, connect_args=wait)

    def connected(raw: Any, _record: object) -> None:
        raw.isolation_level = None  # the driver begins nothing on its own: `begin` below does
        raw.execute("PRAGMA foreign_keys=ON")
        if durable:
            raw.execute("PRAGMA journal_mode=WAL")
            raw.execute("PRAGMA synchronous=FULL")

    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    event.listen(engine, "connect", connected)
    event.listen(engine, "begin", begin)
    return engine


def migrate(engine: Engine, to: str = NEWEST) -> None:
    """Bring the schema to revision `to`, all of it or nothing; two processes at once do it once.

    Raises StorageTrouble when the database was written by a newer Cornerwise.
    """
    with engine.connect() as connection:
        if _revision(connection) == to:
            return
    from alembic import command  # half a second: only when there is something to migrate
    from alembic.config import Config

    known = known_revisions()
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        if engine.dialect.name != "sqlite":
            connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _MIGRATING})
        now = _revision(connection)
        if now is not None and now not in known:
            raise StorageTrouble(
                "These plans were kept by a newer Cornerwise.",
                cure="Start that newer one; nothing was changed here.",
            )
        config.attributes["connection"] = connection
        command.upgrade(config, to)


def known_revisions() -> set[str]:
    """The schemas that this program can bring to the newest."""
    return {file.name[:4] for file in (MIGRATIONS / "versions").glob("[0-9]*.py")}


def _revision(connection: Connection) -> str | None:
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


@contextmanager
def troubles_in_words(place: str) -> Iterator[None]:
    """Turn what the driver says into what she can do about it."""
    try:
        yield
    except PoolTimeout as trouble:
        raise _busy() from trouble
    except DBAPIError as trouble:
        said = str(trouble.orig).lower()
        state = getattr(trouble.orig, "sqlstate", None) or ""
        if "full" in said or state.startswith("53100") or "no space" in said or "disk i/o" in said:
            raise StorageTrouble(
                "The disk took no more: it is full, or failing. This could not be saved.",
                cure="Free some room and save again; every plan saved before is still there.",
            ) from trouble
        if "readonly" in said or "read-only" in said or "unable to open" in said or state == "25006":
            raise _read_only(place) from trouble
        if "locked" in said or state in ("55P03", "40001", "40P01"):
            raise _busy() from trouble
        if "malformed" in said or "not a database" in said:
            raise damaged_file(place) from trouble
        raise StorageTrouble(
            "The place where plans are kept does not answer.", cure="Nothing was changed. Try again shortly."
        ) from trouble


def damaged_file(place: str) -> StorageTrouble:
    """The database can be read in part, or not at all; nothing more is written into it."""
    return StorageTrouble(
        "The file that keeps the plans is damaged.",
        cure=f"Save what can be read: python3 -m server rescue {Path(place) / 'plans.db'}; then set it aside and "
        "bring that in, or restore the last backup.",
    )


def _busy() -> StorageTrouble:
    return StorageTrouble("Too many saves are waiting.", cure="Nothing was changed. Try again shortly.")


def _read_only(place: str) -> StorageTrouble:
    return StorageTrouble(
        f"Plans can be read but not saved: {place} may not be written.",
        cure="Allow writing there, or choose another place with CORNERWISE_DATA_FOLDER; nothing was changed.",
    )


def _no_folder(folder: Path) -> StorageTrouble:
    return StorageTrouble(
        f"There is no place to keep plans: {folder} may not be written.",
        cure="Allow writing there, or choose another place with CORNERWISE_DATA_FOLDER.",
    )
