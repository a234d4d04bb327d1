"""Which of our trains fit which places of this layout? Every train against every
place.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated

import msgspec

from standage.questions.example_stock import SHORT_ON_RECORD
from standage.questions.question import InPages, Page, Shows
from standage.questions.question import Position as Beginning
from standage.questions.reckoning import (
    NOT_YET,
    Warnings,
    or_a_plan,
    surveying,
    with_warnings,
)
from standage.questions.resolving.trains import NamedTrain
from standage.questions.sources import NamedPlace, Sources
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.standing.crosswise import Crosswise
from standage.railway.standing.verdicts import WORST_FIRST, FitVerdict
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.terms.figures import agreeing, counted, says
from standage.railway.terms.reasons import Assumed, Reason
from standage.registry.records.kinds import TRAINS
from standage.registry.records.reading import Listing, Position, position
from standage.registry.records.record import Record
from standage.shapes.paging import DEFAULT_LIMIT, Cursor, Limit, Next, NextCursor

MOST_TRAINS = 200
"""So many trains a page looks at where only some pairs are wanted."""
MOST_REASONS = 3
HEAVY_PAIRS = 4_000
"""More pairs to look at are reckoned in a process of their own."""


class After(msgspec.Struct, frozen=True, kw_only=True):
    """Where a page begins: just after that train, by its name's position, in that
    place.
    """

    train: Position
    place_id: str


class Wanted(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which pairs of a train and a place are wanted; None is any."""

    verdict: Annotated[FitVerdict | None, says("Only pairs of this verdict.")] = None
    standing: Annotated[
        FitVerdict | None, says("Only pairs of which this was found of standing.")
    ] = None
    reaching: Annotated[
        CurveVerdict | None,
        says("Only pairs of which this was found of reaching the place."),
    ] = None

    @property
    def any(self) -> bool:
        """Whether every pair is wanted."""
        return self.verdict is None and self.standing is None and self.reaching is None


_ANY = Wanted()


class LayoutFitsQuery(Wanted, frozen=True, kw_only=True):
    """Which pairs are wanted, and which page."""

    limit: Limit = DEFAULT_LIMIT
    cursor: Cursor | None = None


class LayoutFitsCase(msgspec.Struct, frozen=True, kw_only=True):
    """All that a page rests on: trains by name from the one the page begins in, and all
    places by name.

    The first train's pairs up to ``skip`` places are on the page before. ``more`` tells
    that there are more trains.
    """

    places: tuple[NamedPlace, ...]
    trains: tuple[NamedTrain, ...]
    positions: tuple[Position, ...]
    skip: int
    more: bool
    limit: int
    wanted: Wanted = _ANY
    types: tuple[CouplingKind, ...] = ()


class TrainInPlace(msgspec.Struct, frozen=True, kw_only=True):
    """One train in one place."""

    train_id: Annotated[str | None, says("The train's id.")]
    train: Annotated[str, says("What the train is called.")]
    place_id: Annotated[str | None, says("The place's id.")]
    place: Annotated[str, says("What the place is called.")]
    verdict: Annotated[
        FitVerdict,
        says(
            "That of standing; does_not_fit where the train does not run there for"
            " certain."
        ),
    ]
    standing: Annotated[
        FitVerdict, says("Whether it stands clear there, however it comes there.")
    ]
    reaching: Annotated[
        CurveVerdict,
        says(
            "Whether it gets there; cannot_tell where a figure is missing, or the place"
            " says nothing of its curves."
        ),
    ]
    spare_mm: Annotated[
        float | None, says("What is left there, in mm; null where not known.")
    ]
    plus_minus_mm: Annotated[
        float | None, says("How far off that may be, either way, in mm.")
    ]
    because: Annotated[tuple[Reason, ...], says("The worst reasons, three at most.")]


class LayoutFitsAnswer(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A page of pairs, by the train's name and then the place's."""

    verdict: Annotated[FitVerdict, says("The worst verdict of this page.")]
    items: Annotated[
        tuple[TrainInPlace, ...],
        says(
            "The pairs; where only some are wanted a page may hold fewer than its"
            " limit."
        ),
    ]
    looked_at: Annotated[int, says("How many pairs this page looked at.")]
    because: Annotated[tuple[Reason, ...], says("What this page comes to, in words.")]
    assumed: Annotated[
        tuple[Assumed, ...], says("Every figure of a place that nobody measured.")
    ]
    next: Next = None
    next_cursor: NextCursor = None
    warnings: Warnings = NOT_YET


def is_heavy(case: LayoutFitsCase) -> bool:
    """Tell whether there is much to look at."""
    return not case.wanted.any and len(case.trains) * len(case.places) > HEAVY_PAIRS


@surveying
def reckon(case: LayoutFitsCase) -> Page[LayoutFitsAnswer]:
    """Return a page of pairs: so many as are wanted, or as many as the trains at hand
    give.
    """
    places = [one.place for one in case.places]
    crosswise = Crosswise(
        [one.train for one in case.trains],
        places,
        known_by=[one.known_by for one in case.places],
        types=CouplingTypes(case.types),
    )
    items: list[TrainInPlace] = []
    last: tuple[int, int] | None = None
    looked_at = 0
    for train, place in _pairs(case):
        if len(items) == case.limit:
            break
        last, looked_at = (train, place), looked_at + 1
        if _is_wanted(case.wanted, crosswise, train, place):
            items.append(_item(case, crosswise, train, place))
    counts = {
        verdict: sum(item.verdict == verdict for item in items)
        for verdict in WORST_FIRST
    }
    answer = LayoutFitsAnswer(
        verdict=next((verdict for verdict in WORST_FIRST if counts[verdict]), "fits"),
        items=tuple(items),
        looked_at=looked_at,
        because=(_said(looked_at, counts),),
        assumed=tuple(
            dict.fromkeys(
                one for ground in crosswise.grounds for one in ground.given.assumed
            )
        ),
    )
    return Page(answer=with_warnings(answer, case), then=_then(case, last))


def _is_wanted(wanted: Wanted, crosswise: Crosswise, train: int, place: int) -> bool:
    if wanted.reaching not in {None, crosswise.reaching(train, place)}:
        return False
    if wanted.verdict is not None and wanted.verdict != crosswise.verdict(train, place):
        return False
    return wanted.standing is None or wanted.standing == crosswise.standing(
        train, place
    )


def _pairs(case: LayoutFitsCase) -> Iterator[tuple[int, int]]:
    for train in range(len(case.trains)):
        first = case.skip if train == 0 else 0
        for place in range(first, len(case.places)):
            yield train, place


def _item(
    case: LayoutFitsCase, crosswise: Crosswise, train: int, place: int
) -> TrainInPlace:
    paired = crosswise.pair(train, place)
    return TrainInPlace(
        train_id=case.trains[train].id,
        train=case.trains[train].name,
        place_id=case.places[place].id,
        place=case.places[place].name,
        verdict=paired.verdict,
        standing=paired.standing,
        reaching=paired.reaching,
        spare_mm=paired.spare_mm,
        plus_minus_mm=paired.plus_minus_mm,
        because=paired.because[:MOST_REASONS],
    )


def _then(case: LayoutFitsCase, last: tuple[int, int] | None) -> Beginning | None:
    """Return where the next page begins; None where there is nothing after the last
    pair that was looked at.
    """
    very_last = (len(case.trains) - 1, len(case.places) - 1)
    if last is None:
        if not case.positions or not case.places:
            return None
        last = very_last
    if last == very_last and not case.more:
        return None
    train, place = last
    value, train_id = case.positions[train]
    place_id = case.places[place].id or ""
    return value, f"{train_id} {place_id}"


def _said(looked_at: int, counts: dict[FitVerdict, int]) -> Reason:
    pairs = counted(
        looked_at, "pair of a train and a place", plural="pairs of a train and a place"
    )
    message = (
        f"{pairs} on this page: {counts['fits']}"
        f" {agreeing(counts['fits'], 'fits', 'fit')}, {counts['tight']} too close to"
        f" call, {counts['does_not_fit']}"
        f" {agreeing(counts['does_not_fit'], 'does not fit', 'do not fit')},"
        f" {counts['cannot_tell']} cannot be told"
    )
    return Reason(code="looked_at", message=message)


def _pair(beginning: Beginning | None) -> After | None:
    """Return the pair that a page begins after: the train's place in the order, then
    the two ids.
    """
    if beginning is None:
        return None
    value, ids = beginning
    train_id, _, place_id = ids.partition(" ")
    return After(
        train=(value, train_id),
        place_id=place_id,
    )


def gather(
    sources: Sources,
    ids: Mapping[str, str],
    query: LayoutFitsQuery,
    beginning: Beginning | None,
) -> LayoutFitsCase:
    """Return the case of one page: its trains, as few as it needs, and all places of
    the layout.

    A train that was renamed or deleted since the page before is passed over with what
    was left of it.
    """
    layout = sources.places.layout_at(ids["layout_id"])
    after, limit = _pair(beginning), query.limit
    wanted = Wanted(
        verdict=query.verdict, standing=query.standing, reaching=query.reaching
    )
    most = -(-limit // max(1, len(layout.places))) + 1 if wanted.any else MOST_TRAINS
    first, skip = ([], 0) if after is None else _first(sources, layout.places, after)
    listing = Listing(
        after=None if after is None else after.train,
        limit=most + 1,
    )
    found = [*first, *sources.trains.listed(listing)]
    shown = found[: most + len(first)]
    return LayoutFitsCase(
        places=layout.places,
        trains=tuple(named for _, named in shown),
        positions=tuple(position(TRAINS, record) for record, _ in shown),
        skip=skip,
        more=len(found) > len(shown),
        limit=limit,
        wanted=wanted,
        types=sources.couplings.types(),
    )


def _first(
    sources: Sources, places: tuple[NamedPlace, ...], after: After
) -> tuple[list[tuple[Record, NamedTrain]], int]:
    """Return the train in which the page before ended, with how many places to skip;
    none if there is nothing left.
    """
    at = next(
        (number for number, one in enumerate(places) if one.id == after.place_id), None
    )
    if at is None or at + 1 == len(places):
        return [], 0
    again = [
        one
        for one in sources.trains.again(after.train[1])
        if position(TRAINS, one[0]) == after.train
    ]
    return again, at + 1 if again else 0


QUESTION = InPages(
    id="getLayoutFits",
    at="/v1/layouts/{layout_id}/fits",
    asks="Which of our trains fit which places of this layout?",
    tells=(
        "Every train on record against every place, by the train's name and then the"
        " place's: whether it stands there, and whether it gets there."
    ),
    parameters=LayoutFitsQuery,
    answer=LayoutFitsAnswer,
    gather=gather,
    reckon=reckon,
    heavy=or_a_plan(is_heavy),
    example={},
    warns=Shows("unit", "usable_length_mm", recorded=SHORT_ON_RECORD),
)
