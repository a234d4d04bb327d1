"""What the clock said last, and whether it has jumped since."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "clock",
        sa.Column(
            "id",
            sa.Text().with_variant(sa.Text(collation="C"), "postgresql"),
            nullable=False,
        ),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("jumped_from", sa.DateTime(timezone=True)),
        sa.Column("jumped_at", sa.DateTime(timezone=True)),
        sa.PrimaryKeyConstraint("id", name="pk_clock"),
    )


def downgrade() -> None:
    """Drop the table."""
    op.drop_table("clock")
