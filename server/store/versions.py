"""The shelf: saved plans, every version of each, kept for good.

A save adds a version and moves the plan's head to it. A save made from an older version than the head is kept
too, aside, and told (Conflict): nothing that reached the store is ever overwritten or dropped.
The store does its work in the calling thread; call it from a worker thread when serving.
"""

from __future__ import annotations

import re
import secrets
import time
from dataclasses import dataclass, replace
from typing import Any, Literal

from sqlalchemy import Connection, func, insert, select, update
from sqlalchemy import Row as Record

from planner.plan import Plan
from server.settings import Settings
from server.store import find
from server.store.database import Database, NotFound, StoreError
from server.store.find import Page, Sort
from server.store.keys import Keyring, Keys, NotAllowed, Opens, allowed, hash_of, new_key
from server.store.planfile import canonical
from server.store.tables import plans, versions

Why = Literal["made", "saved", "restored", "aside"]
_ID = re.compile(r"[a-z2-7]{20}\Z")  # 100 random bits
_LETTERS = "abcdefghijklmnopqrstuvwxyz234567"


@dataclass(frozen=True)
class Saved:
    """A version of a saved plan. Keys are there only when they were made by this very call."""

    id: str
    version: int
    head: int  # the version that is the plan now
    base: int  # the version it was made from; 0 for the first
    why: Why
    saved_at: float  # seconds since 1970, UTC
    plan: Plan
    by: str = ""  # who saved it, as she calls herself
    edit_key: str | None = None
    own_key: str | None = None
    view_key: str | None = None

    def with_keys(self, keys: Keys) -> Saved:
        """The same with the keys that open it."""
        return replace(self, edit_key=keys.edit, view_key=keys.view, own_key=keys.own)


@dataclass(frozen=True)
class Version:
    """One line in the history of a plan."""

    version: int
    base: int
    why: Why
    saved_at: float
    by: str = ""


# A plan on another shelf: its id, its head, and every version with its line, oldest first, the head among them.
History = tuple[str, int, list[tuple[Version, Plan]]]


class Full(StoreError):
    """The quota of the shelf is used up; what is on it stays."""

    status = 507
    title = "The shelf is full"

    def __init__(self, message: str) -> None:
        super().__init__(
            message,
            cure="Save this plan as a file or a carrying link, and ask whoever runs the planner for more room.",
        )


class Conflict(StoreError):
    """Somebody saved since: `mine` is kept aside, `theirs` is the plan now, `base` what both began from."""

    status = 409

    def __init__(self, mine: Saved, theirs: Saved, base: int) -> None:
        super().__init__(
            f"Somebody else saved this plan while you worked on it: version {theirs.version}.",
            cure=f"Yours is kept as version {mine.version}. Compare the two and choose.",
        )
        self.mine = mine
        self.theirs = theirs
        self.base = base


class Store:
    """Plans in one database, named by its URL (`sqlite:///plans.db`, `postgresql://...`).

    Raises StorageTrouble (server.store.database) from any call when disk or database fail; the failed call then
    changed nothing.
    """

    def __init__(self, url: str, most_plans: int = 0, most_bytes: int = 0, secret: bytes = b"") -> None:
        self.database = Database(url)
        self.most_plans = most_plans
        self.most_bytes = most_bytes
        self.keyring = Keyring(self.database, secret or new_key().encode())

    @classmethod
    def of(cls, settings: Settings) -> Store:
        """The store that the settings name, with its quota and its secret."""
        return cls(settings.store_url, settings.most_plans, settings.most_kept_bytes, settings.secret_bytes)

    def close(self) -> None:
        """Let go of the database."""
        self.database.close()

    def create(self, plan: Plan, by: str = "") -> Saved:
        """Put a new plan on the shelf, with a key of each kind. by: who does, as she calls herself."""
        now = time.time()
        plan_id = _new_id()
        with self.database.writing() as connection:
            self._check_room(connection, 1)
            connection.execute(
                insert(plans).values(
                    id=plan_id, head=1, latest=1, made_at=now, changed_at=now, **find.found_by(plan)
                )
            )
            find.set_tags(connection, plan_id, plan)
            made = _write(connection, plan_id, Version(1, 0, "made", now, by), plan)
            keys = self.keyring.add_keys(connection, plan_id)
        return made.with_keys(keys)

    def adopt(self, histories: list[History]) -> list[Saved | None]:
        """Take in plans with their histories, as another shelf kept them: all of them, or none.

        A plan keeps its id when that is free here; None stands for one that is here already, under its id and
        with the same newest content.
        """
        with self.database.writing() as connection:
            self._check_room(connection, len(histories))
            return [self._adopt(connection, *history) for history in histories]

    def load(self, plan_id: str, version: int | None = None) -> Saved:
        """A version of a plan, its head when none is named. Raises NotFound."""
        with self.database.reading() as connection:
            row = _row(connection, plan_id)
            return _read(connection, row, row.head if version is None else version)

    def save(
        self,
        plan_id: str,
        plan: Plan,
        base_version: int,
        edit_key: str | None = None,
        onto: int | None = None,
        by: str = "",
    ) -> Saved:
        """Add a version made from `base_version`.

        onto: the head that she saw when she began, where that was not what she began from.
        edit_key: checked when given (NotAllowed); without one the caller has settled that she may.
        Raises Conflict when the head has moved on; the plan is then kept as a version aside. A request sent twice
        adds nothing: what is the head already gives the head back, what was kept aside last is not kept again.
        """
        with self.database.writing() as connection:
            self._check_room(connection, 0)
            row = _row(connection, plan_id, lock=True)
            opens = allowed(connection, plan_id, edit_key) if edit_key is not None else Opens("edit")
            if opens is None or opens.may == "view":
                raise NotAllowed
            _read(connection, row, base_version)  # a base that never was is NotFound, not a conflict
            if row.head == (base_version if onto is None else onto):
                return _add(connection, row, base_version, "saved", plan, by)
            theirs, last = (_read(connection, row, version) for version in (row.head, row.latest))
            if canonical(theirs.plan) == canonical(plan):
                return theirs
            again = (last.why, last.base, canonical(last.plan)) == ("aside", base_version, canonical(plan))
            mine = last if again else _add(connection, row, base_version, "aside", plan, by)
        raise Conflict(mine, theirs, base_version)

    def versions(self, plan_id: str, page: int = 1, rows: int = 50) -> tuple[Version, ...]:
        """Its history, newest first, one page of it."""
        with self.database.reading() as connection:
            _row(connection, plan_id)
            found = connection.execute(
                select(*(versions.c[name] for name in Version.__dataclass_fields__))
                .where(versions.c.plan_id == plan_id)
                .order_by(versions.c.version.desc())
                .limit(rows)
                .offset((max(1, page) - 1) * rows)
            )
            return tuple(Version(*row) for row in found)

    def restore(self, plan_id: str, version: int, by: str = "") -> Saved:
        """Make an earlier (or aside) version the plan again, as a new version. Raises NotFound."""
        with self.database.writing() as connection:
            self._check_room(connection, 0)
            row = _row(connection, plan_id, lock=True)
            return _add(connection, row, version, "restored", _read(connection, row, version).plan, by)

    def duplicate(self, saved: Saved, by: str = "") -> Saved:
        """Copy a plan to a new one of one's own, named as a copy."""
        return self.create(copy_of(saved.plan), by)

    def delete(self, plan_id: str) -> None:
        """Move a plan to the bin: off the shelf, links closed, nothing lost."""
        self._set_deleted(plan_id, time.time())

    def undelete(self, plan_id: str) -> None:
        """Take a plan back from the bin; its links work again."""
        self._set_deleted(plan_id, None)

    def renew_keys(self, plan_id: str) -> Keys:
        """Stop every link of a plan and make two new ones."""
        return self.keyring.renew(plan_id)

    def search(
        self,
        query: str = "",
        sort: Sort = "newest",
        tag: str = "",
        page: int = 1,
        *,
        deleted: bool = False,
        ring: str | None = None,
    ) -> Page:
        """One page of the shelf; with a ring only the plans that it has keys to."""
        with self.database.reading() as connection:
            held = None if ring is None else hash_of(ring)
            return find.search(connection, query, sort, tag, page, deleted=deleted, ring=held)

    def shelf(self, *, ring: str | None = None) -> list[find.Row]:
        """Every plan on the shelf by name, as it stands at one moment; with a ring only those it has keys to."""
        held = None if ring is None else hash_of(ring)
        with self.database.reading() as connection:
            first = find.search(connection, sort="name", ring=held)
            more = (
                find.search(connection, sort="name", page=n, ring=held) for n in range(2, first.pages + 1)
            )
            return [row for page in (first, *more) for row in page.rows]

    def tags(self, *, ring: str | None = None) -> list[tuple[str, int]]:
        """Tags in use with their number of plans."""
        with self.database.reading() as connection:
            return find.tag_counts(connection, ring=None if ring is None else hash_of(ring))

    def _check_room(self, connection: Connection, more: int) -> None:
        """Raises Full where so many more plans, or any more bytes, are beyond the quota."""
        if self.most_plans and more:
            many = connection.execute(select(func.count()).select_from(plans)).scalar_one()
            if many + more > self.most_plans:
                raise Full(f"The shelf is full: it takes {self.most_plans:,} plans, the bin included.")
        if self.most_bytes and self.database.size(connection) > self.most_bytes:
            raise Full(f"The shelf is full: it takes {self.most_bytes // 1_000_000:,} MB.")

    def _adopt(
        self, connection: Connection, plan_id: str, head: int, lines: list[tuple[Version, Plan]]
    ) -> Saved | None:
        newest, plan = next((line, plan) for line, plan in lines if line.version == head)
        here = connection.execute(select(plans).where(plans.c.id == plan_id)).first()
        if here is not None:
            if canonical(_read(connection, here, here.head).plan) == canonical(plan):
                return None
            plan_id = _new_id()
        times = {"made_at": lines[0][0].saved_at, "changed_at": newest.saved_at}
        row = {"id": plan_id, "head": head, "latest": lines[-1][0].version, **times, **find.found_by(plan)}
        connection.execute(insert(plans).values(**row))
        find.set_tags(connection, plan_id, plan)
        for line, content in lines:
            _write(connection, plan_id, line, content)
        keys = self.keyring.add_keys(connection, plan_id)
        return _saved(plan_id, newest, head, plan).with_keys(keys)

    def _set_deleted(self, plan_id: str, when: float | None) -> None:
        with self.database.writing() as connection:
            _row(connection, plan_id, lock=True, deleted=True)
            connection.execute(update(plans).where(plans.c.id == plan_id).values(deleted_at=when))


def copy_of(plan: Plan) -> Plan:
    """The same plan, named as a copy."""
    return plan.model_copy(update={"name": f"{plan.name[:110]} (copy)"})


def _new_id() -> str:
    return "".join(secrets.choice(_LETTERS) for _ in range(20))


def _row(connection: Connection, plan_id: str, *, lock: bool = False, deleted: bool = False) -> Record[Any]:
    """The row of a plan; locked, no other process changes it before this change is done."""
    missing = NotFound("There is no such plan.", cure="Look for it on the shelf, or ask for its link again.")
    if not _ID.match(plan_id):
        raise missing
    wanted = select(plans).where(plans.c.id == plan_id)
    row = connection.execute(wanted.with_for_update() if lock else wanted).first()
    if row is None:
        raise missing
    if row.deleted_at is not None and not deleted:
        raise NotFound("This plan is in the bin.", cure="Its owner can take it back from there.")
    return row


def _read(connection: Connection, row: Record[Any], version: int) -> Saved:
    wanted = select(versions).where(versions.c.plan_id == row.id, versions.c.version == version)
    found = connection.execute(wanted).first() if 0 < version <= row.latest else None
    if found is None:
        raise NotFound(f"This plan has no version {version}.", cure=f"Its newest is version {row.latest}.")
    line = Version(found.version, found.base, found.why, found.saved_at, found.by)
    return _saved(row.id, line, row.head, Plan.model_validate_json(found.body))


def _add(connection: Connection, row: Record[Any], base: int, why: Why, plan: Plan, by: str) -> Saved:
    """The next version; the head moves to it unless it is kept aside."""
    version, now = row.latest + 1, time.time()
    saved = _write(connection, row.id, Version(version, base, why, now, by), plan)
    moved = {"latest": version} if why == "aside" else {"latest": version, "head": version, "changed_at": now}
    connection.execute(update(plans).where(plans.c.id == row.id).values(**moved))
    if why == "aside":
        return replace(saved, head=row.head)
    find.index_plan(connection, row.id, plan)
    return saved


def _write(connection: Connection, plan_id: str, line: Version, plan: Plan) -> Saved:
    connection.execute(insert(versions).values(plan_id=plan_id, body=canonical(plan), **vars(line)))
    return _saved(plan_id, line, line.version, plan)


def _saved(plan_id: str, line: Version, head: int, plan: Plan) -> Saved:
    return Saved(plan_id, line.version, head, line.base, line.why, line.saved_at, plan, line.by)
