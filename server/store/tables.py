"""The tables of the store, as the newest migration leaves them.

A plan is a row that never goes; its content lives in `versions`, one row a save, never changed afterwards.
What can be read out of a version (name, tags, words to search) stands in columns only to be found quickly.
Times are seconds since 1970, UTC.
"""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    false,
)

metadata = MetaData()

plans = Table(
    "plans",
    metadata,
    Column("id", String(20), primary_key=True),
    Column("head", Integer, nullable=False),  # the version that is the plan now
    Column("latest", Integer, nullable=False),  # the highest version number given out
    Column("name", Text, nullable=False),
    Column("name_key", Text, nullable=False, server_default=""),  # the name as it sorts
    Column("search", Text, nullable=False, server_default=""),  # words it is found by
    Column("made_at", Double, nullable=False),
    Column("changed_at", Double, nullable=False),
    Column("deleted_at", Double),
)
_KEPT = plans.c.deleted_at.is_(None)
Index("plans_by_change", plans.c.changed_at, plans.c.id, sqlite_where=_KEPT, postgresql_where=_KEPT)
Index("plans_by_name", plans.c.name_key, plans.c.id, sqlite_where=_KEPT, postgresql_where=_KEPT)

versions = Table(
    "versions",
    metadata,
    Column("plan_id", String(20), ForeignKey("plans.id"), primary_key=True),
    Column("version", Integer, primary_key=True),
    Column("base", Integer, nullable=False),  # the version it was made from; 0 for the first
    Column("why", String(12), nullable=False),  # made, saved, restored, aside (kept beside the head)
    Column("saved_at", Double, nullable=False),
    Column("body", Text, nullable=False),  # the plan as canonical JSON
    Column("by", String(40), nullable=False, server_default=""),  # who saved it, as she calls herself
)

tags = Table(
    "tags",
    metadata,
    Column("plan_id", String(20), ForeignKey("plans.id"), primary_key=True),
    Column("tag", Text, primary_key=True),
)
Index("tags_by_tag", tags.c.tag, tags.c.plan_id)

keys = Table(
    "keys",
    metadata,
    Column("hash", String(64), primary_key=True),  # sha256 of the key; the key itself is kept nowhere
    Column("plan_id", String(20), ForeignKey("plans.id"), nullable=False),
    Column("may", String(4), nullable=False),  # view, edit or own
    Column("made_at", Double, nullable=False),
    Column("version", Integer),  # that a key to look shows; without one it follows the plan
    Column("history", Boolean, nullable=False, server_default=false()),  # whether it shows every version, too
    Column("nonce", String(22)),  # what the key is made of, beside a secret that is not in here
    Column("whom", String(40), nullable=False, server_default=""),  # for whom it is, as its maker wrote it
)
Index("keys_by_plan", keys.c.plan_id)

rings = Table(
    "rings",
    metadata,
    Column("ring", String(64), primary_key=True),  # sha256 of the token in one browser's cookie
    Column("hash", String(64), ForeignKey("keys.hash", ondelete="CASCADE"), primary_key=True),
)
Index("rings_by_key", rings.c.hash)
