"""Of which kind the records of a list are that was sent in."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

TABLE = "stock_imports"
IMPORTS = sa.table(TABLE, *map(sa.column, ("id", "kind")))
ROWS = sa.table("stock_import_rows", sa.column("import_id"))


def upgrade() -> None:
    """Add the column: whatever came until now lists vehicles."""
    key = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
    kind = sa.Column("kind", key, nullable=False, server_default="vehicles")
    op.add_column(TABLE, kind)


def downgrade() -> None:
    """Take the column away, and the lists of other kinds, which nobody would know."""
    others = IMPORTS.c.kind != "vehicles"
    theirs = sa.select(IMPORTS.c.id).where(others)
    op.execute(sa.delete(ROWS).where(ROWS.c.import_id.in_(theirs)))
    op.execute(sa.delete(IMPORTS).where(others))
    op.drop_column(TABLE, "kind")
