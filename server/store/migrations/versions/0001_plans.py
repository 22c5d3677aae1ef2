"""Plans, their versions, and the keys of their links."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    op.create_table(
        "plans",
        sa.Column("id", sa.String(20), primary_key=True),
        sa.Column("head", sa.Integer, nullable=False),
        sa.Column("latest", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("made_at", sa.Double, nullable=False),
        sa.Column("changed_at", sa.Double, nullable=False),
    )
    op.create_table(
        "versions",
        sa.Column("plan_id", sa.String(20), sa.ForeignKey("plans.id"), primary_key=True),
        sa.Column("version", sa.Integer, primary_key=True),
        sa.Column("base", sa.Integer, nullable=False),
        sa.Column("why", sa.String(12), nullable=False),
        sa.Column("saved_at", sa.Double, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
    )
    op.create_table(
        "keys",
        sa.Column("hash", sa.String(64), primary_key=True),
        sa.Column("plan_id", sa.String(20), sa.ForeignKey("plans.id"), nullable=False),
        sa.Column("may", sa.String(4), nullable=False),
        sa.Column("made_at", sa.Double, nullable=False),
    )
    op.create_index("keys_by_plan", "keys", ["plan_id"])
