"""What does an alteration of a track plan change: pieces, roads, and every train's
verdicts?
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Annotated, NamedTuple

import msgspec

from standage.questions.asked import AskedNamedTrain, AskedPlan
from standage.questions.derived import DERIVED, Key
from standage.questions.example_stock import MILK_TRAIN
from standage.questions.moved_train import TrainCase, known_train
from standage.questions.moves_ground import MovesGround
from standage.questions.places_reached import PlacesReached, PlanOfMoves
from standage.questions.plan import MALT_HOUSE, PlanCase, surveyed
from standage.questions.plan_compare_answer import (
    CompareVerdict,
    PlanCompareAnswer,
    ToldChange,
    ToldPiece,
    ToldPieces,
    ToldTurn,
    Turning,
)
from standage.questions.plan_compare_materials import materials_of
from standage.questions.plan_compare_moves import MovesOfTwo
from standage.questions.plan_compare_roads import KeptRoad, with_kept
from standage.questions.plan_compare_words import (
    Turn,
    change_reasons,
    is_altered,
    road_words,
    turn_words,
)
from standage.questions.plan_reasons import assumed_of
from standage.questions.question import PLAN_BYTES, NeverWarns, Question, always
from standage.questions.reckoning import MayBeExact, as_written, said_exact, warned
from standage.questions.resolving.plans import KnownPlan
from standage.questions.resolving.trains import NamedTrain
from standage.questions.sources import Sources
from standage.railway.alterations.pieces_changed import (
    ChangedPiece,
    PiecesChanged,
    pieces_changed,
)
from standage.railway.alterations.roads_changed import (
    ChangedRoad,
    KnownRoad,
    known_roads,
    roads_changed,
)
from standage.railway.alterations.verdicts_changed import (
    Roads,
    verdicts_changed,
)
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.terms.figures import agreeing, counted, says
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.terms.senses import ASIDE
from standage.railway.track.survey.survey import Survey
from standage.shapes.faults import Ruled

MOST_TRAINS = 200
MOST_TURNS = 1_000
"""So many verdicts that turn are listed."""
_GOOD: dict[str, int] = {
    "fits": 2,
    "tight": 1,
    "does_not_fit": 0,
    "runs": 2,
    "marginal": 1,
    "does_not_run": 0,
    "possible": 2,
    "impossible": 0,
}
"""How good a verdict is. What nobody can tell is none of them."""
_ORDER: tuple[Turning, ...] = ("worse", "otherwise", "better")
_CUT_SHORT = frozenset({"search_stopped", "too_many"})
"""Why not all moves between the places of a sound plan are known."""


class PlanCompareRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """A plan as it is, as it might be, and the trains that are to run on it."""

    before: Annotated[AskedPlan, says("The plan as it is, given or on record.")]
    after: Annotated[AskedPlan, says("The plan as altered.")]
    trains: Annotated[
        Annotated[tuple[AskedNamedTrain, ...], msgspec.Meta(max_length=MOST_TRAINS)],
        says("The trains whose verdicts are compared."),
    ] = ()


class PlanOfTwo(msgspec.Struct, frozen=True, kw_only=True):
    """One of the two plans. What is known of its moves is kept under the ``key`` of a
    plan on record. ``kept`` are the places on record that its layout has.
    """

    case: PlanCase
    on_record: bool = False
    key: Key | None = None
    reached: PlacesReached | None = None
    kept: tuple[KeptRoad, ...] = ()


class PlanCompareCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on; ``more`` tells that there are more trains."""

    before: Annotated[PlanOfTwo, ASIDE]
    after: Annotated[PlanOfTwo, ASIDE]
    trains: Annotated[tuple[NamedTrain, ...], ASIDE]
    types: Annotated[tuple[CouplingKind, ...], ASIDE]
    more: bool = False


class _Known(NamedTuple):
    """One of the two plans with what follows from it."""

    found: Survey
    roads: dict[str, KnownRoad]
    held: Roads
    reached: PlacesReached | None


@as_written
def gather(sources: Sources, request: PlanCompareRequest) -> PlanCompareCase:
    """Return the case of two plans, given or on record, with the trains resolved."""
    types = sources.couplings.types()
    pointers = [f"/trains/{number}" for number in range(len(request.trains))]
    return PlanCompareCase(
        before=_asked(sources, request.before, "/before", types),
        after=_asked(sources, request.after, "/after", types),
        trains=sources.trains.several(request.trains, pointers),
        types=types,
    )


def _asked(
    sources: Sources, asked: AskedPlan, pointer: str, types: tuple[CouplingKind, ...]
) -> PlanOfTwo:
    known = sources.plans.asked(asked, pointer)
    if not asked.is_on_record:
        return PlanOfTwo(case=_case(known))
    return on_record(sources, known, types)


def _case(known: KnownPlan) -> PlanCase:
    return PlanCase(plan=known.plan, faults=known.faults, assumed=known.assumed)


def on_record(
    sources: Sources,
    known: KnownPlan,
    types: tuple[CouplingKind, ...],
    *,
    kept: bool = True,
) -> PlanOfTwo:
    """Return a plan of a layout as one of two, with what is kept of its moves; nothing
    is of one that is only thought of.
    """
    largest = sources.plans.largest_stock_of(known.plan, types)
    case = msgspec.structs.replace(_case(known), largest=largest)
    if not kept:
        return PlanOfTwo(case=case, on_record=True)
    key = known.key(sources.records.club_id, "moves", largest)
    return PlanOfTwo(case=case, on_record=True, key=key, reached=DERIVED.get(key))


@warned
def reckon(case: PlanCompareCase) -> PlanCompareAnswer:
    """Return what makes the second plan of ``case`` another than the first."""
    before, after = _known(case.before, case), _known(case.after, case)
    pieces = pieces_changed(before.found, after.found)
    roads = roads_changed(before.roads, after.roads)
    moves = _moves(before, after)
    turns = sorted(_turns(case, before, after, moves), key=_worst_first)
    faults = list(_faults(before.found, after.found))
    altered = is_altered(pieces, roads)
    taken = materials_of(before.found, after.found)
    return PlanCompareAnswer(
        verdict=_verdict(turns, altered=altered, faulty=bool(faults)),
        laid_to_come_up=tuple(one.piece for one in pieces.coming_up),
        pieces=_told_pieces(pieces),
        roads=tuple(_told_road(road) for road in roads),
        materials=taken.materials,
        verdicts=tuple(turns[:MOST_TURNS]),
        verdicts_left_out=max(0, len(turns) - MOST_TURNS),
        trains_compared=len(case.trains),
        because=(
            *change_reasons(pieces, roads, turns),
            *_nothing_turns(case, turns, altered=altered),
            *faults,
            *_about_trains(case),
            *_not_compared(before, after, moves),
        ),
        assumed=(*dict.fromkeys(_assumed(case, before, after)), *taken.assumed),
    )


def _known(one: PlanOfTwo, case: PlanCompareCase) -> _Known:
    found = surveyed(one.case)
    by_plan = known_roads(found, on_record=one.on_record)
    roads = with_kept(found, by_plan, one.kept)
    trains = [named.train for named in case.trains]
    return _Known(
        found=found,
        roads=roads,
        held=Roads(roads, trains, CouplingTypes(case.types)),
        reached=_reached(one) if trains else None,
    )


def _moves(before: _Known, after: _Known) -> MovesOfTwo | None:
    """Return the moves of both plans; None where there are no trains to move."""
    if before.reached is None or after.reached is None:
        return None
    return MovesOfTwo(before.reached, after.reached)


def _assumed(case: PlanCompareCase, before: _Known, after: _Known) -> Iterator[Assumed]:
    """Yield what either plan, and every train's verdict, rests on."""
    for of_plan, known in ((case.before, before), (case.after, after)):
        yield from of_plan.case.assumed
        yield from assumed_of(known.found)
        if case.trains:
            yield from known.held.assumed()
    yield from said_exact(case)


def _reached(one: PlanOfTwo) -> PlacesReached:
    """Return the longest train between every two places of a plan."""
    if one.reached is not None:
        return one.reached
    reached = PlanOfMoves(MovesGround(plan=one.case)).reached()
    if one.key is not None:
        size_bytes = len(msgspec.json.encode(reached))
        DERIVED.keep(one.key, reached, size_bytes=size_bytes)
    return reached


def _turns(
    case: PlanCompareCase, before: _Known, after: _Known, moves: MovesOfTwo | None
) -> Iterator[ToldTurn]:
    """Yield every verdict that turns."""
    roads = list(dict.fromkeys((*before.roads, *after.roads)))
    changed = verdicts_changed(
        before.held, after.held, trains=len(case.trains), roads=roads
    )
    for one in changed:
        named = case.trains[one.train]
        road = Turn(
            asked=one.asked,
            train=named.name,
            place=one.road,
            to=None,
            before=one.before,
            after=one.after,
            spare_mm=one.spare_mm,
        )
        yield _told_turn(road, named.id)
    if moves is not None:
        for named in case.trains:
            yield from _turned_moves(case, moves, named)


def _turned_moves(
    case: PlanCompareCase, moves: MovesOfTwo, named: NamedTrain
) -> Iterator[ToldTurn]:
    known = known_train(TrainCase(train=named.train, types=case.types))
    for one in moves.turned(known):
        yield _told_turn(Turn("moves", named.name, *one), named.id)


def _told_turn(turn: Turn, train_id: str | None) -> ToldTurn:
    return ToldTurn(
        question=turn.asked,
        train=turn.train,
        train_id=train_id,
        place=turn.place,
        to=turn.to,
        before=turn.before,
        after=turn.after,
        turns=_how(turn.before, turn.after),
        spare_mm=turn.spare_mm,
        message=turn_words(turn),
    )


def _how(before: str | None, after: str | None) -> Turning:
    """Return whether a verdict turns for the better; a road that is gone is worse, one
    that is new better.
    """
    if before is None:
        return "better"
    if after is None:
        return "worse"
    was, now = _GOOD.get(before), _GOOD.get(after)
    if was is None or now is None:
        return "otherwise"
    return "better" if now > was else "worse"


def _worst_first(turn: ToldTurn) -> tuple[int, bool, float, str, str, str, str]:
    """Return where a turn stands: for the worse first, and of those a road that is
    gone, then what is out by most.
    """
    is_gone = turn.after is None
    spare_mm = turn.spare_mm or 0.0
    return (
        _ORDER.index(turn.turns),
        not is_gone,
        spare_mm,
        turn.train,
        turn.question,
        turn.place,
        turn.to or "",
    )


def _verdict(
    turns: Sequence[ToldTurn], *, altered: bool, faulty: bool
) -> CompareVerdict:
    if faulty:
        return "cannot_tell"
    ways = {turn.turns for turn in turns}
    if ways >= {"better", "worse"}:
        return "mixed"
    # what is lost is lost, whatever of other trains nobody can tell
    if "worse" in ways:
        return "worse"
    if "otherwise" in ways:
        return "cannot_tell"
    if "better" in ways:
        return "better"
    return "no_verdict_turns" if altered else "same"


def _faults(before: Survey, after: Survey) -> Iterable[Reason]:
    for which, found in (("before", before), ("as altered", after)):
        many = len(found.faults)
        if many:
            are = agreeing(many, "is", "are")
            faults = counted(many, "fault")
            message = (
                f"there {are} {faults} in the plan {which}: ask what follows from that"
                " plan first"
            )
            yield Reason(code="plan_faults", message=message)


def _nothing_turns(
    case: PlanCompareCase, turns: Sequence[ToldTurn], *, altered: bool
) -> Iterable[Reason]:
    if altered and case.trains and not turns:
        message = "no verdict of these trains turns"
        yield Reason(code="no_verdict_turns", message=message)


def _about_trains(case: PlanCompareCase) -> Iterable[Reason]:
    if not case.trains:
        message = "no train is given or on record: no verdicts are compared"
        yield Reason(code="no_trains", message=message)
    if case.more:
        message = f"the first {MOST_TRAINS} trains by name are looked at"
        yield Reason(code="too_many", message=message)


def _not_compared(
    before: _Known, after: _Known, moves: MovesOfTwo | None
) -> Iterator[Reason]:
    """Yield why moves were not, or not all, held against each other."""
    if moves is None or before.reached is None or after.reached is None:
        return
    if not moves.shared:
        message = (
            "no two places bear the same names in both plans: no moves are compared"
        )
        yield Reason(code="no_moves", message=message)
    both = (*before.reached.missing, *after.reached.missing)
    for reason in dict.fromkeys(both):
        if reason.code in _CUT_SHORT:
            yield reason


def _told_pieces(pieces: PiecesChanged) -> ToldPieces:
    return ToldPieces(
        added=_told(pieces.added),
        removed=_told(pieces.removed),
        moved=_told(pieces.moved),
        altered=_told(pieces.altered),
        rejoined=_told(pieces.rejoined),
    )


def _told(pieces: Iterable[ChangedPiece]) -> tuple[ToldPiece, ...]:
    return tuple(
        ToldPiece(piece=one.piece, by_mm=one.by_mm, state=one.state) for one in pieces
    )


def _told_road(road: ChangedRoad) -> ToldChange:
    return ToldChange(
        name=road.name,
        before=road.before,
        after=road.after,
        message=road_words(road),
    )


def shorter_siding() -> Mapping[str, object]:
    """Return the malt house with a siding in which its train does not stand."""
    pieces = dict(MALT_HOUSE["pieces"])
    pieces["S2"] = {"kind": "straight", "length_mm": 480}
    return {**MALT_HOUSE, "pieces": pieces}


_TRAIN = {"name": "Evening milk", **MILK_TRAIN}
QUESTION = Question(
    id="checkPlanAlteration",
    at="/v1/checks/plan-compare",
    asks="What does an alteration change: track, roads, and which trains' verdicts?",
    tells=(
        "Both plans given or on record. Pieces are known by their names; what is laid"
        " and has to come up stands first. Every train is held against every road, and"
        " moved between every two named places, in both."
    ),
    request=PlanCompareRequest,
    answer=PlanCompareAnswer,
    gather=gather,
    reckon=reckon,
    heavy=always,
    most_bytes=2 * PLAN_BYTES,
    example={"before": shorter_siding(), "after": MALT_HOUSE, "trains": [_TRAIN]},
    refused={"before": MALT_HOUSE},
    warns=NeverWarns("a plan warns of its track, and a train of its vehicles"),
)
