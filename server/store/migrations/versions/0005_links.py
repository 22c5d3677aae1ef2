"""What a link shows; and on a database that servers share, what they share of passing things."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.add_column("keys", sa.Column("version", sa.Integer))
    op.add_column("keys", sa.Column("history", sa.Boolean, nullable=False, server_default=sa.false()))
    op.add_column("keys", sa.Column("nonce", sa.String(22)))
    if op.get_bind().dialect.name != "postgresql":
        return
    op.create_table(
        "rates",
        sa.Column("what", sa.String(20), primary_key=True),
        sa.Column("client", sa.String(64), primary_key=True),
        sa.Column("tokens", sa.Double, nullable=False),
        sa.Column("at", sa.Double, nullable=False),
        prefixes=["UNLOGGED"],
    )
    op.create_table(
        "house_keys",
        sa.Column("hash", sa.String(64), primary_key=True),
        sa.Column("at", sa.Double, nullable=False),
        prefixes=["UNLOGGED"],
    )
    op.create_table(
        "kept",
        sa.Column("key", sa.String(64), primary_key=True),
        sa.Column("body", sa.LargeBinary, nullable=False),
        sa.Column("size", sa.Integer, nullable=False),
        sa.Column("at", sa.Double, nullable=False),
        prefixes=["UNLOGGED"],
    )
    op.execute("ALTER TABLE kept ALTER COLUMN body SET STORAGE EXTERNAL")
