"""For whom a link is, and who saved a version."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    op.add_column("keys", sa.Column("whom", sa.String(40), nullable=False, server_default=""))
    op.add_column("versions", sa.Column("by", sa.String(40), nullable=False, server_default=""))
