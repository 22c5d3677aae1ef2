"""Keys: who may look at a plan, who may change it, and whose it is.

A key is 256 bits in a link. Only its sha256 is kept, so nobody who reads the database can open a plan; with that
many bits a plain hash is enough. A link's key is made of random bits that are kept, by a secret that is not kept
in the database (HMAC, RFC 2104): so its owner can be shown it again. A browser that came in by a link keeps a
ring: one random token in its cookie, of which again only the hash is kept, and the hashes of its keys.

A key to look follows the plan or shows one version of it, as its maker chose; every version only if she said so.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import re
import secrets
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

from sqlalchemy import Connection, Select, delete, func, insert, select, update

from server.store.database import Database, NotFound, StoreError
from server.store.tables import keys, plans, rings

May = Literal["view", "edit", "own"]  # each allows what those before it do
EVERY_MAY = get_args(May)
MOST_KEYS = 100  # links of one plan that work at a time
_HANDED_OUT = keys.c.may != "own"
_KEY = re.compile(r"[A-Za-z0-9_-]{43}\Z")


class NotAllowed(StoreError):
    """The key is missing, wrong, stopped, or only a key to look."""

    status = 403

    def __init__(self, message: str = "This link cannot change the plan.", cure: str = "") -> None:
        super().__init__(message, cure=cure or "Ask whoever sent it for the edit link, or copy the plan.")


@dataclass(frozen=True)
class Keys:
    view: str
    edit: str
    own: str


@dataclass(frozen=True)
class Link:
    """A key that is handed out. version: the one it shows, None where it follows the plan; history: every version,
    too. whom: for whom it is, '' where that was not said. key: None where it cannot be shown again (an old one, or
    made under another secret)."""

    id: str
    may: May
    version: int | None
    history: bool
    made_at: float
    whom: str
    key: str | None


@dataclass(frozen=True)
class Opens:
    """What some keys open of a plan. follows: as it is now; history: every version; else only those versions."""

    may: May
    follows: bool = True
    history: bool = True
    versions: frozenset[int] = frozenset()

    def shows(self, version: int, head: int) -> bool:
        """Whether that version may be looked at."""
        return self.history or (self.follows and version == head) or version in self.versions

    def usual(self, head: int) -> int:
        """The version that is looked at where none is named."""
        return head if self.follows or not self.versions else max(self.versions)


def new_key() -> str:
    """A key that nobody can guess."""
    return secrets.token_urlsafe(32)


def hash_of(key: str) -> str:
    """What is kept of a key: enough to know it again, too little to give it away."""
    return hashlib.sha256(key.encode()).hexdigest()


def allowed(connection: Connection, plan_id: str, key: str) -> Opens | None:
    """What the key lets its bearer do with this plan.

    Looked for among the hashes of the plan's own keys, each compared in constant time.
    """
    if not _KEY.match(key):
        return None
    ours = hash_of(key)
    found: Opens | None = None
    for row in connection.execute(select(keys).where(keys.c.plan_id == plan_id)):
        if hmac.compare_digest(ours, row.hash):
            found = _opened_by(row)
    return found


def opened_by(connection: Connection, ring: str, plan_ids: Sequence[str]) -> dict[str, Opens]:
    """What the keys on a ring (its hash) open of some plans."""
    held = select(keys).join(rings, rings.c.hash == keys.c.hash)
    found: dict[str, Opens] = {}
    for row in connection.execute(held.where(rings.c.ring == ring, keys.c.plan_id.in_(plan_ids))):
        both = together((found.get(row.plan_id), _opened_by(row)))
        found |= {row.plan_id: both} if both else {}
    return found


def together(some: Iterable[Opens | None]) -> Opens | None:
    """What several keys open, all in one hand; None for nothing."""
    found = [one for one in some if one]
    if not found:
        return None
    return Opens(
        max((one.may for one in found), key=EVERY_MAY.index),
        any(one.follows for one in found),
        any(one.history for one in found),
        frozenset().union(*(one.versions for one in found)),
    )


def _opened_by(row: Any) -> Opens:
    if row.may != "view":
        return Opens(row.may)
    shown = frozenset() if row.version is None else frozenset((row.version,))
    return Opens("view", row.version is None, row.history, shown)


class Keyring:
    """Keys and rings of a database, and the secret that its links are made with."""

    def __init__(self, database: Database, secret: bytes) -> None:
        self.database = database
        self.secret = secret

    def add_keys(self, connection: Connection, plan_id: str) -> Keys:
        """A key of each kind; that to look follows the plan."""
        view, edit = (self._add_link(connection, plan_id, may) for may in ("view", "edit"))
        own = new_key()
        _insert(connection, plan_id, "own", own)
        return Keys(view, edit, own)

    def opens(self, plan_id: str, *, key: str | None = None, ring: str | None = None) -> Opens | None:
        """All that a key and the keys on a ring open; None when that is nothing."""
        with self.database.reading() as connection:
            by_key = allowed(connection, plan_id, key) if key else None
            if not ring or (by_key and by_key.may == "own"):
                return by_key
            return together((by_key, opened_by(connection, hash_of(ring), [plan_id]).get(plan_id)))

    def may(self, plan_id: str, *, key: str | None = None, ring: str | None = None) -> May | None:
        """The most that a key or the keys on a ring allow; None when they open nothing."""
        found = self.opens(plan_id, key=key, ring=ring)
        return found.may if found else None

    def hold(self, ring: str, plan_id: str, key: str) -> Opens | None:
        """Put a key on a ring; what it opens, or None when it is not a key to this plan."""
        with self.database.writing() as connection:
            found = allowed(connection, plan_id, key)
            row = {"ring": hash_of(ring), "hash": hash_of(key)}
            there = select(rings).where(rings.c.ring == row["ring"], rings.c.hash == row["hash"])
            if found and connection.execute(there).first() is None:
                connection.execute(insert(rings).values(**row))
        return found

    def hold_new(self, ring: str, made: list[str]) -> None:
        """Put keys on a ring that were made a moment ago."""
        with self.database.writing() as connection:
            rows = [{"ring": hash_of(ring), "hash": hash_of(key)} for key in made]
            connection.execute(insert(rings), rows)

    def move(self, old: str, new: str) -> None:
        """Put all that is on one ring on another; the old one is no more."""
        with self.database.writing() as connection:
            moved = update(rings).where(rings.c.ring == hash_of(old)).values(ring=hash_of(new))
            connection.execute(moved)

    def links(self, plan_id: str) -> tuple[Link, ...]:
        """Every link of a plan that works, the newest first."""
        with self.database.reading() as connection:
            rows = connection.execute(
                select(keys)
                .where(keys.c.plan_id == plan_id, _HANDED_OUT)
                .order_by(keys.c.made_at.desc(), keys.c.hash)
            ).all()
        return tuple(
            Link(row.hash, row.may, row.version, row.history, row.made_at, row.whom, self._key_of(row))
            for row in rows
        )

    def stop(self, plan_id: str, link_id: str) -> None:
        """Stop one link of the plan, on every ring; nothing where it has stopped already."""
        with self.database.writing() as connection:
            one = select(keys.c.hash).where(keys.c.plan_id == plan_id, keys.c.hash == link_id, _HANDED_OUT)
            _stop(connection, one)

    def add(
        self, plan_id: str, may: May, version: int | None = None, history: bool = False, whom: str = ""
    ) -> str:
        """One more link. Raises NotFound without such a version, StoreError at the most links there may be."""
        with self.database.writing() as connection:
            latest = _must_be(connection, plan_id)
            if version is not None and not 0 < version <= latest:
                raise NotFound(
                    f"This plan has no version {version}.", cure=f"Its newest is version {latest}."
                )
            many = select(func.count()).select_from(keys).where(keys.c.plan_id == plan_id)
            if connection.execute(many).scalar_one() >= MOST_KEYS:
                raise StoreError(
                    f"This plan has {MOST_KEYS} links already.",
                    cure="Stop one that is not needed any more.",
                )
            if may != "view":
                version, history = None, False  # whoever may change a plan sees all of it
            return self._add_link(connection, plan_id, may, version, history, whom)

    def renew(self, plan_id: str) -> Keys:
        """Stop every link of the plan, on every ring, and make new ones."""
        with self.database.writing() as connection:
            _must_be(connection, plan_id)
            _stop(connection, select(keys.c.hash).where(keys.c.plan_id == plan_id))
            return self.add_keys(connection, plan_id)

    def _add_link(
        self,
        connection: Connection,
        plan_id: str,
        may: May,
        version: int | None = None,
        history: bool = False,
        whom: str = "",
    ) -> str:
        nonce = secrets.token_urlsafe(16)
        key = self._made(plan_id, may, nonce)
        _insert(connection, plan_id, may, key, version=version, history=history, nonce=nonce, whom=whom)
        return key

    def _made(self, plan_id: str, may: str, nonce: str) -> str:
        digest = hmac.digest(self.secret, f"{plan_id} {may} {nonce}".encode(), "sha256")
        return base64.urlsafe_b64encode(digest).decode().rstrip("=")

    def _key_of(self, row: Any) -> str | None:
        key = self._made(row.plan_id, row.may, row.nonce or "")
        return key if hmac.compare_digest(hash_of(key), row.hash) else None


def _insert(connection: Connection, plan_id: str, may: May, key: str, **more: Any) -> None:
    row = {"hash": hash_of(key), "plan_id": plan_id, "may": may, "made_at": time.time(), **more}
    connection.execute(insert(keys).values(**row))


def _stop(connection: Connection, hashes: Select[tuple[str]]) -> None:
    some = list(connection.execute(hashes).scalars())
    connection.execute(delete(rings).where(rings.c.hash.in_(some)))
    connection.execute(delete(keys).where(keys.c.hash.in_(some)))


def _must_be(connection: Connection, plan_id: str) -> int:
    """The newest version of a plan. Raises NotFound."""
    latest = connection.execute(select(plans.c.latest).where(plans.c.id == plan_id)).scalar()
    if latest is None:
        raise NotFound("There is no such plan.", cure="Look for it on the shelf.")
    return int(latest)
