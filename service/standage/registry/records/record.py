"""What every sort of record has in common, and what can go wrong with one."""

import hashlib
from datetime import datetime
from typing import Literal

import msgspec

from standage.shapes.refusals import Stale, Unconditional

Role = Literal["member", "layout_keeper", "steward"]
Scope = Literal["read", "write"]
Part = Role | Literal["visitor"]
"""In what part somebody asks: a member's role, or whoever holds a share link."""
Whose = Literal["own", "club", "layout"]
Bearer = Literal["token", "session", "link"]
Action = Literal["create", "update", "delete", "restore", "erase"]


_TAG_DIGITS = 16
"""64 bits: two contents of one version of one record share a tag about never."""


class Principal(msgspec.Struct, frozen=True, kw_only=True):
    """Who asks: a member of a club by one of the member's tokens or sessions, or a
    visitor by a share link.

    ``token_id`` is the id of whichever it is; ``member_id`` of a link is whoever made
    it, ``layout_id`` all it shows. ``to_be_noted`` says that the session's use has not
    been put down for a while.
    """

    club_id: str
    member_id: str
    role: Part
    token_id: str
    scopes: frozenset[Scope]
    bearer: Bearer = "token"
    layout_id: str | None = None
    to_be_noted: bool = False


class Permit(msgspec.Struct, frozen=True, kw_only=True):
    """What the table of rights grants a principal for one operation: their own records,
    all the club's, a layout's.
    """

    principal: Principal
    whose: Whose


class Kept(msgspec.Struct, frozen=True, kw_only=True):
    """One record as far as a question needs to know it: its body as a struct, and what
    it is found by.
    """

    id: str
    parent_id: str | None
    body: msgspec.Struct


class Record(Kept, frozen=True, kw_only=True):
    """One record as it is kept: its envelope, and its body as the kind's struct."""

    kind: str
    club_id: str
    version: int
    created_at: datetime
    updated_at: datetime

    @property
    def etag(self) -> str:
        """The strong entity tag of this record as it stands (RFC 9110, section
        8.8.3).
        """
        return entity_tag(self.version, self)


def entity_tag(version: int, content: msgspec.Struct) -> str:
    """Return the tag that names one content for ever: the version alone comes again
    after a restore.
    """
    encoded = msgspec.json.encode(content)
    digest = hashlib.sha256(encoded).hexdigest()
    figures = digest[:_TAG_DIGITS]
    return f'"v{version}-{figures}"'


def to_text(content: msgspec.Struct) -> str:
    """Return a body, or the summary of one, as it is kept."""
    return msgspec.json.encode(content).decode()


class Change(msgspec.Struct, frozen=True, kw_only=True):
    """One row of a record's history; ``before`` and ``after`` are bodies as JSON text.

    What one request did to several records bears one ``action_id``. ``undoes`` is the
    change that this one undid.
    """

    id: str
    action_id: str
    kind: str
    record_id: str
    version: int
    action: Action
    at: datetime
    member_id: str
    token_id: str
    undoes: str | None
    before: str | None
    after: str | None


class IfMatch(msgspec.Struct, frozen=True, kw_only=True):
    """What a caller says it saw before a change: nothing, any version, or one of
    several strong entity tags.

    Weak tags never match (RFC 9110, section 13.1.1), so whoever reads the header leaves
    them out of ``tags``.
    """

    given: bool = False
    any_version: bool = False
    tags: frozenset[str] = frozenset()

    def require(self, etag: str) -> None:
        """Raise ``Unconditional`` where nothing was said, ``Stale`` where ``etag`` is
        none of what was.
        """
        if not self.given:
            raise Unconditional(
                f"say which version you saw: the present one is If-Match: {etag}"
            )
        if not self.any_version and etag not in self.tags:
            then = f"read it again, make your change to that, and send If-Match: {etag}"
            raise Stale(f"its present version is not the one that you named: {then}")


UNCONDITIONAL = IfMatch()
ANY_VERSION = IfMatch(given=True, any_version=True)
