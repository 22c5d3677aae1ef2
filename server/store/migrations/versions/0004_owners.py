"""Three kinds of key: the oldest key to change a plan, the one its maker was given, becomes the owner's."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    connection = op.get_bind()
    rows = connection.execute(
        sa.text("SELECT plan_id, hash FROM keys WHERE may = 'edit' ORDER BY plan_id, made_at, hash")
    ).all()
    oldest: dict[str, str] = {}
    for plan_id, key in rows:
        oldest.setdefault(plan_id, key)
    for key in oldest.values():
        connection.execute(sa.text("UPDATE keys SET may = 'own' WHERE hash = :key"), {"key": key})
