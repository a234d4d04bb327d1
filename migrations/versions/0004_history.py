"""Which changes were made at once, and which undid which; who was erased."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

HISTORY = sa.table(
    "history",
    *map(
        sa.column,
        ("id", "club_id", "at", "member_id", "token_id", "action", "action_id"),
    ),
)
LISTED_BY = ("action_id", "kind", "record_id", "member_id", "action")


def upgrade() -> None:
    """Add both; what was written by one token at one moment was written at once, and
    gets one action.
    """
    with op.batch_alter_table("history") as batch:
        batch.add_column(_key("action_id", nullable=True))
        batch.add_column(_key("undoes", nullable=True))
    same = HISTORY.alias("same")
    first = (
        sa.select(sa.func.min(same.c.id))
        .where(same.c.club_id == HISTORY.c.club_id, same.c.at == HISTORY.c.at)
        .where(
            same.c.member_id == HISTORY.c.member_id,
            same.c.token_id == HISTORY.c.token_id,
        )
        .scalar_subquery()
    )
    op.execute(sa.update(HISTORY).values(action_id=first))
    with op.batch_alter_table("history") as batch:
        batch.alter_column("action_id", existing_type=sa.Text(), nullable=False)
    for column in LISTED_BY:
        op.create_index(
            f"ix_history_club_id_{column}_at_id",
            "history",
            ["club_id", column, "at", "id"],
        )
    op.create_table(
        "erasures",
        _key("member_id", nullable=False),
        _key("club_id", nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("wiped_at", sa.DateTime(timezone=True)),
        sa.PrimaryKeyConstraint("member_id", name="pk_erasures"),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name="fk_erasures_club_id"),
    )


def downgrade() -> None:
    """Take both away; what was brought back or erased stands as created or updated,
    which is all that was known.
    """
    op.drop_table("erasures")
    for column in LISTED_BY:
        op.drop_index(f"ix_history_club_id_{column}_at_id", "history")
    for action, known in (("restore", "create"), ("erase", "update")):
        op.execute(
            sa.update(HISTORY).where(HISTORY.c.action == action).values(action=known)
        )
    with op.batch_alter_table("history") as batch:
        batch.drop_column("undoes")
        batch.drop_column("action_id")


def _key(name: str, *, nullable: bool) -> sa.Column[str]:
    return sa.Column(
        name,
        sa.Text().with_variant(sa.Text(collation="C"), "postgresql"),
        nullable=nullable,
    )
