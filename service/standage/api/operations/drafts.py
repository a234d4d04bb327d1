"""The operations on records of which there is one beneath another, and revisions: a
track plan is read, sent, changed and deleted as a draft, and saved for good by number.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from typing import Annotated, Any, Literal

import msgspec

from standage.api.operations.looking_back import called
from standage.api.operations.record_changes import (
    as_new_body,
    perform_replace,
    perform_update,
)
from standage.api.operations.record_shapes import answer_type, present
from standage.api.operations.record_words import WORDS, id_name, parent_id, paths
from standage.api.operations.records import perform_delete
from standage.api.web import pages
from standage.api.web.call import Call, Reply
from standage.api.web.operation import (
    About,
    Answers,
    Guard,
    Operation,
    Reads,
    Takes,
    Writes,
    known,
)
from standage.api.web.pages import PageAsked, page_asked
from standage.railway.terms.figures import Note, says
from standage.railway.track.plans.plan import Plan
from standage.registry.records.drafts import draft_of, revision_read
from standage.registry.records.kinds import KINDS, Kind
from standage.registry.records.naming import with_ids
from standage.registry.records.plan_summaries import PlanSummary
from standage.registry.records.reading import Listing, Reading
from standage.registry.records.record import Record
from standage.registry.records.revisions import (
    Revision,
    Saved,
    page_of_revisions,
    position_of_revision,
)
from standage.registry.writing.history import names_of_members
from standage.registry.writing.revising import save_revision
from standage.registry.writing.store import Writing
from standage.shapes.faults import Faulty
from standage.shapes.refusals import Absent, Stale, Unconditional

_LONGEST_NUMBER = 10
PerformOnKind = Callable[[Kind[Any], Writing, Call], Reply]
"""Carries out what is asked of a record by the id in its address."""


class SavedRemark(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """What is to be said of a revision."""

    remark: Annotated[Note, says("Why it is saved, for people to read.")] = ""


class RevisionSummary(PlanSummary, frozen=True, kw_only=True, omit_defaults=True):
    """A revision in a list."""

    number: Annotated[int, says("Its number, from 1.")]
    version: Annotated[int, says("The version of the draft that was saved.")]
    saved_at: Annotated[datetime, msgspec.Meta(tz=True), says("When it was saved.")]
    member_id: Annotated[str, says("Who saved it.")]
    remark: Annotated[str, says("Why it was saved.")]
    member_name: Annotated[
        str | None, says("What that member is called; absent where they are gone.")
    ] = None


class PlanRevision(RevisionSummary, frozen=True, kw_only=True, omit_defaults=True):
    """A revision of a track plan; a module's has no modules in it."""

    plan: Annotated[Plan, says("The plan as it was saved.")]


class RevisionPage(msgspec.Struct, frozen=True, kw_only=True):
    """A page of revisions."""

    items: Annotated[list[RevisionSummary], says("The revisions of this page.")]
    next: Annotated[
        str | None, says("The address of the next page; absent on the last.")
    ] = None
    next_cursor: Annotated[str | None, says("The cursor within that address.")] = None


class RevisionsQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which revisions are wanted."""

    limit: pages.Limit = pages.DEFAULT_LIMIT
    cursor: pages.Cursor | None = None
    sort: Annotated[
        Literal["-number", "number"],
        says("The order; '-number' begins with the newest."),
    ] = "-number"


@dataclass(frozen=True, kw_only=True)
class _Page:
    asked: PageAsked
    draft: Record
    saved: Sequence[Saved]
    members: Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class _Read:
    revision: Revision
    members: Mapping[str, str]


def draft_operations() -> list[Operation]:
    """Return every operation on every kind of which there is one beneath a parent."""
    kinds = [kind for kind in KINDS.values() if kind.naming.sole]
    return [
        operation
        for kind in kinds
        for operation in (*_on_drafts(kind), *_on_revisions(kind))
    ]


def _on_drafts(kind: Kind[Any]) -> Iterable[Operation]:
    words = WORDS[kind.name]
    answer = answer_type(kind, words)
    one, path = f"the plan of a {kind_above(kind).one}", paths(kind)[1]
    yield Operation(
        id=f"get{words.noun}",
        method="GET",
        path=path,
        about=About(tag=words.tag, summary=f"Read {one}", description=words.about),
        act=Reads(partial(_gather, kind), partial(_report, kind), gathers_much=True),
        answers=Answers(shape=answer, tagged=True),
    )
    yield Operation(
        id=f"replace{words.noun}",
        method="PUT",
        path=path,
        about=About(
            tag=words.tag,
            summary=f"Send {one}",
            description=(
                "The first makes the draft; after that If-Match says which version it"
                " takes the place of. A plan with faults is kept: its check tells them."
            ),
        ),
        act=Writes(partial(put_draft, kind)),
        answers=Answers(shape=answer, tagged=True, may_create=True),
        takes=Takes(body=kind.body, most_bytes=kind.room.body_bytes),
        guard=Guard(rate="write", conditional=True),
    )
    yield Operation(
        id=f"update{words.noun}",
        method="PATCH",
        path=path,
        about=About(
            tag=words.tag,
            summary=f"Change some of {one}",
            description="A merge patch (RFC 7396): a piece that is null is taken away.",
        ),
        act=Writes(partial(_on_standing, kind, perform_update)),
        answers=Answers(shape=answer, tagged=True),
        takes=Takes(patch_of=kind.body, most_bytes=kind.room.body_bytes),
        guard=Guard(rate="write", conditional=True),
    )
    yield Operation(
        id=f"delete{words.noun}",
        method="DELETE",
        path=path,
        about=About(
            tag=words.tag,
            summary=f"Delete {one}",
            description="Its revisions go with it, and come back with it.",
        ),
        act=Writes(partial(_on_standing, kind, perform_delete)),
        answers=Answers(shape=None, status=204),
        guard=Guard(rate="write", conditional=True),
    )


def _on_revisions(kind: Kind[Any]) -> Iterable[Operation]:
    words = WORDS[kind.name]
    one, path = f"the plan of a {kind_above(kind).one}", f"{paths(kind)[1]}/revisions"
    yield Operation(
        id=f"list{words.noun}Revisions",
        method="GET",
        path=path,
        about=About(
            tag=words.tag,
            summary=f"List the revisions of {one}",
            description=(
                "Pages are joined by cursors: follow `next` until it is absent."
            ),
        ),
        act=Reads(partial(_gather_page, kind), _report_page),
        answers=Answers(shape=RevisionPage, tagged=True),
        takes=Takes(query=RevisionsQuery),
    )
    yield Operation(
        id=f"create{words.noun}Revision",
        method="POST",
        path=path,
        about=About(
            tag=words.tag,
            summary=f"Save {one} for good",
            description=(
                "The draft as it stands becomes the next revision, which nobody can"
                " change any more."
            ),
        ),
        act=Writes(partial(_on_standing, kind, _save)),
        answers=Answers(shape=PlanRevision, status=201, creates=True, tagged=True),
        takes=Takes(body=SavedRemark),
        guard=Guard(rate="write"),
    )
    yield Operation(
        id=f"get{words.noun}Revision",
        method="GET",
        path=f"{path}/{{revision}}",
        about=About(
            tag=words.tag,
            summary=f"Read a revision of {one}",
            description="What was saved, whole: it stays as it is.",
        ),
        act=Reads(partial(_gather_revision, kind), _report_revision, gathers_much=True),
        answers=Answers(shape=PlanRevision, tagged=True),
    )


def kind_above(kind: Kind[Any]) -> Kind[Any]:
    return KINDS[kind.parent or ""]


def beneath_id(kind: Kind[Any], call: Call) -> str:
    """Return the id of what an address says the draft lies beneath."""
    return parent_id(kind, call) or ""


def _gather(kind: Kind[Any], reading: Reading | None, call: Call) -> Record:
    return draft_of(
        known(reading),
        kind,
        call.club_id,
        beneath_id(kind, call),
    )


def _report(kind: Kind[Any], record: Record) -> Reply:
    return Reply(content=present(kind, record), etag=record.etag)


def _standing(kind: Kind[Any], writing: Writing, call: Call) -> Record:
    """Return the draft, what it lies beneath held first: whoever deletes that holds it
    first too. Raises ``Absent``.
    """
    above_id = beneath_id(kind, call)
    writing.get(kind_above(kind), call.club_id, above_id, hold="shared")
    return draft_of(
        writing,
        kind,
        call.club_id,
        above_id,
    )


def _on_standing(
    kind: Kind[Any],
    perform: PerformOnKind,
    writing: Writing,
    call: Call,
) -> Reply:
    """Do with the draft what is done with any record by its id."""
    draft = _standing(kind, writing, call)
    return perform(kind, writing, _of(kind, draft, call))


def _of(kind: Kind[Any], draft: Record, call: Call) -> Call:
    return replace(call, path={**call.path, id_name(kind): draft.id})


def put_draft(kind: Kind[Any], writing: Writing, call: Call) -> Reply:
    """Put a plan in the draft's place; where there is none, make it."""
    try:
        draft = _standing(kind, writing, call)
    except Absent:
        writing.get(kind_above(kind), call.club_id, beneath_id(kind, call))
        return _made(kind, writing, call)
    return perform_replace(kind, writing, _of(kind, draft, call))


def _made(kind: Kind[Any], writing: Writing, call: Call) -> Reply:
    """Make the draft. Raises ``Stale`` where somebody saw one, which is gone, and
    ``Unconditional`` where another was made at the same moment.
    """
    heard = as_new_body(kind, call.body)
    with heard.pointing():
        body = with_ids(writing, call.club_id, heard.value)
        record = _created(
            kind,
            writing,
            call,
            body,
        )
    if call.if_match.given:
        raise Stale(f"there is no {kind.one} any more: send this without If-Match")
    address = paths(kind)[1].format(**call.path)
    return Reply(
        content=present(kind, record, heard.told),
        status=201,
        etag=record.etag,
        headers=(("location", address),),
    )


def _created(
    kind: Kind[Any], writing: Writing, call: Call, body: msgspec.Struct
) -> Record:
    above_id = beneath_id(kind, call)
    try:
        return writing.create(kind, call.granted, body, parent_id=above_id)
    except Faulty as faulty:
        if all(fault.code == "already_there" for fault in faulty.faults):
            message = (
                "somebody has just sent another one: read that first, and send its"
                " ETag as If-Match"
            )
            raise Unconditional(message) from faulty
        raise


def _save(kind: Kind[Any], writing: Writing, call: Call) -> Reply:
    """Save the draft as its next revision."""
    draft = writing.hold_one(kind, call.granted, call.path[id_name(kind)])
    remark = call.body.remark
    revision = save_revision(
        writing,
        kind,
        call.granted,
        draft,
        remark=remark,
    )
    members = _members(writing, call, [revision.saved])
    path = f"{paths(kind)[1]}/revisions".format(**call.path)
    return Reply(
        content=_told_whole(revision, members),
        status=201,
        etag=revision.etag,
        headers=(("location", f"{path}/{revision.saved.number}"),),
    )


def _members(reading: Reading, call: Call, saved: Iterable[Saved]) -> Mapping[str, str]:
    ids = {one.author_id for one in saved}
    return names_of_members(reading.connection, call.club_id, ids)


def _gather_page(kind: Kind[Any], reading: Reading | None, call: Call) -> _Page:
    draft = _gather(kind, reading, call)
    asked = page_asked(call, f"{paths(kind)[1]}/revisions".format(**call.path))
    listing = Listing(
        descending=asked.query["sort"].startswith("-"),
        after=asked.after(),
        limit=asked.limit + 1,
    )
    there = known(reading)
    saved = page_of_revisions(there.connection, kind, draft, listing)
    members = _members(there, call, saved)
    return _Page(
        asked=asked,
        draft=draft,
        saved=saved,
        members=members,
    )


def _report_page(page: _Page) -> Reply:
    shown = page.saved[: page.asked.limit]
    content = {"items": [_told(one, page.members) for one in shown]}
    if len(page.saved) <= len(shown):
        return page.asked.answer(content, None)
    return page.asked.answer(content, position_of_revision(page.draft, shown[-1]))


def _gather_revision(kind: Kind[Any], reading: Reading | None, call: Call) -> _Read:
    draft = _gather(kind, reading, call)
    there = known(reading)
    revision = revision_read(
        there,
        kind,
        draft,
        _number(call.path["revision"]),
    )
    return _Read(revision=revision, members=_members(there, call, [revision.saved]))


def _number(text: str) -> int:
    """Return the number that an address gives; 0, which no revision has, for what is
    none.
    """
    is_number = text.isascii() and text.isdigit() and len(text) <= _LONGEST_NUMBER
    if is_number:
        return int(text)
    return 0


def _report_revision(read: _Read) -> Reply:
    return Reply(
        content=_told_whole(read.revision, read.members),
        etag=read.revision.etag,
    )


def _told(saved: Saved, members: Mapping[str, str]) -> dict[str, Any]:
    return {
        "number": saved.number,
        "version": saved.version,
        "saved_at": saved.at,
        "member_id": saved.author_id,
        **called(saved.author_id, members),
        "remark": saved.remark,
        **msgspec.to_builtins(saved.summary),
    }


def _told_whole(revision: Revision, members: Mapping[str, str]) -> dict[str, Any]:
    told = _told(revision.saved, members)
    return {**told, "plan": msgspec.to_builtins(revision.body)}
