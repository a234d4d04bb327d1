"""Which of our trains cannot get from where to where on this layout, worst first?"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, NamedTuple

import msgspec

from standage.questions.blocked_moves_answer import (
    BlockedMove,
    BlockedMovesAnswer,
    BlockedVerdict,
    MovesCounted,
    UnknownTrain,
)
from standage.questions.derived import DERIVED, Key
from standage.questions.move_answer import MoveVerdict
from standage.questions.move_judging import plus_minus_of, verdict_by_longest
from standage.questions.move_words import limit_words
from standage.questions.moved_train import (
    KnownTrain,
    TrainCase,
    known_train,
    overhang_assumed,
)
from standage.questions.moves_ground import MovesGround
from standage.questions.places_reached import (
    MOST_PLACES,
    LimitedBy,
    PlacesReached,
    PlanOfMoves,
)
from standage.questions.plan import PlanCase
from standage.questions.question import InPages, NeverWarns, Page, always
from standage.questions.question import Position as Beginning
from standage.questions.reckoning import with_warnings
from standage.questions.resolving.lookup import no_such
from standage.questions.resolving.trains import NamedTrain
from standage.questions.sources import Sources
from standage.railway.moves.reaching import Pair
from standage.railway.stock.couplings import CouplingKind
from standage.railway.terms.figures import IdOrName, agreeing, counted, cut, says, tidy
from standage.railway.terms.reasons import Reason
from standage.railway.terms.senses import ASIDE
from standage.railway.track.plans.near_names import NearNames, did_you_mean
from standage.railway.track.plans.plan import RoadName
from standage.registry.records.kinds import TRAINS
from standage.registry.records.reading import Listing
from standage.registry.records.revisions import MOST_NUMBER
from standage.shapes.faults import Fault, Faulty, all_of
from standage.shapes.paging import DEFAULT_LIMIT, Cursor, Limit

MOST_TRAINS = 200
"""So many trains are looked at, by name."""
MOST_LIMITING_STEPS = 150_000
"""So many courses are looked at for what limits the moves of one page."""
_FEWEST_PLACES = 2
_LISTED: tuple[MoveVerdict, ...] = ("impossible", "tight")


class BlockedMovesQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which plan is meant, which moves, and which page."""

    revision: Annotated[
        Annotated[int, msgspec.Meta(ge=1, le=MOST_NUMBER)] | None,
        says("The revision, by its number; the draft if not said."),
    ] = None
    train_id: Annotated[IdOrName | None, says("Only this train.")] = None
    from_place: Annotated[
        RoadName | None, says("Only moves from this place of the plan.")
    ] = None
    to_place: Annotated[RoadName | None, says("Only moves to this one.")] = None
    limit: Limit = DEFAULT_LIMIT
    cursor: Cursor | None = None


class _Row(msgspec.Struct, frozen=True, order=True, array_like=True):
    """Where a row stands in the order: what is certain first, then what is too long by
    most; the rest only settles which of two alike comes first.
    """

    rank: int
    spare_mm: float
    train_id: str
    longest_mm: float
    start: int = -1
    goal: int = -1


class BlockedMovesCase(msgspec.Struct, frozen=True, kw_only=True):
    """All that a page rests on: the plan, and the trains by name.

    ``reached`` and ``limited`` are what is known already of the plan's moves, kept under
    ``key``. ``more`` tells that there are more trains than are looked at.
    """

    ground: Annotated[MovesGround, ASIDE]
    trains: Annotated[tuple[NamedTrain, ...], ASIDE]
    types: Annotated[tuple[CouplingKind, ...], ASIDE]
    key: Annotated[Key, ASIDE]
    query: Annotated[BlockedMovesQuery, ASIDE]
    reached: Annotated[PlacesReached | None, ASIDE] = None
    limited: Annotated[Mapping[Pair, LimitedBy], ASIDE] = {}
    after: Annotated[_Row | None, ASIDE] = None
    more: bool = False


class _Lot(NamedTuple):
    """A train with the moves for which the longest is the same, and so the verdict."""

    train: NamedTrain
    known: KnownTrain
    longest_mm: float
    plus_minus_mm: float
    verdict: MoveVerdict
    pairs: Sequence[Pair]

    @property
    def short_by_mm(self) -> float:
        length_mm = self.known.length_mm
        if length_mm is None:
            length_mm = self.known.least_mm
        return tidy(length_mm - self.longest_mm)

    def row(self, pair: Pair) -> _Row:
        """Return where a move of the lot stands in the order."""
        return _Row(
            rank=_LISTED.index(self.verdict),
            spare_mm=-self.short_by_mm,
            train_id=self.train.id or "",
            longest_mm=self.longest_mm,
            start=pair[0],
            goal=pair[1],
        )


def reckon(case: BlockedMovesCase) -> Page[BlockedMovesAnswer]:
    """Return a page of the moves that are not possible; raises ``Faulty`` for a place
    that the plan does not have.
    """
    plan = PlanOfMoves(case.ground)
    reached = case.reached
    if reached is None:
        reached = plan.reached()
        size_bytes = len(msgspec.json.encode(reached))
        DERIVED.keep(case.key, reached, size_bytes=size_bytes)
    by_longest = _by_longest(reached, case.query)
    trains = [(one, _known(case, one)) for one in case.trains]
    lots = [
        lot for one, known in trains for lot in _lots(reached, one, known, by_longest)
    ]
    counts = _counted(lots)
    rows = _rows(lots, case.after, case.query.limit + 1)
    shown = rows[: case.query.limit]
    limiting = _Limiting(case, plan, reached)
    unknown = [(one, known) for one, known in trains if known.length_mm is None]
    answer = BlockedMovesAnswer(
        verdict=_verdict(counts, is_whole=not (case.more or reached.missing)),
        items=tuple(_told(reached, lot, pair, limiting) for lot, pair in shown),
        moves=counts,
        unknown_trains=tuple(_unknown(*each) for each in unknown),
        because=tuple(_because(case, reached, counts)),
        assumed=(*reached.assumed, overhang_assumed(None)),
    )
    then = None
    if len(rows) > len(shown):
        lot, pair = shown[-1]
        row = lot.row(pair)
        then = msgspec.json.encode(row).decode(), row.train_id
    return Page(answer=with_warnings(answer, case), then=then)


def _known(case: BlockedMovesCase, one: NamedTrain) -> KnownTrain:
    return known_train(TrainCase(train=one.train, types=case.types))


def _by_longest(
    reached: PlacesReached, query: BlockedMovesQuery
) -> dict[float | None, list[Pair]]:
    """Return the moves that are asked about, by their longest train."""
    start, goal = all_of(
        lambda: _place(reached, query.from_place, "from_place"),
        lambda: _place(reached, query.to_place, "to_place"),
    )
    found: dict[float | None, list[Pair]] = {}
    for pair, longest_mm in reached.pairs():
        if start in {None, pair[0]} and goal in {None, pair[1]}:
            found.setdefault(longest_mm, []).append(pair)
    return found


def _place(reached: PlacesReached, name: str | None, parameter: str) -> int | None:
    if name is None:
        return None
    if name in reached.places:
        return reached.places.index(name)
    for number, place in enumerate(reached.places):
        if place.casefold() == name.casefold():
            return number
    hint = did_you_mean([cut(one) for one in NearNames(reached.places).near(name)][:2])
    among = ""
    if len(reached.places) == MOST_PLACES:
        among = f" among its first {MOST_PLACES}"
    message = f"the plan names no place {cut(name)}{among}{hint}"
    raise Faulty([Fault(code="no_such_road", message=message, parameter=parameter)])


def _lots(
    reached: PlacesReached,
    train: NamedTrain,
    known: KnownTrain,
    by_longest: Mapping[float | None, Sequence[Pair]],
) -> Iterator[_Lot]:
    for longest_mm, pairs in by_longest.items():
        if longest_mm is None:
            yield _Lot(train, known, 0.0, 0.0, "cannot_tell", pairs)
            continue
        plus_minus_mm = plus_minus_of(reached.plus_minus, known, longest_mm)
        verdict = verdict_by_longest(known, longest_mm, plus_minus_mm)
        yield _Lot(train, known, longest_mm, plus_minus_mm, verdict, pairs)


def _counted(lots: Sequence[_Lot]) -> MovesCounted:
    counts = {"impossible": 0, "tight": 0, "possible": 0, "cannot_tell": 0}
    for lot in lots:
        counts[lot.verdict] += len(lot.pairs)
    return MovesCounted(**counts)


def _rows(
    lots: Sequence[_Lot], after: _Row | None, most: int
) -> list[tuple[_Lot, Pair]]:
    """Return the rows of a page, and one more where there is one."""
    listed = [lot for lot in lots if lot.verdict in _LISTED]
    listed.sort(key=lambda lot: lot.row(lot.pairs[0]))
    rows: list[tuple[_Lot, Pair]] = []
    for lot in listed:
        for pair in lot.pairs:
            if len(rows) == most:
                return rows
            if after is None or lot.row(pair) > after:
                rows.append((lot, pair))
    return rows


class _Limiting:
    """Says what limits moves, from what is kept or as long as there are steps."""

    def __init__(
        self, case: BlockedMovesCase, plan: PlanOfMoves, reached: PlacesReached
    ) -> None:
        self._case = case
        self._plan = plan
        self._longest_mm = reached.longest_mm
        self._known = dict(case.limited)
        self._steps = 0

    def of(self, pair: Pair, longest_mm: float) -> LimitedBy:
        """Return what limits the longest train for a move."""
        if longest_mm == 0:
            return LimitedBy()
        pair = self._either_way(pair)
        found = self._known.get(pair)
        if found is None:
            if self._steps > MOST_LIMITING_STEPS:
                return LimitedBy(gave_up=True)
            found = self._plan.limited_by(pair, longest_mm)
            self._known[pair] = found
            key = _limits_key(self._case.key, pair)
            size_bytes = len(msgspec.json.encode(found))
            DERIVED.keep(key, found, size_bytes=size_bytes)
        # What is kept counts as if it were found now, so that the answer is the same.
        self._steps += found.steps
        return found

    def _either_way(self, pair: Pair) -> Pair:
        """Return the move or the one back, where the longest train is the same."""
        start, goal = pair
        there_mm = self._longest_mm[start][goal]
        back_mm = self._longest_mm[goal][start]
        if there_mm == back_mm:
            return (min(pair), max(pair))
        return pair


def _limits_key(key: Key, pair: Pair) -> Key:
    return key._replace(of=f"{key.of} {pair[0]} {pair[1]}")


def _told(
    reached: PlacesReached, lot: _Lot, pair: Pair, limiting: _Limiting
) -> BlockedMove:
    start, goal = pair
    found = limiting.of(pair, lot.longest_mm)
    message = "no train gets there, however short"
    if lot.longest_mm > 0:
        message = limit_words(
            lot.longest_mm, found.pieces, found.roads, gave_up=found.gave_up
        )
    return BlockedMove(
        train_id=lot.train.id or "",
        train=lot.train.name,
        from_=reached.places[start],
        to=reached.places[goal],
        verdict="tight" if lot.verdict == "tight" else "impossible",
        longest_train_mm=lot.longest_mm,
        short_by_mm=lot.short_by_mm,
        plus_minus_mm=lot.plus_minus_mm or None,
        limited_by=found.pieces,
        message=message,
    )


def _unknown(train: NamedTrain, known: KnownTrain) -> UnknownTrain:
    return UnknownTrain(
        train_id=train.id or "", train=train.name, because=known.unknown
    )


def _verdict(counts: MovesCounted, *, is_whole: bool) -> BlockedVerdict:
    """Return what all moves together come to; ``is_whole`` where none was left out."""
    if counts.impossible:
        return "some_blocked"
    is_told = counts.tight or counts.possible
    if counts.cannot_tell or not is_whole or not is_told:
        return "cannot_tell"
    if counts.tight:
        return "tight"
    return "all_go"


def _because(
    case: BlockedMovesCase, reached: PlacesReached, counts: MovesCounted
) -> Iterator[Reason]:
    trains = counted(len(case.trains), "train")
    places = counted(len(reached.places), "place")
    impossible = counted(counts.impossible, "move")
    are = agreeing(counts.impossible, "is", "are")
    message = (
        f"{trains} and {places}: {impossible} {are} impossible,"
        f" {counts.tight} too close to call, {counts.possible} possible,"
        f" {counts.cannot_tell} cannot be told"
    )
    yield Reason(code="looked_at", message=message)
    if not case.trains:
        message = "there is no train on record: put your trains on record first"
        yield Reason(code="no_trains", message=message)
    if len(reached.places) < _FEWEST_PLACES:
        named = places if reached.places else "no places"
        message = (
            f"the plan names {named}: name two places or more in it, on the roads"
            " where trains stand"
        )
        yield Reason(code="no_places", message=message)
    if case.more:
        message = (
            f"the first {MOST_TRAINS} trains by name are looked at: ask for others by"
            " train_id"
        )
        yield Reason(code="too_many", message=message)
    yield from reached.missing


def gather(
    sources: Sources,
    ids: Mapping[str, str],
    query: BlockedMovesQuery,
    beginning: Beginning | None,
) -> BlockedMovesCase:
    """Return the case of one page: the layout's plan, what is kept of its moves, and the
    club's trains.
    """
    known = sources.plans.known_of_layout(ids["layout_id"], query.revision)
    after, trains = all_of(
        lambda: _after(beginning),
        lambda: _trains(sources, query),
    )
    types = sources.couplings.types()
    largest = sources.plans.largest_stock_of(known.plan, types)
    plan = PlanCase(
        plan=known.plan, largest=largest, faults=known.faults, assumed=known.assumed
    )
    key = known.key(sources.records.club_id, "moves", largest)
    reached = DERIVED.get(key)
    return BlockedMovesCase(
        ground=MovesGround(plan=plan),
        trains=tuple(trains[:MOST_TRAINS]),
        types=types,
        key=key,
        query=query,
        reached=reached,
        limited={} if reached is None else kept_limits(key, reached),
        after=after,
        more=len(trains) > MOST_TRAINS,
    )


def _after(beginning: Beginning | None) -> _Row | None:
    if beginning is None:
        return None
    try:
        return msgspec.json.decode(beginning[0], type=_Row)
    except msgspec.DecodeError as error:
        message = "is not a cursor of this list; begin again without it"
        fault = Fault(code="bad_cursor", message=message, parameter="cursor")
        raise Faulty([fault]) from error


def _trains(sources: Sources, query: BlockedMovesQuery) -> list[NamedTrain]:
    if query.train_id is None:
        found = sources.trains.listed(Listing(limit=MOST_TRAINS + 1))
    else:
        found = sources.trains.again(query.train_id)
        if not found:
            raise Faulty([no_such(TRAINS, parameter="train_id")])
    return [named for _, named in found]


def kept_limits(key: Key, reached: PlacesReached) -> dict[Pair, LimitedBy]:
    """Return what is kept of what limits the moves of a plan."""
    kept = {pair: DERIVED.get(_limits_key(key, pair)) for pair, _ in reached.pairs()}
    return {pair: found for pair, found in kept.items() if found is not None}


QUESTION = InPages(
    id="getLayoutPlanBlockedMoves",
    at="/v1/layouts/{layout_id}/blocked-moves",
    asks="Which of our trains cannot get from where to where, and what limits them?",
    tells=(
        "Every train on record between every two places that the layout's plan names,"
        " standing wherever suits best and with nothing else on the layout: what is not"
        " possible, worst first."
    ),
    parameters=BlockedMovesQuery,
    answer=BlockedMovesAnswer,
    gather=gather,
    reckon=reckon,
    example={},
    refused={"limit": 0},
    heavy=always,
    gathers_much=True,
    warns=NeverWarns("a plan warns of its track, and a train of its vehicles"),
)
