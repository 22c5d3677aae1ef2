"""What servers on one PostgreSQL share and may lose: rates, the house keys of a network, fills and paths by stamp.

A small table each, unlogged (a crash of the database empties it, and nothing of hers was in it), bounded; what was
used longest ago goes first. One statement each, by the database's own clock. A database that does not answer is
no error here: a server then goes by what it knows itself.
"""

from __future__ import annotations

import hashlib
import hmac
import logging
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

import planner
from server.settings import Settings
from server.store.database import Database, StorageTrouble
from server.store.versions import Store

log = logging.getLogger("cornerwise.shared")

PASSING = ("rates", "house_keys", "kept")  # its tables: no backup has them, no quota counts them
MOST_CLIENTS = 10_000
MOST_HOUSE_KEYS = 16
MOST_SHARE = 4  # one result takes at most that part of the room
_TIDY_EVERY = 500  # rates taken; a full one says nothing, so they go when they must be full again

_NOW = "extract(epoch FROM clock_timestamp())"
_LEFT = f"least(:most, rates.tokens + ({_NOW} - rates.at) * :most / 60)"
_TAKE = f"""INSERT INTO rates VALUES (:what, :client, :most - 1, {_NOW})
    ON CONFLICT (what, client) DO UPDATE SET tokens = {_LEFT} - 1, at = {_NOW} WHERE {_LEFT} >= 1
    RETURNING tokens"""
_WAIT = f"SELECT {_LEFT} FROM rates WHERE what = :what AND client = :client"
_TIDY = f"""DELETE FROM rates WHERE at < {_NOW} - 60
    OR (what, client) NOT IN (SELECT what, client FROM rates ORDER BY at DESC LIMIT :most)"""
_FIND = f"UPDATE kept SET at = {_NOW} WHERE key = :key RETURNING body"
_KEEP = f"""INSERT INTO kept VALUES (:key, :body, :size, {_NOW})
    ON CONFLICT (key) DO UPDATE SET body = :body, size = :size, at = {_NOW}"""
_FORGET = """DELETE FROM kept WHERE key IN (SELECT key FROM
    (SELECT key, sum(size) OVER (ORDER BY at DESC, key) AS together FROM kept) AS lately WHERE together > :most)"""
_INVITE = f"INSERT INTO house_keys VALUES (:hash, {_NOW}) ON CONFLICT (hash) DO NOTHING"
_OLD_HOUSE_KEYS = """DELETE FROM house_keys WHERE hash NOT IN
    (SELECT hash FROM house_keys ORDER BY at DESC LIMIT :most)"""
_INVITED = f"UPDATE house_keys SET at = {_NOW} WHERE hash = :hash RETURNING hash"


class Shared:
    """The tables of a database that servers share. secret: theirs; what another wrote into `kept` is not taken."""

    def __init__(self, database: Database, secret: bytes, most_bytes: int) -> None:
        self.database = database
        self.secret = secret
        self.most_bytes = most_bytes
        self._taken = 0

    @classmethod
    def of(cls, settings: Settings, store: Store | None) -> Shared | None:
        """What the servers of a store share; None where it is one planner's file."""
        if store is None or store.database.sqlite:
            return None
        return cls(store.database, store.keyring.secret, settings.shared_bytes)

    def take(self, what: str, client: str, a_minute: int) -> int | None:
        """Take one of a client's tokens: 0, or the seconds until there is one; None where nobody can tell."""
        asked = {"what": what, "client": client, "most": float(a_minute)}
        with _or_nothing():
            self._taken += 1
            if self._taken % _TIDY_EVERY == 0:
                self._do(_TIDY, {"most": MOST_CLIENTS})
            if self._do(_TAKE, asked) is not None:
                return 0
            left = self._do(_WAIT, asked)
            return max(1, round((1 - (left or 0.0)) * 60 / a_minute))
        return None

    def get(self, key: str) -> bytes | None:
        """What some server kept under a key, as it was put there by one that has this secret."""
        name = self._named(key)
        with _or_nothing():
            found = self._do(_FIND, {"key": name})
            if found is not None:
                seal, body = bytes(found[:32]), bytes(found[32:])
                return body if hmac.compare_digest(seal, self._seal(name, body)) else None
        return None

    def put(self, key: str, body: bytes) -> None:
        """Keep something for all servers; what was used longest ago goes."""
        if MOST_SHARE * len(body) > self.most_bytes:
            return
        name = self._named(key)
        with _or_nothing():
            self._do(_KEEP, {"key": name, "body": self._seal(name, body) + body, "size": len(body)})
            self._do(_FORGET, {"most": self.most_bytes})

    def invite(self, key: str) -> None:
        """Let the bearers of a house key in at every server of this house."""
        with _or_nothing():
            self._do(_INVITE, {"hash": _hash(key)})
            self._do(_OLD_HOUSE_KEYS, {"most": MOST_HOUSE_KEYS})

    def invited(self, key: str) -> bool:
        """Whether some server of this house gave that key."""
        with _or_nothing():
            return self._do(_INVITED, {"hash": _hash(key)}) is not None
        return False

    def uninvite(self, key: str) -> None:
        """The server that gave it has ended."""
        with _or_nothing():
            self._do("DELETE FROM house_keys WHERE hash = :hash", {"hash": _hash(key)})

    def _do(self, statement: str, values: Mapping[str, Any]) -> Any:
        """The first figure that a statement gives; None where it gives none."""
        return self.database.passing(statement, values)

    def _named(self, key: str) -> str:
        return _hash(f"{program()} {key}")

    def _seal(self, name: str, body: bytes) -> bytes:
        return hmac.digest(self.secret, name.encode() + body, "sha256")


@contextmanager
def _or_nothing() -> Iterator[None]:
    try:
        yield
    except StorageTrouble as trouble:
        log.warning("Nothing is shared just now: %s", trouble.__cause__ or trouble)


def _hash(words: str) -> str:
    return hashlib.sha256(words.encode()).hexdigest()


@cache
def program() -> str:
    """Which planner this is: a hash of its sources. Another one may draw the same stamp in other records."""
    folder, found = Path(planner.__path__[0]), hashlib.sha256()
    for file in sorted(folder.rglob("*.py")):
        found.update(f"{file.relative_to(folder)}\n".encode() + file.read_bytes())
    return found.hexdigest()
