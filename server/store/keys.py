"""Keys: who may look at a plan, who may change it, and whose it is.

A key is 256 random bits in a link. Only its sha256 is kept, so nobody who reads the database can open a plan;
with that many random bits a plain hash is enough. A browser that came in by a link keeps a ring: one random
token in its cookie, of which again only the hash is kept, and the hashes of the keys it was shown.
"""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
import time
from dataclasses import dataclass
from typing import Literal, get_args

from sqlalchemy import Connection, delete, func, insert, select, update

from server.store.database import Database, NotFound, StoreError
from server.store.tables import keys, plans, rings

May = Literal["view", "edit", "own"]  # each allows what those before it do
EVERY_MAY = get_args(May)
MOST_KEYS = 100  # links of one plan that work at a time
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


def new_key() -> str:
    """A key that nobody can guess."""
    return secrets.token_urlsafe(32)


def hash_of(key: str) -> str:
    """What is kept of a key: enough to know it again, too little to give it away."""
    return hashlib.sha256(key.encode()).hexdigest()


def add_key(connection: Connection, plan_id: str, may: May) -> str:
    """A new key to the plan; it can be read here and never again."""
    key = new_key()
    connection.execute(insert(keys).values(hash=hash_of(key), plan_id=plan_id, may=may, made_at=time.time()))
    return key


def add_keys(connection: Connection, plan_id: str) -> Keys:
    """A key of each kind."""
    view, edit, own = (add_key(connection, plan_id, may) for may in ("view", "edit", "own"))
    return Keys(view, edit, own)


def allowed(connection: Connection, plan_id: str, key: str) -> May | None:
    """What the key lets its bearer do with this plan.

    Looked for among the hashes of the plan's own keys, each compared in constant time.
    """
    if not _KEY.match(key):
        return None
    ours = hash_of(key)
    found: May | None = None
    for theirs, may in connection.execute(select(keys.c.hash, keys.c.may).where(keys.c.plan_id == plan_id)):
        if hmac.compare_digest(ours, theirs):
            found = may
    return found


class Keyring:
    """Keys and rings of a database."""

    def __init__(self, database: Database) -> None:
        self.database = database

    def may(self, plan_id: str, *, key: str | None = None, ring: str | None = None) -> May | None:
        """The most that a key or the keys on a ring allow; None when they open nothing."""
        with self.database.reading() as connection:
            by_key = allowed(connection, plan_id, key) if key else None
            if by_key == "own" or not ring:
                return by_key
            held = select(keys.c.may).join(rings, rings.c.hash == keys.c.hash)
            found = connection.execute(
                held.where(rings.c.ring == hash_of(ring), keys.c.plan_id == plan_id)
            ).scalars()
            all_may = {by_key, *found}
        return max(all_may - {None}, key=EVERY_MAY.index, default=None)

    def hold(self, ring: str, plan_id: str, key: str) -> May | None:
        """Put a key on a ring; what it allows, or None when it is not a key to this plan."""
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

    def add(self, plan_id: str, may: May) -> str:
        """One more link. Raises StoreError at the most there may be."""
        with self.database.writing() as connection:
            _must_be(connection, plan_id)
            many = select(func.count()).select_from(keys).where(keys.c.plan_id == plan_id)
            if connection.execute(many).scalar_one() >= MOST_KEYS:
                raise StoreError(
                    f"This plan has {MOST_KEYS} links already.",
                    cure="Stop all its links, then make new ones.",
                )
            return add_key(connection, plan_id, may)

    def renew(self, plan_id: str) -> Keys:
        """Stop every link of the plan, on every ring, and make new ones."""
        with self.database.writing() as connection:
            _must_be(connection, plan_id)
            old = select(keys.c.hash).where(keys.c.plan_id == plan_id)
            connection.execute(delete(rings).where(rings.c.hash.in_(old)))
            connection.execute(delete(keys).where(keys.c.plan_id == plan_id))
            return add_keys(connection, plan_id)


def _must_be(connection: Connection, plan_id: str) -> None:
    if connection.execute(select(plans.c.id).where(plans.c.id == plan_id)).first() is None:
        raise NotFound("There is no such plan.", cure="Look for it on the shelf.")
