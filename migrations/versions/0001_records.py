"""Clubs, what they keep, who leans on whom, history, and answers to repeated
requests.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

LIVE = sa.text("deleted_at IS NULL")
RECORDS = (
    "clubs",
    "members",
    "tokens",
    "coupling_types",
    "vehicles",
    "trains",
    "layouts",
    "places",
)
OTHERS = ("links", "history", "idempotency")


def upgrade() -> None:
    """Make every table."""
    _record_table("clubs")
    _record_table("members", _key("role"), listed_by=["role"])
    _record_table(
        "tokens",
        _key("member_id"),
        _key("secret_sha256", nullable=True),
        listed_by=["member_id"],
    )
    with op.batch_alter_table("tokens") as batch:
        batch.create_unique_constraint("uq_tokens_secret_sha256", ["secret_sha256"])
    _record_table("coupling_types", unique_name=True)
    _record_table(
        "vehicles",
        _key("kind", nullable=True),
        _key("scale", nullable=True),
        _key("owner_id"),
        listed_by=["kind", "scale", "owner_id"],
    )
    _record_table("trains", _key("owner_id"), listed_by=["owner_id"])
    _record_table("layouts", unique_name=True)
    _record_table(
        "places", _key("kind"), listed_by=["kind"], parent="layouts", unique_name=True
    )
    _links()
    _history()
    _idempotency()


def downgrade() -> None:
    """Drop every table: there was nothing before."""
    for name in (*OTHERS, *reversed(RECORDS)):
        op.drop_table(name)


def _key(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(
        name,
        sa.Text().with_variant(sa.Text(collation="C"), "postgresql"),
        nullable=nullable,
    )


def _record_table(
    name: str,
    *filing: sa.Column[str],
    listed_by: list[str] | None = None,
    parent: str | None = None,
    unique_name: bool = False,
) -> None:
    beneath = [] if parent is None else [_key("parent_id")]
    references = [] if parent is None else [_foreign_key(name, "parent_id", parent)]
    op.create_table(
        name,
        _key("id"),
        _key("club_id"),
        *beneath,
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("deleted_at", sa.DateTime(timezone=True)),
        sa.Column("body", sa.Text(), nullable=False),
        _key("name_key"),
        *filing,
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        _foreign_key(name, "club_id", "clubs"),
        *references,
    )
    within = ["club_id"] if parent is None else ["club_id", "parent_id"]
    for filtered in ([], *([column] for column in listed_by or [])):
        for sort in ("name_key", "created_at", "updated_at"):
            _live_index(name, [*within, *filtered, sort, "id"], unique=False)
    if unique_name:
        _live_index(name, [*within, "name_key"], unique=True)


def _foreign_key(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(
        [column], [f"{target}.id"], name=f"fk_{table}_{column}"
    )


def _live_index(table: str, columns: list[str], *, unique: bool) -> None:
    name = f"{'uq' if unique else 'ix'}_{table}_{'_'.join(columns)}"
    op.create_index(
        name, table, columns, unique=unique, sqlite_where=LIVE, postgresql_where=LIVE
    )


def _links() -> None:
    op.create_table(
        "links",
        _key("source_kind"),
        _key("source_id"),
        _key("pointer"),
        _key("club_id"),
        _key("target_kind"),
        _key("target_id", nullable=True),
        _key("target_name", nullable=True),
        sa.PrimaryKeyConstraint("source_kind", "source_id", "pointer", name="pk_links"),
        _foreign_key("links", "club_id", "clubs"),
    )
    for target in ("target_id", "target_name"):
        op.create_index(
            f"ix_links_club_id_target_kind_{target}",
            "links",
            ["club_id", "target_kind", target],
        )


def _history() -> None:
    op.create_table(
        "history",
        _key("id"),
        _key("club_id"),
        _key("kind"),
        _key("record_id"),
        sa.Column("version", sa.Integer(), nullable=False),
        _key("action"),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        _key("member_id"),
        _key("token_id"),
        sa.Column("before", sa.Text()),
        sa.Column("after", sa.Text()),
        sa.PrimaryKeyConstraint("id", name="pk_history"),
        sa.UniqueConstraint(
            "kind", "record_id", "version", name="uq_history_kind_record_id_version"
        ),
        _foreign_key("history", "club_id", "clubs"),
    )
    op.create_index("ix_history_club_id_at_id", "history", ["club_id", "at", "id"])


def _idempotency() -> None:
    op.create_table(
        "idempotency",
        _key("club_id"),
        _key("member_id"),
        _key("path"),
        _key("key"),
        _key("payload_sha256"),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("status", sa.Integer()),
        sa.Column("headers", sa.Text()),
        sa.Column("body", sa.LargeBinary()),
        sa.Column("secret", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint(
            "club_id", "member_id", "path", "key", name="pk_idempotency"
        ),
        _foreign_key("idempotency", "club_id", "clubs"),
    )
    op.create_index("ix_idempotency_created_at", "idempotency", ["created_at"])
