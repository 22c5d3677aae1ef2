"""The keys that one browser holds."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.create_table(
        "rings",
        sa.Column("ring", sa.String(64), primary_key=True),
        sa.Column("hash", sa.String(64), sa.ForeignKey("keys.hash", ondelete="CASCADE"), primary_key=True),
    )
    op.create_index("rings_by_key", "rings", ["hash"])
