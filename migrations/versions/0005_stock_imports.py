"""Files of stock that were sent in, and what each of their rows would do."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the two tables."""
    op.create_table(
        "stock_imports",
        *(_key(name) for name in ("id", "club_id", "member_id")),
        sa.Column("version", sa.Integer(), nullable=False),
        _key("state"),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("head", sa.Text(), nullable=False),
        sa.Column("sheet", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_stock_imports"),
        sa.ForeignKeyConstraint(
            ["club_id"], ["clubs.id"], name="fk_stock_imports_club_id"
        ),
    )
    op.create_index("ix_stock_imports_expires_at", "stock_imports", ["expires_at"])
    op.create_table(
        "stock_import_rows",
        _key("import_id"),
        sa.Column("sheet_row", sa.Integer(), nullable=False),
        _key("outcome"),
        _key("record_id", nullable=True),
        sa.Column("record_version", sa.Integer()),
        sa.Column("content", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("import_id", "sheet_row", name="pk_stock_import_rows"),
        sa.ForeignKeyConstraint(
            ["import_id"], ["stock_imports.id"], name="fk_stock_import_rows_import_id"
        ),
    )
    op.create_index(
        "ix_stock_import_rows_import_id_outcome_sheet_row",
        "stock_import_rows",
        ["import_id", "outcome", "sheet_row"],
    )


def downgrade() -> None:
    """Drop them: what was imported stays, what was only looked at goes."""
    op.drop_table("stock_import_rows")
    op.drop_table("stock_imports")


def _key(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(
        name,
        sa.Text().with_variant(sa.Text(collation="C"), "postgresql"),
        nullable=nullable,
    )
