"""Rakes that trains are made up of, modules, and the standards that a club holds them
to.
"""

import json
from collections.abc import Iterator
from itertools import accumulate
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

LIVE = sa.text("deleted_at IS NULL")
KINDS = ("rakes", "modules", "standards")


def upgrade() -> None:
    """Make the three tables; the trains on record stay as they are."""
    _record_table("rakes", _key("owner_id"), listed_by=["owner_id"])
    _record_table(
        "modules",
        _key("scale", nullable=True),
        _key("owner_id"),
        listed_by=["scale", "owner_id"],
    )
    _record_table("standards", unique_name=True)


def downgrade() -> None:
    """Put the vehicles of every rake into the trains that use it, then drop the tables
    and all that speaks of them.
    """
    _take_rakes_apart(op.get_bind())
    for column in ("source_kind", "target_kind"):
        op.execute(sa.delete(LINKS).where(LINKS.c[column].in_(KINDS)))
    op.execute(sa.delete(HISTORY).where(HISTORY.c.kind.in_(KINDS)))
    for name in reversed(KINDS):
        op.drop_table(name)


LINKS = sa.table(
    "links",
    *map(
        sa.column,
        ("club_id", "source_kind", "source_id", "pointer", "target_kind", "target_id"),
    ),
)
HISTORY = sa.table("history", sa.column("kind"))
TRAINS = sa.table("trains", *map(sa.column, ("id", "club_id", "body")))
RAKES = sa.table("rakes", *map(sa.column, ("id", "body")))


def _take_rakes_apart(connection: sa.Connection) -> None:
    """Rewrite every train that uses a rake, deleted ones too, so that a body says
    nothing that was unknown before.
    """
    using = [
        row for row in connection.execute(sa.select(TRAINS)) if '"rake_id"' in row.body
    ]
    rakes = (
        {row.id: json.loads(row.body) for row in connection.execute(sa.select(RAKES))}
        if using
        else {}
    )
    for row in using:
        body = _without_rakes(json.loads(row.body), rakes)
        connection.execute(
            sa.update(TRAINS)
            .where(TRAINS.c.id == row.id)
            .values(body=json.dumps(body, ensure_ascii=False))
        )
        linked = sa.and_(LINKS.c.source_kind == "trains", LINKS.c.source_id == row.id)
        was_linked = (
            connection.execute(sa.select(LINKS).where(linked).limit(1)).first()
            is not None
        )
        if was_linked:
            vehicles = sa.and_(linked, LINKS.c.target_kind.in_(["vehicles", "rakes"]))
            connection.execute(sa.delete(LINKS).where(vehicles))
            connection.execute(sa.insert(LINKS), list(_links(row, body)))


def _links(row: Any, body: dict[str, Any]) -> Iterator[dict[str, str]]:
    for position, entry in enumerate(body["vehicles"]):
        yield {
            "club_id": row.club_id,
            "source_kind": "trains",
            "source_id": row.id,
            "pointer": f"/vehicles/{position}/vehicle_id",
            "target_kind": "vehicles",
            "target_id": entry["vehicle_id"],
        }


def _without_rakes(train: dict[str, Any], rakes: dict[str, Any]) -> dict[str, Any]:
    """Return a train's body with the vehicles of its rakes in their place, and every
    measured length moved along.
    """
    parts = [_part(entry, rakes) for entry in train["vehicles"]]
    starts = list(accumulate((len(vehicles) for vehicles, _ in parts), initial=1))
    measured = [
        {**one, "first": starts[one["first"] - 1], "last": starts[one["last"]] - 1}
        for one in train.get("measured_rakes", [])
    ]
    covered = {
        entry
        for one in train.get("measured_rakes", [])
        for entry in range(one["first"] - 1, one["last"])
    }
    measured += [
        {"first": starts[entry], "last": starts[entry + 1] - 1, **whole}
        for entry, (_, whole) in enumerate(parts)
        if whole and entry not in covered
    ]
    body = {
        **train,
        "vehicles": [vehicle for vehicles, _ in parts for vehicle in vehicles],
    }
    if measured:
        body["measured_rakes"] = sorted(measured, key=lambda one: int(one["first"]))
    return body


def _part(
    entry: dict[str, Any], rakes: dict[str, Any]
) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    """Return the vehicles that an entry stands for, and its length where it is a rake
    measured whole.
    """
    if "rake_id" not in entry:
        return [entry], {}
    rake = rakes[entry["rake_id"]]
    names = {
        "measured_length_mm": "length_mm",
        "measured_over": "length_over",
        "measured_plus_minus_mm": "length_plus_minus_mm",
    }
    whole = {new: rake[old] for old, new in names.items() if old in rake}
    if not entry.get("reversed", False):
        return list(rake["vehicles"]), whole
    turned = (
        {**one, "reversed": not one.get("reversed", False)}
        for one in reversed(rake["vehicles"])
    )
    return list(turned), whole


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
    unique_name: bool = False,
) -> None:
    op.create_table(
        name,
        _key("id"),
        _key("club_id"),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("deleted_at", sa.DateTime(timezone=True)),
        sa.Column("body", sa.Text(), nullable=False),
        _key("name_key"),
        *filing,
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=f"fk_{name}_club_id"),
    )
    for filtered in ([], *([column] for column in listed_by or [])):
        for sort in ("name_key", "created_at", "updated_at"):
            _live_index(name, ["club_id", *filtered, sort, "id"], unique=False)
    if unique_name:
        _live_index(name, ["club_id", "name_key"], unique=True)


def _live_index(table: str, columns: list[str], *, unique: bool) -> None:
    name = f"{'uq' if unique else 'ix'}_{table}_{'_'.join(columns)}"
    op.create_index(
        name, table, columns, unique=unique, sqlite_where=LIVE, postgresql_where=LIVE
    )
