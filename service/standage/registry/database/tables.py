"""The tables, the same on SQLite and PostgreSQL.

One table for each sort of record. A record's body is JSON text; what is filtered,
sorted or unique is copied from the body into columns of its own, and every list the
service can show has an index that begins with the club and ends with the id.
"""

import unicodedata
from collections.abc import Sequence
from datetime import UTC, datetime

from sqlalchemy import (
    Boolean,
    Column,
    DateTime,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

Key = Text().with_variant(Text(collation="C"), "postgresql")
"""Text in the order of its code points on both databases, whatever the server's
locale.
"""


class UtcDateTime(TypeDecorator[datetime]):
    """A moment: aware in Python, in UTC; SQLite keeps it as text without a zone."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(
        self, value: datetime | None, dialect: Dialect
    ) -> datetime | None:
        """Refuse a moment without a zone; turn any other to UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value!r} has no time zone")
        moment = value.astimezone(UTC)
        if dialect.name == "sqlite":
            return moment.replace(tzinfo=None)
        return moment

    def process_result_value(
        self,
        value: datetime | None,
        dialect: Dialect,  # noqa: ARG002 - SQLAlchemy's signature
    ) -> datetime | None:
        """Give every moment back in UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            return value.replace(tzinfo=UTC)
        return value.astimezone(UTC)


def name_key(name: str) -> str:
    """Return what two names have in common that people would call the same: letter case
    and spacing aside.

    >>> name_key("Up  Loop") == name_key("up loop")
    True
    """
    single_spaced = " ".join(name.split())
    composed = unicodedata.normalize("NFC", single_spaced)
    # folding may take a composed letter apart
    return unicodedata.normalize("NFC", composed.casefold())


SORT_COLUMNS = ("name_key", "created_at", "updated_at")


def record_table(
    name: str,
    *filing: Column[str],
    listed_by: Sequence[str] = (),
    parent: str | None = None,
    unique_name: bool = False,
    into: MetaData = metadata,
) -> Table:
    """Return the table of one sort of record, with an index for each filter in
    ``listed_by`` and each way to sort.

    A kind whose lists show summaries has a column ``summary`` among its ``filing``.
    """
    parent_column = (
        []
        if parent is None
        else [Column("parent_id", Key, ForeignKey(f"{parent}.id"), nullable=False)]
    )
    table = Table(
        name,
        into,
        Column("id", Key, primary_key=True),
        Column("club_id", Key, ForeignKey("clubs.id"), nullable=False),
        *parent_column,
        Column("version", Integer, nullable=False),
        Column("created_at", UtcDateTime, nullable=False),
        Column("updated_at", UtcDateTime, nullable=False),
        Column("deleted_at", UtcDateTime),
        Column("body", Text, nullable=False),
        Column("name_key", Key, nullable=False),
        *filing,
    )
    within = ["club_id"] if parent is None else ["club_id", "parent_id"]
    for filtered in ([], *([column] for column in listed_by)):
        for sort in SORT_COLUMNS:
            _live_index(table, *within, *filtered, sort, "id")
    if unique_name:
        _live_index(table, *within, "name_key", unique=True)
    return table


def _live_index(table: Table, *columns: str, unique: bool = False) -> None:
    live = table.c.deleted_at.is_(None)
    prefix = "uq" if unique else "ix"
    name = "_".join([prefix, table.name, *columns])
    chosen = [table.c[column] for column in columns]
    Index(
        name,
        *chosen,
        unique=unique,
        sqlite_where=live,
        postgresql_where=live,
    )


clubs = record_table("clubs")
members = record_table(
    "members", Column("role", Key, nullable=False), listed_by=["role"]
)
tokens = record_table(
    "tokens",
    Column("member_id", Key, nullable=False),
    Column("secret_sha256", Key, unique=True),
    listed_by=["member_id"],
)
invitations = record_table(
    "invitations",
    Column("member_id", Key, nullable=False),
    Column("secret_sha256", Key, unique=True),
    listed_by=["member_id"],
)
coupling_types = record_table("coupling_types", unique_name=True)
vehicles = record_table(
    "vehicles",
    Column("kind", Key),
    Column("scale", Key),
    Column("owner_id", Key, nullable=False),
    Column("stock_key", Key),
    listed_by=["kind", "scale", "owner_id"],
)
_live_index(vehicles, "club_id", "owner_id", "stock_key")
trains = record_table(
    "trains", Column("owner_id", Key, nullable=False), listed_by=["owner_id"]
)
rakes = record_table(
    "rakes", Column("owner_id", Key, nullable=False), listed_by=["owner_id"]
)
modules = record_table(
    "modules",
    Column("scale", Key),
    Column("owner_id", Key, nullable=False),
    listed_by=["scale", "owner_id"],
)
standards = record_table("standards", unique_name=True)
layouts = record_table("layouts", unique_name=True)
places = record_table(
    "places",
    Column("kind", Key, nullable=False),
    listed_by=["kind"],
    parent="layouts",
    unique_name=True,
)
yards = record_table("yards", parent="layouts", unique_name=True)
layout_plans = record_table(
    "layout_plans",
    Column("summary", Text, nullable=False),
    parent="layouts",
    unique_name=True,
)
module_plans = record_table(
    "module_plans",
    Column("summary", Text, nullable=False),
    parent="modules",
    unique_name=True,
)
share_links = record_table(
    "share_links",
    Column("member_id", Key),
    Column("secret_sha256", Key, unique=True),
    parent="layouts",
)
"""Links by which strangers look at one layout; ``member_id`` is whoever made it."""

links = Table(
    "links",
    metadata,
    Column("source_kind", Key, primary_key=True),
    Column("source_id", Key, primary_key=True),
    Column("pointer", Key, primary_key=True),
    Column("club_id", Key, ForeignKey("clubs.id"), nullable=False),
    Column("target_kind", Key, nullable=False),
    Column("target_id", Key),
    Column("target_name", Key),
    Index(None, "club_id", "target_kind", "target_id"),
    Index(None, "club_id", "target_kind", "target_name"),
)
"""Which record leans on which: by id, or by a name (a ``name_key``), whether or not a
record has that name today.
"""

history = Table(
    "history",
    metadata,
    Column("id", Key, primary_key=True),
    Column("club_id", Key, ForeignKey("clubs.id"), nullable=False),
    Column("kind", Key, nullable=False),
    Column("record_id", Key, nullable=False),
    Column("version", Integer, nullable=False),
    Column("action", Key, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("member_id", Key, nullable=False),
    Column("token_id", Key, nullable=False),
    Column("before", Text),
    Column("after", Text),
    Column("action_id", Key, nullable=False),
    Column("undoes", Key),
    UniqueConstraint("kind", "record_id", "version"),
    Index(None, "club_id", "at", "id"),
    Index(None, "club_id", "action_id", "at", "id"),
    *(
        Index(None, "club_id", column, "at", "id")
        for column in ("kind", "record_id", "member_id", "action")
    ),
)
"""One row for each version of each record: who, when, old and new; ``action_id`` binds
what was done at once.
"""

revisions = Table(
    "revisions",
    metadata,
    Column("kind", Key, primary_key=True),
    Column("record_id", Key, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("club_id", Key, ForeignKey("clubs.id"), nullable=False),
    Column("version", Integer, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("author_id", Key, nullable=False),
    Column("token_id", Key, nullable=False),
    Column("action_id", Key, nullable=False),
    Column("remark", Text, nullable=False),
    Column("summary", Text),
    Column("body", Text, nullable=False),
    Index(None, "club_id", "author_id"),
    Index(None, "at"),
)
"""What was saved of drafts for good, numbered from 1 for each record; ``version`` is
the draft's. Bodies stand last, since whatever comes before them is read without them.
"""

erasures = Table(
    "erasures",
    metadata,
    Column("member_id", Key, primary_key=True),
    Column("club_id", Key, ForeignKey("clubs.id"), nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("wiped_at", UtcDateTime),
)
"""Whose name and contact were erased, and since when the database's files hold no trace
of them: ids and times only.
"""

idempotency = Table(
    "idempotency",
    metadata,
    Column("club_id", Key, ForeignKey("clubs.id"), primary_key=True),
    Column("member_id", Key, primary_key=True),
    Column("path", Key, primary_key=True),
    Column("key", Key, primary_key=True),
    Column("payload_sha256", Key, nullable=False),
    Column("created_at", UtcDateTime, nullable=False),
    Column("status", Integer),
    Column("headers", Text),
    Column("body", LargeBinary),
    Column("secret", Boolean(create_constraint=False), nullable=False),
    Index(None, "created_at"),
)
"""The answers that a repeated request gets again; ``status`` is empty until its request
is settled.
"""

refused_changes = Table(
    "refused_changes",
    metadata,
    Column("id", Key, primary_key=True),
    Column("club_id", Key, ForeignKey("clubs.id"), nullable=False),
    Column("member_id", Key, nullable=False),
    Column("token_id", Key, nullable=False),
    Column("kind", Key, nullable=False),
    Column("record_id", Key, nullable=False),
    Column("record_name", Key, nullable=False),
    Column("verb", Key, nullable=False),
    Column("version", Integer, nullable=False),
    Column("seen", Key, nullable=False),
    Column("sent", Key),
    Column("sent_sha256", Key, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("last_at", UtcDateTime, nullable=False),
    Column("times", Integer, nullable=False),
    Index(None, "club_id", "at", "id"),
    Index(None, "club_id", "member_id", "record_id"),
    Index(None, "last_at"),
)
"""Changes that were refused since another one came first, with who meant them; kept for
three days.
"""

# the tables bear the name of the first lists that came: an older process still knows it
list_imports = Table(
    "stock_imports",
    metadata,
    Column("id", Key, primary_key=True),
    Column("kind", Key, nullable=False, server_default="vehicles"),
    Column("club_id", Key, ForeignKey("clubs.id"), nullable=False),
    Column("member_id", Key, nullable=False),
    Column("version", Integer, nullable=False),
    Column("state", Key, nullable=False),
    Column("created_at", UtcDateTime, nullable=False),
    Column("expires_at", UtcDateTime, nullable=False),
    Column("head", Text, nullable=False),
    Column("sheet", LargeBinary, nullable=False),
    Column("wanted", LargeBinary),
    Index(None, "expires_at"),
)
"""Lists as they were read, with what their rows would do to records of a ``kind``; kept
until ``expires_at``.

``wanted`` is what their rows name records by; empty where the file was sent before that
was kept.
"""

list_import_rows = Table(
    "stock_import_rows",
    metadata,
    Column("import_id", Key, ForeignKey("stock_imports.id"), primary_key=True),
    Column("sheet_row", Integer, primary_key=True),
    Column("outcome", Key, nullable=False),
    Column("record_id", Key),
    Column("record_version", Integer),
    Column("content", Text, nullable=False),
    Index(None, "import_id", "outcome", "sheet_row"),
)
"""What becomes of each row of such a list."""

passphrases = Table(
    "passphrases",
    metadata,
    Column("member_id", Key, ForeignKey("members.id"), primary_key=True),
    Column("club_id", Key, ForeignKey("clubs.id"), nullable=False),
    Column("sign_in_key", Key, nullable=False),
    Column("hashed", Key, nullable=False),
    Column("changed_at", UtcDateTime, nullable=False),
    UniqueConstraint("club_id", "sign_in_key"),
)
"""By what name, and with what passphrase (argon2id), a member signs in."""

sessions = Table(
    "sessions",
    metadata,
    Column("id", Key, primary_key=True),
    Column("club_id", Key, ForeignKey("clubs.id"), nullable=False),
    Column("member_id", Key, ForeignKey("members.id"), nullable=False),
    Column("secret_sha256", Key, nullable=False, unique=True),
    Column("label", Key),
    Column("created_at", UtcDateTime, nullable=False),
    Column("last_used_at", UtcDateTime, nullable=False),
    Column("expires_at", UtcDateTime, nullable=False),
    Index(None, "member_id", "created_at", "id"),
)
"""Who is signed in: until it is ended, is not used for too long, or expires."""

clock = Table(
    "clock",
    metadata,
    Column("id", Key, primary_key=True),
    Column("noted_at", UtcDateTime, nullable=False),
    Column("jumped_from", UtcDateTime),
    Column("jumped_at", UtcDateTime),
)
"""One row: what time it was when somebody looked last, and the clock's last jump until
that is over.
"""

sign_in_attempts = Table(
    "sign_in_attempts",
    metadata,
    Column("who", Key, primary_key=True),
    Column("since", UtcDateTime, nullable=False),
    Column("count", Integer, nullable=False),
    Index(None, "since"),
)
"""How often somebody tried to sign in of late, by the hash of a name or of an
address.
"""
