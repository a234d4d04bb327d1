"""What a sheet of track makes otherwise than the plan that it is laid upon."""

from collections.abc import Iterable, Iterator
from typing import Annotated

import msgspec

from standage.exchange.plans.plan_in import PlanRead
from standage.railway.terms.figures import says
from standage.railway.track.plans.flat import end_of
from standage.railway.track.plans.plan import Plan

Joined = tuple[str, ...]


class PlanDifferences(msgspec.Struct, frozen=True, kw_only=True):
    """What a sheet makes otherwise than the plan has it; a row at fault, and what joins
    its piece, count for nothing.
    """

    pieces_added: Annotated[tuple[str, ...], says("Pieces that the plan lacks.")]
    pieces_changed: Annotated[tuple[str, ...], says("Pieces with other figures.")]
    pieces_left_out: Annotated[tuple[str, ...], says("Pieces that no row names.")]
    joins_added: Annotated[tuple[Joined, ...], says("Joins that the plan lacks.")]
    joins_left_out: Annotated[tuple[Joined, ...], says("Joins that no row tells.")]
    places_added: Annotated[tuple[str, ...], says("Places that the plan lacks.")]
    places_changed: Annotated[
        tuple[str, ...],
        says("Places otherwise: what a sheet cannot say of them is gone."),
    ]
    places_left_out: Annotated[
        tuple[str, ...],
        says("Places that no row names; none where no row names any, and all stay."),
    ]


def differences(before: Plan, read: PlanRead) -> PlanDifferences:
    """Return what the sheet that was read makes otherwise than ``before``."""
    was, now = before.pieces, read.plan.pieces
    kept = {*now, *(one.name for one in read.rows)}
    at_fault = {one.name for one in read.rows if one.faults and one.name is not None}
    joins_left_out = [
        join
        for join in _others(before.joins, read.plan.joins)
        if not _pieces_of(join) & at_fault
    ]
    places = {one.name: one for one in before.places}
    places_now = {one.name: one for one in read.plan.places}
    return PlanDifferences(
        pieces_added=tuple(name for name in now if name not in was),
        pieces_changed=tuple(
            name for name in now if name in was and now[name] != was[name]
        ),
        pieces_left_out=tuple(name for name in was if name not in kept),
        joins_added=tuple(_others(read.plan.joins, before.joins)),
        joins_left_out=tuple(joins_left_out),
        places_added=tuple(name for name in places_now if name not in places),
        places_changed=tuple(
            name
            for name, place in places_now.items()
            if name in places and place != places[name]
        ),
        places_left_out=tuple(name for name in places if name not in places_now),
    )


def _others(joins: Iterable[Joined], known: Iterable[Joined]) -> Iterator[Joined]:
    """Yield the joins that are not among ``known``, whichever end stands first."""
    there = {frozenset(join) for join in known}
    for join in joins:
        if frozenset(join) not in there:
            yield join


def _pieces_of(join: Joined) -> set[str]:
    return {end_of(end)[0] for end in join}
