"""How people sign in, and links by which strangers look at a layout."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

LIVE = sa.text("deleted_at IS NULL")
SORTS = ("name_key", "created_at", "updated_at")
LINKS = sa.table("links", *map(sa.column, ("source_kind", "target_kind")))
HISTORY = sa.table("history", sa.column("kind"))


def upgrade() -> None:
    """Make the tables."""
    _records("invitations", _key("member_id"))
    _listed("invitations", ["club_id"])
    _listed("invitations", ["club_id", "member_id"])
    _records("share_links", _key("member_id", nullable=True), parent=True)
    _listed("share_links", ["club_id", "parent_id"])
    _passphrases()
    _sessions()
    op.create_table(
        "sign_in_attempts",
        _key("who"),
        _moment("since"),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("who", name="pk_sign_in_attempts"),
    )
    op.create_index("ix_sign_in_attempts_since", "sign_in_attempts", ["since"])


def _records(name: str, *filing: sa.Column[str], parent: bool = False) -> None:
    above = [_key("parent_id"), _refers(name, "parent_id", "layouts")] if parent else []
    op.create_table(
        name,
        _key("id"),
        _key("club_id"),
        *above,
        sa.Column("version", sa.Integer(), nullable=False),
        _moment("created_at"),
        _moment("updated_at"),
        sa.Column("deleted_at", sa.DateTime(timezone=True)),
        sa.Column("body", sa.Text(), nullable=False),
        _key("name_key"),
        *filing,
        _key("secret_sha256", nullable=True),
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        _refers(name, "club_id", "clubs"),
        sa.UniqueConstraint("secret_sha256", name=f"uq_{name}_secret_sha256"),
    )


def _listed(name: str, within: list[str]) -> None:
    for sort in SORTS:
        columns = [*within, sort, "id"]
        title = f"ix_{name}_{'_'.join(columns)}"
        op.create_index(title, name, columns, sqlite_where=LIVE, postgresql_where=LIVE)


def _passphrases() -> None:
    op.create_table(
        "passphrases",
        _key("member_id"),
        _key("club_id"),
        _key("sign_in_key"),
        _key("hashed"),
        _moment("changed_at"),
        sa.PrimaryKeyConstraint("member_id", name="pk_passphrases"),
        _refers("passphrases", "member_id", "members"),
        _refers("passphrases", "club_id", "clubs"),
        sa.UniqueConstraint(
            "club_id", "sign_in_key", name="uq_passphrases_club_id_sign_in_key"
        ),
    )


def _sessions() -> None:
    op.create_table(
        "sessions",
        _key("id"),
        _key("club_id"),
        _key("member_id"),
        _key("secret_sha256"),
        _key("label", nullable=True),
        _moment("created_at"),
        _moment("last_used_at"),
        _moment("expires_at"),
        sa.PrimaryKeyConstraint("id", name="pk_sessions"),
        _refers("sessions", "club_id", "clubs"),
        _refers("sessions", "member_id", "members"),
        sa.UniqueConstraint("secret_sha256", name="uq_sessions_secret_sha256"),
    )
    op.create_index(
        "ix_sessions_member_id_created_at_id",
        "sessions",
        ["member_id", "created_at", "id"],
    )


def downgrade() -> None:
    """Drop the tables, and all that speaks of their records."""
    for name in ("invitations", "share-links"):
        for column in ("source_kind", "target_kind"):
            op.execute(sa.delete(LINKS).where(LINKS.c[column] == name))
        op.execute(sa.delete(HISTORY).where(HISTORY.c.kind == name))
    for table in (
        "sign_in_attempts",
        "sessions",
        "passphrases",
        "share_links",
        "invitations",
    ):
        op.drop_table(table)


def _key(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(
        name,
        sa.Text().with_variant(sa.Text(collation="C"), "postgresql"),
        nullable=nullable,
    )


def _moment(name: str) -> sa.Column[object]:
    return sa.Column(name, sa.DateTime(timezone=True), nullable=False)


def _refers(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(
        [column], [f"{target}.id"], name=f"fk_{table}_{column}"
    )
