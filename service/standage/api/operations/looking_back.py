"""A page of what was done in a club, read by the history, the deletions and the refused
changes alike: newest first, with the names of who did it.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from standage.api import rights
from standage.api.operations.record_words import WORDS
from standage.api.web.call import Call, Reply
from standage.api.web.operation import known
from standage.api.web.pages import PageAsked, page_asked
from standage.registry.records.kinds import KINDS
from standage.registry.records.reading import Listing, Reading
from standage.registry.records.record import Part, Principal
from standage.registry.writing.history import names_of_members

Told = dict[str, Any]
Names = Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class Page:
    """One thing more than the page may hold, and what names the page that follows."""

    asked: PageAsked
    listing: Listing
    things: Sequence[Any]
    members: Names


def listing_of(asked: PageAsked, filters: Sequence[str]) -> Listing:
    """Return the part of the list that is wanted, and one more; raises ``Faulty`` for a
    cursor of another list.
    """
    query = asked.query
    wanted = {name: query[name] for name in filters if query[name] is not None}
    return Listing(
        filters=wanted,
        descending=query["sort"].startswith("-"),
        after=asked.after(),
        limit=asked.limit + 1,
    )


def gathering(
    path: str,
    filters: Sequence[str],
    find: Callable[[Reading, Call, Listing], Sequence[Any]],
) -> Callable[[Reading | None, Call], Page]:
    """Return what gathers a page of the list at ``path``: ``find`` returns the things
    that a listing is of.
    """

    def gather(reading: Reading | None, call: Call) -> Page:
        asked = page_asked(call, path)
        listing = listing_of(asked, filters)
        things = find(known(reading), call, listing)
        members = names_in(known(reading), call.club_id, things)
        return Page(
            asked=asked,
            listing=listing,
            things=things,
            members=members,
        )

    return gather


def reporting(
    told: Callable[[Any, Names], Told],
    place: Callable[[Any, Listing], tuple[str, str]],
) -> Callable[[Page], Reply]:
    """Return what answers with a page; ``place`` returns where in the order one thing
    stands.
    """

    def report(page: Page) -> Reply:
        shown = page.things[: page.asked.limit]
        items = [told(thing, page.members) for thing in shown]
        content = {"items": items}
        if len(page.things) <= len(shown):
            return page.asked.answer(content, None)
        last = place(shown[-1], page.listing)
        return page.asked.answer(content, last)

    return report


def names_in(reading: Reading, club_id: str, things: Sequence[Any]) -> Names:
    """Return what the members who did those things are called, by their ids."""
    ids = {thing.member_id for thing in things}
    return names_of_members(reading.connection, club_id, ids)


def called(member_id: str, members: Names) -> Told:
    """Return the member's name as it is told; nothing where the member is gone."""
    name = members.get(member_id)
    if name is None:
        return {}
    return {"member_name": name}


@cache
def _hidden_from(role: Part) -> frozenset[str]:
    reading = {name: f"get{WORDS[name].noun}" for name in KINDS}
    return frozenset(
        name
        for name, operation_id in reading.items()
        if rights.RIGHTS[operation_id].whose(role) is None
    )


def hidden_for(principal: Principal) -> frozenset[str]:
    """Return the kinds whose records ``principal`` may not read, and so is told nothing
    of their history.
    """
    return _hidden_from(principal.role)
