"""Changes that were refused since another one came first."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

TABLE = "refused_changes"
KEYS = (
    *("id", "club_id", "member_id", "token_id", "kind", "record_id", "record_name"),
    *("verb", "seen", "sent_sha256"),
)


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        TABLE,
        *map(_key, KEYS),
        _key("sent", nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("times", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=f"pk_{TABLE}"),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=f"fk_{TABLE}_club_id"),
    )
    for columns in (
        ["club_id", "at", "id"],
        ["club_id", "member_id", "record_id"],
        ["last_at"],
    ):
        op.create_index(f"ix_{TABLE}_{'_'.join(columns)}", TABLE, columns)


def downgrade() -> None:
    """Drop the table: what was refused is in no record."""
    op.drop_table(TABLE)


def _key(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(
        name,
        sa.Text().with_variant(sa.Text(collation="C"), "postgresql"),
        nullable=nullable,
    )
