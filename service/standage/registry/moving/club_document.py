"""A whole club as one JSON document: what it holds, written from one snapshot, part
after part.

Tokens, invitations and share links stay behind, as passphrases do: they let people in,
and are made anew. All else goes, ids, versions and history included.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from errno import EEXIST
from os import strerror
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal, Union

import msgspec
from sqlalchemy import ColumnElement, Row, and_, or_, select

from standage.railway.terms.figures import Identifier, Note, says
from standage.registry.database.durable_files import new_private_file, whole_file
from standage.registry.database.engine import Database
from standage.registry.database.lots import READ_IN_LOTS, lots
from standage.registry.database.tables import history, revisions
from standage.registry.records.kinds import (
    INVITATIONS,
    KINDS,
    MEMBERS,
    SHARE_LINKS,
    TOKENS,
    Kind,
)
from standage.registry.records.reading import Reading, live
from standage.registry.writing.ownership import belongs_to, ids_beneath

FORMAT: Literal["standage-club"] = "standage-club"
VERSION: Literal[1] = 1
KEPT_BACK = frozenset(kind.name for kind in (TOKENS, INVITATIONS, SHARE_LINKS))
CARRIED: Mapping[str, Kind[Any]] = {
    name: kind for name, kind in KINDS.items() if name not in KEPT_BACK
}
"""The kinds that a document holds, each after those that its records lie beneath."""

_MOMENT = Annotated[datetime, msgspec.Meta(tz=True)]
_BODIES = ("before", "after")


def _entry(kind: Kind[Any]) -> type[msgspec.Struct]:
    parent = (
        []
        if kind.parent is None
        else [("parent_id", Annotated[Identifier, says("What it lies beneath.")])]
    )
    return msgspec.defstruct(
        f"{kind.body.__name__.removesuffix('Body')}Entry",
        [
            ("id", Annotated[Identifier, says("Its id, kept for good.")]),
            (
                "version",
                Annotated[
                    int,
                    msgspec.Meta(ge=1, le=2**31 - 1),
                    says("How often it was written."),
                ],
            ),
            ("created_at", Annotated[_MOMENT, says("When it was recorded.")]),
            ("updated_at", Annotated[_MOMENT, says("When it was last changed.")]),
            ("body", kind.body),
            *parent,
        ],
        frozen=True,
        kw_only=True,
        forbid_unknown_fields=True,
        tag_field="kind",
        tag=kind.name,
        namespace={"__doc__": f"A {kind.one} as it is on record."},
    )


ENTRIES = {name: _entry(kind) for name, kind in CARRIED.items()}
if TYPE_CHECKING:
    Entry = Any
else:
    Entry = Union[tuple(ENTRIES.values())]  # noqa: UP007 - made from the kinds
"""One record; its field ``kind`` says of which sort."""


class PastChange(
    msgspec.Struct,
    frozen=True,
    kw_only=True,
    forbid_unknown_fields=True,
    omit_defaults=True,
):
    """One change in the history of a record: who made it, when, and the body before and
    after it.
    """

    id: Annotated[Identifier, says("The change's id.")]
    kind: Annotated[str, msgspec.Meta(max_length=40), says("The sort of record.")]
    record_id: Annotated[Identifier, says("The record.")]
    version: Annotated[
        int, msgspec.Meta(ge=1, le=2**31 - 1), says("Its version after the change.")
    ]
    action: Annotated[
        Literal["create", "update", "delete", "restore", "erase"],
        says("What was done."),
    ]
    at: Annotated[_MOMENT, says("When.")]
    member_id: Annotated[Identifier, says("Who did it.")]
    token_id: Annotated[Identifier, says("With which token.")]
    action_id: Annotated[Identifier, says("The same for all that was done at once.")]
    undoes: Annotated[Identifier | None, says("The change that this one undid.")] = None
    before: Annotated[dict[str, Any] | None, says("The body before it.")] = None
    after: Annotated[dict[str, Any] | None, says("The body after it.")] = None


class PastRevision(
    msgspec.Struct,
    frozen=True,
    kw_only=True,
    forbid_unknown_fields=True,
    omit_defaults=True,
):
    """What was saved of a record for good, by its number: who saved it, when and
    why.
    """

    kind: Annotated[str, msgspec.Meta(max_length=40), says("The sort of record.")]
    record_id: Annotated[Identifier, says("The record.")]
    number: Annotated[
        int, msgspec.Meta(ge=1, le=2**31 - 1), says("Its number, from 1.")
    ]
    version: Annotated[
        int,
        msgspec.Meta(ge=1, le=2**31 - 1),
        says("The version of the record that was saved."),
    ]
    at: Annotated[_MOMENT, says("When.")]
    author_id: Annotated[Identifier, says("Who saved it.")]
    token_id: Annotated[Identifier, says("With which token.")]
    action_id: Annotated[Identifier, says("The same for all that was done at once.")]
    remark: Annotated[Note, says("What was said of it.")]
    body: Annotated[
        dict[str, Any] | None, says("The body; absent where it is another's.")
    ] = None


class ClubDocument(msgspec.Struct, frozen=True, kw_only=True):
    """A whole club, or what one member has in it: every record with its id and version,
    and the history.
    """

    format: Annotated[
        Literal["standage-club", "standage-member"], says("What it is a document of.")
    ]
    version: Annotated[
        Literal[1], says("Of which form it is; another form has another number.")
    ]
    club_id: Annotated[Identifier, says("The club.")]
    records: Annotated[
        list[Entry], says("The records, each after those that it lies beneath.")
    ]
    history: Annotated[
        list[PastChange], says("Who changed what and when, oldest first.")
    ]
    revisions: Annotated[
        list[PastRevision],
        says("What was saved of records for good; absent where nothing was."),
    ] = []


def written(
    reading: Reading, club_id: str, *, member_id: str | None = None
) -> Iterator[bytes]:
    """Yield the document of a club, or of what one member has in it, piece by piece
    from the reading's snapshot.
    """
    form = FORMAT if member_id is None else "standage-member"
    head = {
        "format": form,
        "version": VERSION,
        "club_id": club_id,
    }
    yield msgspec.json.encode(head)[:-1] + b',"records":[\n'
    yield from _joined(_records(reading, club_id, member_id))
    yield b'\n],"history":[\n'
    yield from _joined(_history(reading, club_id, member_id))
    yield b"\n]"
    opening = b',"revisions":[\n'
    for piece in _joined(_revisions(reading, club_id, member_id)):
        yield opening + piece
        opening = b""
    yield b"}\n" if opening else b"\n]}\n"


def export_club(database: Database, club_id: str, path: Path) -> int:
    """Write a club's document into a new file, lot by lot; return its bytes.

    The file is there once it is whole, and nobody but its owner may read it. Raises
    ``Absent``, ``OSError``.
    """
    if path.exists():
        raise FileExistsError(EEXIST, strerror(EEXIST), str(path))
    with database.read() as connection:
        reading = Reading(connection)
        reading.get(KINDS["clubs"], club_id, club_id)
        with whole_file(path) as part, new_private_file(part) as stream:
            return sum(stream.write(piece) for piece in written(reading, club_id))


def _joined(elements: Iterable[bytes]) -> Iterator[bytes]:
    separator = b""
    for lot in lots(elements):
        yield separator + b",\n".join(lot)
        separator = b",\n"


def _records(reading: Reading, club_id: str, member_id: str | None) -> Iterator[bytes]:
    for kind in CARRIED.values():
        statement = live(kind, club_id)
        if member_id is not None:
            theirs = belongs_to(kind, club_id, member_id)
            if kind is MEMBERS:
                theirs = kind.table.c.id == member_id
            if theirs is None:
                continue
            statement = statement.where(theirs)
        for row in reading.connection.execute(
            statement.order_by(kind.table.c.id), execution_options=READ_IN_LOTS
        ):
            known = {
                "kind": kind.name,
                "id": row.id,
                "version": row.version,
                "created_at": row.created_at,
                "updated_at": row.updated_at,
                **({} if kind.parent is None else {"parent_id": row.parent_id}),
                "body": msgspec.Raw(row.body.encode()),
            }
            yield msgspec.json.encode(known)


def _history(reading: Reading, club_id: str, member_id: str | None) -> Iterator[bytes]:
    statement = select(history).where(
        history.c.club_id == club_id, history.c.kind.not_in(sorted(KEPT_BACK))
    )
    beneath: frozenset[str] = frozenset()
    if member_id is not None:
        beneath = ids_beneath(reading.connection, club_id, member_id)
        is_theirs = _concerning(member_id, beneath)
        statement = statement.where(or_(history.c.member_id == member_id, *is_theirs))
    for row in reading.connection.execute(
        statement.order_by(history.c.at, history.c.id), execution_options=READ_IN_LOTS
    ):
        known = {
            name: value
            for name, value in row._mapping.items()  # noqa: SLF001 - Row's public way
            if value is not None and name != "club_id"
        }
        if member_id is not None:
            known = {
                name: value
                for name, value in known.items()
                if name not in _BODIES
                or _is_of(
                    row,
                    value,
                    member_id,
                    beneath,
                )
            }
        texts = {
            name: msgspec.Raw(known[name].encode()) for name in _BODIES if name in known
        }
        yield msgspec.json.encode(known | texts)


def _revisions(
    reading: Reading, club_id: str, member_id: str | None
) -> Iterator[bytes]:
    """Yield a club's revisions, or those that a member saved or that are of what was
    theirs then; the bodies only of the latter.
    """
    statement = select(revisions).where(revisions.c.club_id == club_id)
    beneath: frozenset[str] = frozenset()
    if member_id is not None:
        beneath = ids_beneath(reading.connection, club_id, member_id)
        theirs: ColumnElement[bool] = revisions.c.body.like(
            f'%"owner_id":"{member_id}"%'
        )
        theirs |= revisions.c.record_id.in_(sorted(beneath))
        statement = statement.where(or_(revisions.c.author_id == member_id, theirs))
    ordered = statement.order_by(
        revisions.c.kind, revisions.c.record_id, revisions.c.number
    )
    for row in reading.connection.execute(ordered, execution_options=READ_IN_LOTS):
        known = {name: getattr(row, name) for name in PastRevision.__struct_fields__}
        if member_id is not None and not _is_of(
            row,
            row.body,
            member_id,
            beneath,
        ):
            del known["body"]
        else:
            known["body"] = msgspec.Raw(row.body.encode())
        yield msgspec.json.encode(known)


def _concerning(
    member_id: str, beneath: frozenset[str]
) -> Iterator[ColumnElement[bool]]:
    """Yield what is true of the history of a member and of what is or was theirs."""
    yield history.c.record_id.in_(sorted(beneath))
    yield and_(history.c.kind == MEMBERS.name, history.c.record_id == member_id)
    owned = history.c.kind.in_(
        [kind.name for kind in CARRIED.values() if kind.rights.owned]
    )
    yield and_(
        owned,
        or_(*(history.c[name].like(f'%"owner_id":"{member_id}"%') for name in _BODIES)),
    )


def _is_of(row: Row[Any], body: str, member_id: str, beneath: frozenset[str]) -> bool:
    """Tell whether a body in history is the member's own, or of something that was
    theirs then.
    """
    if row.kind == MEMBERS.name:
        return bool(row.record_id == member_id)
    rights = KINDS[row.kind].rights
    if not rights.owned:
        return rights.as_above and row.record_id in beneath
    decoded = msgspec.json.decode(body)
    return bool(decoded.get("owner_id") == member_id)
