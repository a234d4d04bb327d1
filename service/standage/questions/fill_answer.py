"""What the question of how full roads are answers, and how full in words."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Annotated

import msgspec

from standage.questions.reckoning import NOT_YET, Warnings
from standage.questions.sources import NamedPlace
from standage.railway.standing.capacity import Row, apart
from standage.railway.stock.extents import lacking
from standage.railway.storing.fill import (
    CROWDED_UP_TO,
    WORKS_UP_TO,
    Fill,
    FillVerdict,
    together,
)
from standage.railway.storing.holding import UNKNOWN, InVehicles, in_vehicles
from standage.railway.terms.figures import agreeing, millimetres, says, tidy
from standage.railway.terms.reasons import Assumed, Reason

Holds = Annotated[
    int | None,
    says("How many of the vehicle stand there, coupled; null without one."),
]
WorksWith = Annotated[
    int | None,
    says("Half of what they hold, rounded down; fewer where half the length asks it."),
]
CrowdedFrom = Annotated[
    int | None,
    says(
        "Four-fifths of what they hold, rounded up; fewer where the length asks it, null"
        " where all of them can be worked."
    ),
]


class HowFull(msgspec.Struct, frozen=True, kw_only=True):
    """How much of a length is taken."""

    verdict: Annotated[
        FillVerdict,
        says(
            "works: at most half; crowded: at most four-fifths; full: beyond that;"
            " over_full: more than there is."
        ),
    ]
    held_mm: Annotated[
        float, says("What the trains take up, the gaps between them included, in mm.")
    ]
    usable_mm: Annotated[
        float | None,
        says("The usable length, in mm; null where not all of it is known."),
    ]
    part: Annotated[
        float | None,
        says("The part of it that is taken: 0.5 is half; null where not known."),
    ]
    left_mm: Annotated[
        float | None,
        says("What is left, in mm; less than 0 where more is asked than there is."),
    ]
    holds: Holds
    works_with: WorksWith
    crowded_from: CrowdedFrom


class RoadFill(HowFull, frozen=True, kw_only=True):
    """How full one road is."""

    road: Annotated[str, says("What the road is called.")]
    place_id: Annotated[str | None, says("Its id, where it is on record.")]
    trains: Annotated[tuple[str, ...], says("The trains in it.")]


class FillAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How full each road is, the fiddle yard, and all of it, against half and
    four-fifths (common practice).
    """

    verdict: Annotated[FillVerdict, says("How full all of it is.")]
    roads: Annotated[
        tuple[RoadFill, ...],
        says("Every road; none where there are too many to be allotted."),
    ]
    yard: Annotated[
        HowFull | None,
        says("The fiddle-yard roads together; null where there are none or not told."),
    ]
    layout: Annotated[
        HowFull,
        says("All roads together, with every train, those that have no road too."),
    ]
    left_over: Annotated[tuple[str, ...], says("The trains that have no road.")]
    works_up_to: Annotated[float, says("Up to this part a yard works.")]
    crowded_up_to: Annotated[
        float, says("Beyond this part there is no room to work in.")
    ]
    holds: Holds
    works_with: WorksWith
    crowded_from: CrowdedFrom
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


def how_full(full: Fill, counted: InVehicles) -> HowFull:
    return HowFull(
        verdict=full.verdict,
        held_mm=full.held_mm,
        usable_mm=full.usable_mm,
        part=full.part,
        left_mm=full.left_mm,
        holds=counted.holds,
        works_with=counted.works_with,
        crowded_from=counted.crowded_from,
    )


def counted_in(row: Row | None, roads: Iterable[NamedPlace]) -> InVehicles:
    """Return how many of a type roads hold; nothing where none is asked about."""
    if row is None:
        return UNKNOWN
    return in_vehicles(row, [one.place.usable_length_mm for one in roads])


def yard_fill(
    roads: Sequence[NamedPlace], fills: Sequence[Fill], row: Row | None
) -> HowFull | None:
    """Return how full the fiddle yard is; None where there is none or it is not told
    road by road.
    """
    both = zip(roads, fills, strict=False)
    yard = [(one, full) for one, full in both if one.place.kind == "storage_road"]
    if not yard:
        return None
    stored, filled = zip(*yard, strict=True)
    return how_full(together(filled), counted_in(row, stored))


def over_full(roads: Sequence[NamedPlace], fills: Sequence[Fill]) -> Iterator[Reason]:
    """Yield each road that is asked to hold more than there is of it, however empty the
    others are.
    """
    for one, full in zip(roads, fills, strict=False):
        if full.verdict == "over_full" and full.usable_mm is not None:
            short_mm = tidy(full.held_mm - full.usable_mm)
            message = f"{one.name} is {millimetres(short_mm)} too short for its trains"
            yield Reason(
                code="road_over_full",
                message=message,
                place=one.name,
                amount_mm=short_mm,
            )


def of_the_vehicle(
    row: Row | None, counted: InVehicles, *, roads: int
) -> Iterator[Reason]:
    """Yield in words how many of a type so many roads hold, or what is to be measured
    of it.
    """
    if row is None:
        return
    parts = (row.vehicle, row.joint, row.free_ends)
    yield from lacking(missing for part in parts for missing in part.missing)
    if counted.holds is None or roads == 0:
        return
    hold = agreeing(roads, "the road holds", "the roads together hold")
    message = f"{row.name}: {hold} {counted.holds}"
    if counted.holds:
        message += f", and {agreeing(roads, 'works', 'work')} with {counted.works_with}"
    if counted.crowded_from is not None:
        message += f"; from {counted.crowded_from} on there is hardly room to work in"
    yield Reason(code="in_vehicles", message=message, vehicle=row.name)
    yield from apart(row)


def rounded(row: Row | None) -> Iterator[Assumed]:
    """Yield how vehicles of a type are counted."""
    if row is None:
        return
    message = (
        "half of the vehicles held, rounded down, and four-fifths of them, rounded up,"
        " kept in step with the length they take; neither ± nor room for stopping counts"
    )
    yield Assumed(field="works_with", message=message, source="common_practice")
    if row.unsaid:
        message = (
            f"{row.name}: its couplings count with the longest that they may be, as"
            " nobody named them"
        )
        yield Assumed(field="vehicle", message=message, source="typical")


def _share(part: float) -> str:
    """Return a part in per cent, where what is just over a limit is not told as the
    limit itself.
    """
    shown = f"{part:.0%}"
    for limit in (WORKS_UP_TO, CROWDED_UP_TO, 1.0):
        if part > limit and shown == f"{limit:.0%}":
            return f"just over {shown}"
    return shown


def in_all(whole: Fill) -> Reason:
    if whole.part is None:
        return _of_no_part(whole)
    words = {
        "works": "it can be worked",
        "crowded": "it is crowded: a yard works at half of what it holds",
        "full": "it is full: beyond four-fifths there is no room to work in",
        "over_full": "there is more than it holds",
    }
    message = (
        f"{_share(whole.part)} of the length is taken;"
        f" {words.get(whole.verdict, 'nobody can tell')}"
    )
    return Reason(
        code=whole.verdict,
        message=message,
        value_mm=whole.held_mm,
        limit_mm=whole.usable_mm,
    )


def _of_no_part(whole: Fill) -> Reason:
    """Return why no part of the length can be told: there is none, or not all of it is
    known.
    """
    if whole.usable_mm == 0:
        message = "there is no length of road for trains to stand in"
        return Reason(code="no_length", message=message, value_mm=whole.held_mm)
    if whole.verdict == "over_full":
        message = "there is more than it holds, whatever is not known yet"
        return Reason(
            code="over_full",
            message=message,
            value_mm=whole.held_mm,
            limit_mm=whole.usable_mm,
        )
    message = "not every length is known, so nobody can tell how full it is"
    return Reason(code="not_all_known", message=message)
