"""Database files of every earlier schema open with all that is in them."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import MetaData, insert, select

from planner.plan import Plan
from server.store.database import NEWEST, StorageTrouble, migrate, open_engine
from server.store.keys import Opens
from server.store.shared import PASSING
from server.store.tables import metadata
from server.store.versions import Store
from tests.fixtures.stores import make
from tests.server.samples import renamed

OLD = sorted(make.HERE.glob("*.db"))
REVISIONS = [file.stem for file in OLD]


def test_every_earlier_schema_has_its_file() -> None:
    files = Path("server/store/migrations/versions").glob("*.py")
    revisions = sorted(file.name[:4] for file in files)
    assert revisions[-1] == NEWEST
    assert revisions[:-1] == REVISIONS


@pytest.fixture(params=OLD, ids=REVISIONS)
def old_sqlite(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    file = tmp_path / "plans.db"
    shutil.copy(request.param, file)
    return f"sqlite:///{file}"


@pytest.fixture(params=OLD, ids=REVISIONS)
def old_postgres(request: pytest.FixtureRequest, postgres_url: str) -> str:
    """The same rows in PostgreSQL at the same revision, its tables made by the same old migration."""
    source, target = open_engine(f"sqlite:///{request.param}", durable=False), open_engine(postgres_url)
    migrate(target, request.param.stem)
    tables = MetaData()
    tables.reflect(source)
    with source.connect() as there, target.begin() as here:
        for table in tables.sorted_tables:
            rows = [dict(row._mapping) for row in there.execute(select(table))]
            if rows and table.name != "alembic_version":
                here.execute(insert(table), rows)
    source.dispose()
    target.dispose()
    return postgres_url


def check_everything_is_there(url: str) -> None:
    store = Store(url)
    for plan_id, head, versions in make.PLANS:
        row = store.search(deleted=False).rows
        if plan_id not in [found.id for found in row]:
            store.undelete(plan_id)  # the 0002 file has this one in its bin
        assert store.load(plan_id).version == head
        for version, base, why, body in versions:
            found = store.load(plan_id, version)
            assert (found.base, found.why) == (base, why)
            assert found.plan == Plan.model_validate_json(body)
            assert found.plan.typed == {"sides_in.top": "80"}
            assert found.plan.border_in.right == 5.5
        assert store.keyring.may(plan_id, key=make.key_of(plan_id, "view")) == "view"
        own = store.keyring.may(plan_id, key=make.key_of(plan_id, "own"))
        edit = store.keyring.may(plan_id, key=make.key_of(plan_id, "edit"))
        assert (own, edit) in (
            ("own", "edit"),
            (None, "own"),
        )  # before there were owners: its maker's, the oldest
        looks = store.keyring.opens(plan_id, key=make.key_of(plan_id, "view"))
        assert looks == Opens("view", follows=True, history=False)  # nobody said that it shows every version
        assert all(
            link.key is None for link in store.keyring.links(plan_id)
        )  # made before: not to be shown again
    assert store.tags() == [("2027", 1), ("gift", 1)]
    assert [row.name for row in store.search("GARDEN").rows] == ["Garden path, wider"]
    assert store.search(sort="name").total == 2
    saved = store.save(make.GARDEN, renamed(store.load(make.GARDEN).plan, "New"), base_version=3)
    assert saved.version == 5
    store.close()


def test_an_old_file_opens_with_everything(old_sqlite: str) -> None:
    check_everything_is_there(old_sqlite)


def test_an_old_postgres_opens_with_everything(old_postgres: str) -> None:
    check_everything_is_there(old_postgres)


def test_migrations_lead_to_the_tables_in_use(url: str) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    def lasts(name: str | None, kind: str, _: object) -> bool:
        return kind != "table" or name not in PASSING

    engine = open_engine(url)
    migrate(engine)
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"include_name": lasts})
        assert compare_metadata(context, metadata) == []
    engine.dispose()


def test_a_file_from_a_newer_program_is_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "plans.db"
    Store(f"sqlite:///{file}").close()
    with sqlite3.connect(file) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
    raw.close()
    before = file.read_bytes()
    with pytest.raises(StorageTrouble, match="newer"):
        Store(f"sqlite:///{file}")
    assert file.read_bytes() == before


def test_a_migration_that_fails_leaves_the_old_file_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from alembic import op

    file = tmp_path / "plans.db"
    shutil.copy(OLD[0], file)

    def no_index(*_: object, **__: object) -> None:
        raise RuntimeError("pulled the plug")

    with monkeypatch.context() as broken:
        broken.setattr(op, "create_index", no_index)
        with pytest.raises(RuntimeError):
            Store(f"sqlite:///{file}")
    with sqlite3.connect(file) as raw:
        assert raw.execute("SELECT version_num FROM alembic_version").fetchone() == ("0001",)
        assert "deleted_at" not in [column[1] for column in raw.execute("PRAGMA table_info(plans)")]
    raw.close()
    check_everything_is_there(f"sqlite:///{file}")
