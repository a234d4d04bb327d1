"""Track plans: one of each layout, and one of each module."""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

PLANS = {"layout_plans": "layouts", "module_plans": "modules"}
"""The tables, each with that of what its plans lie beneath."""
KINDS = ("layout-plans", "module-plans")
LIVE = sa.text("deleted_at IS NULL")
LINKS = sa.table("links", *map(sa.column, ("source_kind", "target_kind")))
SPEAKING_OF_THEM = [
    sa.table(name, sa.column("kind"))
    for name in ("history", "revisions", "refused_changes")
]


def upgrade() -> None:
    """Make the tables."""
    for table, parent in PLANS.items():
        _make(table, parent)


def downgrade() -> None:
    """Drop the tables, and all that speaks of their records."""
    for column in ("source_kind", "target_kind"):
        op.execute(sa.delete(LINKS).where(LINKS.c[column].in_(KINDS)))
    for table in SPEAKING_OF_THEM:
        op.execute(sa.delete(table).where(table.c.kind.in_(KINDS)))
    for name in PLANS:
        op.drop_table(name)


def _make(table: str, parent: str) -> None:
    op.create_table(
        table,
        _key("id"),
        _key("club_id"),
        _key("parent_id"),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("deleted_at", sa.DateTime(timezone=True)),
        sa.Column("body", sa.Text(), nullable=False),
        _key("name_key"),
        sa.Column("summary", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=f"pk_{table}"),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=f"fk_{table}_club_id"),
        sa.ForeignKeyConstraint(
            ["parent_id"], [f"{parent}.id"], name=f"fk_{table}_parent_id"
        ),
    )
    for sort in ("name_key", "created_at", "updated_at"):
        _live_index(table, ["club_id", "parent_id", sort, "id"], unique=False)
    _live_index(table, ["club_id", "parent_id", "name_key"], unique=True)


def _key(name: str) -> sa.Column[str]:
    return sa.Column(
        name,
        sa.Text().with_variant(sa.Text(collation="C"), "postgresql"),
        nullable=False,
    )


def _live_index(table: str, columns: list[str], *, unique: bool) -> None:
    name = f"{'uq' if unique else 'ix'}_{table}_{'_'.join(columns)}"
    op.create_index(
        name, table, columns, unique=unique, sqlite_where=LIVE, postgresql_where=LIVE
    )
