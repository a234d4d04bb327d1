"""Revisions: what is saved of drafts for good."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

TABLE = "revisions"


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        TABLE,
        _key("kind"),
        _key("record_id"),
        sa.Column("number", sa.Integer(), nullable=False),
        _key("club_id"),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        *map(_key, ("author_id", "token_id", "action_id")),
        sa.Column("remark", sa.Text(), nullable=False),
        sa.Column("summary", sa.Text()),
        sa.Column("body", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("kind", "record_id", "number", name=f"pk_{TABLE}"),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=f"fk_{TABLE}_club_id"),
    )
    for columns in (["club_id", "author_id"], ["at"]):
        op.create_index(f"ix_{TABLE}_{'_'.join(columns)}", TABLE, columns)


def downgrade() -> None:
    """Drop the table, and what is in it: drafts stay."""
    op.drop_table(TABLE)


def _key(name: str) -> sa.Column[str]:
    return sa.Column(
        name,
        sa.Text().with_variant(sa.Text(collation="C"), "postgresql"),
        nullable=False,
    )
