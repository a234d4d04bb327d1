"""Kinds that only tests have: one with big bodies, beneath a layout, and those of which
revisions are saved though the service saves none of them.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import msgspec
import pytest
from sqlalchemy import Column, MetaData, Text

from standage.registry.database import tables
from standage.registry.database.engine import Database
from standage.registry.records.kind import Kind, Naming, Room, Summary
from standage.registry.records.kinds import KINDS, LAYOUTS
from standage.shapes.faults import Ruled

MEGABYTE = 1024 * 1024
_OURS = MetaData(naming_convention=tables.metadata.naming_convention)
for _table in (tables.clubs, tables.layouts):
    _table.to_metadata(_OURS)  # what the table beneath names


class DrawingBody(Ruled, frozen=True, kw_only=True):
    """A drawing of a layout: many lines."""

    name: str
    lines: tuple[str, ...] = ()


class DrawingSummary(msgspec.Struct, frozen=True, kw_only=True):
    """How many lines a drawing has."""

    name: str
    line_count: int


def _summary(body: DrawingBody) -> DrawingSummary:
    return DrawingSummary(name=body.name, line_count=len(body.lines))


DRAWINGS = Kind(
    name="drawings",
    one="drawing",
    body=DrawingBody,
    table=tables.record_table(
        "drawings",
        Column("summary", Text, nullable=False),
        parent="layouts",
        unique_name=True,
        into=_OURS,
    ),
    parent="layouts",
    naming=Naming(sole=True),
    room=Room(
        body_bytes=MEGABYTE,
        summary=Summary(type=DrawingSummary, of=_summary),
        revised=True,
    ),
)


@contextmanager
def with_drawings(database: Database) -> Iterator[Kind[DrawingBody]]:
    """Let there be drawings in a database, beneath layouts."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(KINDS, DRAWINGS.name, DRAWINGS)
        patch.setitem(LAYOUTS.life.cascades, DRAWINGS.name, "parent_id")
        with database.migrate() as connection:
            DRAWINGS.table.create(connection)
        yield DRAWINGS
        with database.migrate() as connection:
            DRAWINGS.table.drop(connection)


def revised(kind: Kind[Any]) -> Kind[Any]:
    """Return a kind of the service's own as if revisions were saved of it."""
    return replace(kind, room=Room(revised=True))
