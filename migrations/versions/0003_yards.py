"""Yards of layouts: sidings worked from a headshunt."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

LIVE = sa.text("deleted_at IS NULL")
LINKS = sa.table("links", *map(sa.column, ("source_kind", "target_kind")))
HISTORY = sa.table("history", sa.column("kind"))


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "yards",
        _key("id"),
        _key("club_id"),
        _key("parent_id"),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("deleted_at", sa.DateTime(timezone=True)),
        sa.Column("body", sa.Text(), nullable=False),
        _key("name_key"),
        sa.PrimaryKeyConstraint("id", name="pk_yards"),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name="fk_yards_club_id"),
        sa.ForeignKeyConstraint(
            ["parent_id"], ["layouts.id"], name="fk_yards_parent_id"
        ),
    )
    for sort in ("name_key", "created_at", "updated_at"):
        _live_index(["club_id", "parent_id", sort, "id"], unique=False)
    _live_index(["club_id", "parent_id", "name_key"], unique=True)


def downgrade() -> None:
    """Drop the table, and all that speaks of its records."""
    for column in ("source_kind", "target_kind"):
        op.execute(sa.delete(LINKS).where(LINKS.c[column] == "yards"))
    op.execute(sa.delete(HISTORY).where(HISTORY.c.kind == "yards"))
    op.drop_table("yards")


def _key(name: str) -> sa.Column[str]:
    return sa.Column(
        name,
        sa.Text().with_variant(sa.Text(collation="C"), "postgresql"),
        nullable=False,
    )


def _live_index(columns: list[str], *, unique: bool) -> None:
    name = f"{'uq' if unique else 'ix'}_yards_{'_'.join(columns)}"
    op.create_index(
        name, "yards", columns, unique=unique, sqlite_where=LIVE, postgresql_where=LIVE
    )
