"""Everything that is kept, in one file, and back: for SQLite and PostgreSQL alike, and from one to the other.

A backup is a zip with a file of JSON lines for each table and a manifest of counts and sha256 sums, taken in one
transaction while the planner runs. It holds hashes of keys, so links work again after a restore; nobody can open
a plan with it. A backup made before a migration is migrated when it is restored.
"""

from __future__ import annotations

import hashlib
import json
import os
import zipfile
import zlib
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, MetaData, Table, func, insert, inspect, select

from server.store.database import (
    NEWEST,
    Database,
    StoreError,
    known_revisions,
    migrate,
    open_engine,
    troubles_in_words,
)
from server.store.tables import metadata

SCHEMA = "cornerwise backup"
VERSION = 1
_LINES = 500  # rows sent to the database at once


class BackupError(StoreError):
    """A backup that cannot be written or restored; what is kept was not touched."""


def backup(url: str, file: Path) -> dict[str, int]:
    """Write a backup, whole or not at all; rows of each table. Never overwrites a file."""
    if file.exists():
        raise BackupError(
            f"{file} is there already.", cure="Choose another name; backups are never overwritten."
        )
    database = Database(url)
    partial = file.with_name(file.name + ".partial")
    try:
        with partial.open("xb") as out:
            with database.reading() as connection, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
                counts = _write(connection, archive)
            out.flush()
            os.fsync(out.fileno())
        partial.rename(file)
    except OSError as trouble:
        raise BackupError(
            f"{file} could not be written: {trouble.strerror}.", cure="Choose another place."
        ) from trouble
    finally:
        partial.unlink(missing_ok=True)
        database.close()
    return counts


def restore(url: str, file: Path) -> dict[str, int]:
    """Put a backup into a database that holds no plan yet; rows of each table."""
    try:
        with zipfile.ZipFile(file) as archive:
            manifest = _manifest(archive)
            return _restore(url, archive, manifest)
    except FileNotFoundError as trouble:
        raise BackupError(f"There is no {file}.", cure="Give the name of a backup.") from trouble
    except (OSError, zipfile.BadZipFile, zlib.error, EOFError, ValueError, KeyError, TypeError) as trouble:
        if isinstance(trouble, StoreError):
            raise
        raise BackupError(f"{file} is not a whole backup.", cure="Restore an earlier one.") from trouble


def _write(connection: Connection, archive: zipfile.ZipFile) -> dict[str, int]:
    counts: dict[str, int] = {}
    sums: dict[str, str] = {}
    for table in metadata.sorted_tables:
        digest, counts[table.name] = hashlib.sha256(), 0
        with archive.open(f"{table.name}.jsonl", "w", force_zip64=True) as out:
            for row in connection.execution_options(yield_per=_LINES).execute(_all(table)):
                line = json.dumps(dict(row._mapping), sort_keys=True).encode() + b"\n"
                digest.update(line)
                out.write(line)
                counts[table.name] += 1
        sums[table.name] = digest.hexdigest()
    manifest = {"schema": SCHEMA, "version": VERSION, "revision": NEWEST, "rows": counts, "sha256": sums}
    archive.writestr("manifest.json", json.dumps(manifest, indent=1))
    return counts


def _all(table: Table) -> Any:
    return select(table).order_by(*table.primary_key.columns)


def _manifest(archive: zipfile.ZipFile) -> dict[str, Any]:
    """The manifest, when every file of the backup is as it says. Raises BackupError."""
    manifest = json.loads(archive.read("manifest.json"))
    if manifest["schema"] != SCHEMA:
        raise BackupError("This file is no backup.", cure="Give the name of a backup.")
    if manifest["version"] > VERSION or manifest["revision"] not in known_revisions():
        raise BackupError("This backup was made by a newer Cornerwise.", cure="Restore it with that one.")
    for name, wanted in manifest["sha256"].items():
        digest = hashlib.sha256()
        with archive.open(f"{name}.jsonl") as file:
            while chunk := file.read(1 << 20):
                digest.update(chunk)
        if digest.hexdigest() != wanted:
            raise BackupError(f"The backup is damaged: {name} has changed.", cure="Restore an earlier one.")
    return dict(manifest)


def _restore(url: str, archive: zipfile.ZipFile, manifest: dict[str, Any]) -> dict[str, int]:
    Database(url).close()  # says in words when it cannot be opened or written
    engine = open_engine(url)
    try:
        with troubles_in_words(url):
            _make_room(engine)
            migrate(engine, manifest["revision"])
            tables = MetaData()
            tables.reflect(engine)
            with engine.connect().execution_options(writes=True) as connection, connection.begin():
                for table in tables.sorted_tables:
                    if table.name in manifest["rows"]:
                        _fill(connection, table, archive)
            migrate(engine)
    finally:
        engine.dispose()
    return dict(manifest["rows"])


def _make_room(engine: Engine) -> None:
    """Take away the empty tables of a fresh database. Raises BackupError when it holds a plan."""
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        tables = MetaData()
        tables.reflect(connection)
        if inspect(connection).has_table("plans"):
            many = connection.execute(select(func.count()).select_from(tables.tables["plans"])).scalar_one()
            if many:
                raise BackupError(
                    f"There are {many} plans here already.",
                    cure="Restore into an empty data folder or database, and then change over to it.",
                )
        tables.drop_all(connection)


def _fill(connection: Connection, table: Table, archive: zipfile.ZipFile) -> None:
    with archive.open(f"{table.name}.jsonl") as file:
        lines: Iterator[dict[str, Any]] = (json.loads(line) for line in file)
        while rows := list(islice(lines, _LINES)):
            connection.execute(insert(table), rows)
