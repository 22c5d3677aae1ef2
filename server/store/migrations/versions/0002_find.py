"""Find plans quickly, and take a deletion back: sort name, search words, tags, time of deletion."""

import json
import unicodedata

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.add_column("plans", sa.Column("name_key", sa.Text, nullable=False, server_default=""))
    op.add_column("plans", sa.Column("search", sa.Text, nullable=False, server_default=""))
    op.add_column("plans", sa.Column("deleted_at", sa.Double))
    tags = op.create_table(
        "tags",
        sa.Column("plan_id", sa.String(20), sa.ForeignKey("plans.id"), primary_key=True),
        sa.Column("tag", sa.Text, primary_key=True),
    )
    op.create_index("tags_by_tag", "tags", ["tag", "plan_id"])
    kept = sa.text("deleted_at IS NULL")
    for name, column in (("plans_by_change", "changed_at"), ("plans_by_name", "name_key")):
        op.create_index(name, "plans", [column, "id"], sqlite_where=kept, postgresql_where=kept)

    connection = op.get_bind()
    heads = connection.execute(
        sa.text("SELECT p.id, v.body FROM plans p JOIN versions v ON v.plan_id = p.id AND v.version = p.head")
    ).all()
    for plan_id, body in heads:
        plan = json.loads(body)
        name, words = plan.get("name", ""), {_plain(tag) for tag in plan.get("tags", [])} - {""}
        found_by = [name, *words, plan.get("fill", {}).get("kind", ""), plan.get("corner", "")]
        connection.execute(
            sa.text("UPDATE plans SET name_key = :key, search = :search WHERE id = :id"),
            {"key": _folded(name), "search": _folded(" ".join(found_by)), "id": plan_id},
        )
        if words:
            connection.execute(tags.insert(), [{"plan_id": plan_id, "tag": word} for word in sorted(words)])


def _plain(words: str) -> str:
    return " ".join("".join(c if c.isprintable() else " " for c in words).split())


def _folded(words: str) -> str:
    """As the store folds them at this revision: without accents, case or control characters."""
    apart = unicodedata.normalize("NFKD", _plain(words)).casefold()
    return "".join(c for c in apart if not unicodedata.combining(c))
