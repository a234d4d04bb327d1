"""By what a list of stock finds a vehicle again, and what the rows of a list that was
sent in name.
"""

import json
import unicodedata
from collections.abc import Iterator
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

LIVE = sa.text("deleted_at IS NULL")
INDEX = "ix_vehicles_club_id_owner_id_stock_key"
AT_ONCE = 500
VEHICLES = sa.table("vehicles", *map(sa.column, ("id", "body", "stock_key")))
IMPORTS = sa.table("stock_imports", *map(sa.column, ("id", "head")))


def upgrade() -> None:
    """Add both columns; every vehicle gets its key, deleted ones too, since they can be
    brought back.
    """
    key = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
    op.add_column("vehicles", sa.Column("stock_key", key))
    op.add_column("stock_imports", sa.Column("wanted", sa.LargeBinary()))
    connection = op.get_bind()
    own = VEHICLES.c.id == sa.bindparam("its_id")
    keyed = sa.update(VEHICLES).where(own).values(stock_key=sa.bindparam("its_key"))
    for bodies in _in_lots(connection):
        keys = [
            {"its_id": record_id, "its_key": _stock_key(body)}
            for record_id, body in bodies
        ]
        found = [one for one in keys if one["its_key"] is not None]
        if found:
            connection.execute(keyed, found)
    columns = ["club_id", "owner_id", "stock_key"]
    op.create_index(
        INDEX, "vehicles", columns, sqlite_where=LIVE, postgresql_where=LIVE
    )


def downgrade() -> None:
    """Take both away; a preview that was made with them is looked at anew before it is
    imported.
    """
    connection = op.get_bind()
    for row in connection.execute(sa.select(IMPORTS)).all():
        head = {"owners": [], **json.loads(row.head), "seen": ""}
        text = json.dumps(head, ensure_ascii=False, separators=(",", ":"))
        connection.execute(
            sa.update(IMPORTS).where(IMPORTS.c.id == row.id).values(head=text)
        )
    op.drop_index(INDEX, "vehicles")
    op.drop_column("stock_imports", "wanted")
    op.drop_column("vehicles", "stock_key")


def _in_lots(connection: sa.Connection) -> Iterator[list[tuple[str, dict[str, Any]]]]:
    """Yield the ids and the bodies of all vehicles, some at a time: the longest club's
    stock fits no memory.
    """
    last = ""
    while True:
        following = sa.select(VEHICLES.c.id, VEHICLES.c.body).where(
            VEHICLES.c.id > last
        )
        rows = connection.execute(
            following.order_by(VEHICLES.c.id).limit(AT_ONCE)
        ).all()
        if not rows:
            return
        yield [(row.id, json.loads(row.body)) for row in rows]
        last = rows[-1].id


def _stock_key(body: dict[str, Any]) -> str | None:
    """Return a vehicle's key as it was reckoned when this was written."""
    number = body.get("external_key")
    if number is None:
        number = body.get("number")
    if number is None:
        return None
    plain: str = number.strip()
    if plain.isascii() and plain.isdigit():
        return plain.lstrip("0")
    composed = unicodedata.normalize("NFC", " ".join(number.split()))
    return unicodedata.normalize("NFC", composed.casefold())
