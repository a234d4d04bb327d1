"""Points that would let a train through if they were moved along: what that changes, and
which verdicts it turns.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal, NamedTuple

from msgspec.structs import replace

from standage.questions.move_answer import (
    MoveCure,
    MoveShift,
    MoveTurn,
    MoveVerdict,
    State,
)
from standage.questions.move_words import few
from standage.questions.moves_ground import NamedPlace, Surveyed
from standage.railway.moves.alterations import altered
from standage.railway.moves.ground import Ground
from standage.railway.moves.room import TOUCHING_MM
from standage.railway.moves.search import ANY_END, searched
from standage.railway.moves.shifts import MOST_STEPS, Shift, shifts
from standage.railway.moves.standing import Stand
from standage.railway.moves.stretches import stand_between
from standage.railway.moves.wanted import Finish, Wanted
from standage.railway.terms.figures import search_stopped, tidy
from standage.railway.terms.reasons import Assumed, Reason

MOST_SHIFTS = 10
_BY_STATE = ("planned", "laid", "fixed")
_NOTICED_MM = 0.05
_LONGEST = 190


class Shifted(NamedTuple):
    """The points that may be moved, least first, with what that rests on."""

    shifts: tuple[MoveShift, ...] = ()
    because: tuple[Reason, ...] = ()
    assumed: tuple[Assumed, ...] = ()


def shifted_points(
    known: Surveyed, wanted: Wanted, start: NamedPlace, goal: NamedPlace | None
) -> Shifted:
    """Return which points alone, moved along, let the train through; those first that
    are not laid yet, then those that are moved least.
    """
    found = shifts(known.ground, wanted)
    told = [
        _told(
            known,
            wanted,
            one,
            (start, goal),
        )
        for one in found.each
    ]
    told.sort(key=_order)
    because: tuple[Reason, ...] = ()
    if found.gave_up:
        message = f"{search_stopped(MOST_STEPS)}: other points may help too"
        because = (Reason(code="shifts_stopped", message=message),)
    assumed: tuple[Assumed, ...] = ()
    if told:
        assumed = (_SIDE_BY_SIDE,)
    return Shifted(tuple(told[:MOST_SHIFTS]), because, assumed)


_SIDE_BY_SIDE = Assumed(
    field="shifts",
    message=(
        "moved points take the curve beyond them along, and each leg's road gains or"
        " loses as much as they are moved: as where roads run side by side"
    ),
    source="common_practice",
)


def _order(shift: MoveShift) -> tuple[int, int, str]:
    states = [shift.state, *(one.state for one in shift.pieces)]
    return max(map(_BY_STATE.index, states)), shift.by_mm, shift.points


def _told(
    known: Surveyed,
    wanted: Wanted,
    shift: Shift,
    places: tuple[NamedPlace, NamedPlace | None],
) -> MoveShift:
    pieces = tuple(
        MoveCure(
            piece=known.network.piece_of[strand],
            lengthen_mm=round(change.by_mm),
            state=_state(known, known.network.piece_of[strand]),
        )
        for strand, change in shift.changes.items()
    )
    roads = tuple(_roads(known, wanted, shift))
    by_mm = {road: mm for road, mm, _ in roads}
    stands = tuple(turn for _, _, turn in roads if turn is not None)
    towards: Literal["toe", "legs"] = "toe" if shift.to_toe else "legs"
    return MoveShift(
        points=shift.points,
        by_mm=shift.by_mm,
        towards=towards,
        state=_state(known, shift.points),
        pieces=pieces,
        roads=by_mm,
        turns=(
            *_moves_turned(known, wanted, shift, places),
            *stands,
        ),
        message=_message(shift, towards, by_mm, stands),
    )


def _state(known: Surveyed, piece: str) -> State:
    return known.network.flat.pieces[piece].state or "planned"


def _message(
    shift: Shift,
    towards: str,
    roads: Mapping[str, float],
    stands: Sequence[MoveTurn],
) -> str:
    longer = [road for road, by_mm in roads.items() if by_mm > 0]
    shorter = [road for road, by_mm in roads.items() if by_mm < 0]
    lost = [one.place for one in stands if one.becomes == "impossible" and one.place]
    message = f"{few([shift.points])} moved {shift.by_mm} mm towards its {towards}"
    if longer:
        message += f" leaves more room in {few(longer)}"
    if shorter:
        message += f", less in {few(shorter)}"
    if lost:
        message += f"; the train stands no more in {few(lost)}"
    if len(message) <= _LONGEST:
        return message
    return f"{message[:_LONGEST]}…"


def _roads(
    known: Surveyed, wanted: Wanted, shift: Shift
) -> Iterator[tuple[str, float, MoveTurn | None]]:
    """Yield the roads that then hold more or less, by how many mm, and whether the train
    then stands in one where it did not, or no longer does.
    """
    for usable in known.found.usable:
        road = usable.road
        limits_mm = [limit.from_blades_mm for limit in usable.limits]
        stand = stand_between(road.courses, road.length_mm, limits_mm)
        if stand is None:
            continue
        before_mm = stand.length_mm
        after_mm = _then(known, wanted, shift, stand).length_mm
        by_mm = tidy(after_mm - before_mm)
        if abs(by_mm) < _NOTICED_MM:
            continue
        least_mm = wanted.train_mm - TOUCHING_MM
        turn = None
        if (before_mm >= least_mm) != (after_mm >= least_mm):
            becomes: MoveVerdict = "possible" if by_mm > 0 else "impossible"
            turn = MoveTurn(
                asked="standing",
                place=road.name,
                becomes=becomes,
            )
        yield road.name, by_mm, turn


def _then(known: Surveyed, wanted: Wanted, shift: Shift, stand: Stand) -> Stand:
    there = replace(wanted, start=stand)
    return altered(known.ground, there, shift.changes)[1].start


def _moves_turned(
    known: Surveyed,
    wanted: Wanted,
    shift: Shift,
    places: tuple[NamedPlace, NamedPlace | None],
) -> Iterator[MoveTurn]:
    start, goal = places
    out = None if goal is None else goal.name
    yield MoveTurn(
        asked="move",
        place=out,
        becomes="possible",
    )
    on, asked = altered(known.ground, wanted, shift.changes)
    for finish in searched(on, asked).finishes[:1]:
        back = _back(wanted, finish)
        if back is None:
            return
        then_on, then_back = altered(known.ground, back, shift.changes)
        was_possible = _gets_there(known.ground, back)
        if was_possible != _gets_there(then_on, then_back):
            becomes: MoveVerdict = "impossible" if was_possible else "possible"
            yield MoveTurn(
                asked="move_back",
                place=start.name,
                becomes=becomes,
            )


def _back(wanted: Wanted, finish: Finish) -> Wanted | None:
    """Return the way back of a train as it has come to its goal, to where it came from
    and as it stood there; None from outside the plan.
    """
    if wanted.goal is None or finish.engine_towards is None:
        return None
    return replace(
        wanted,
        start=wanted.goal,
        engine_towards=finish.engine_towards,
        stands_against=None,
        goal=wanted.start,
        ends_towards=wanted.engine_towards,
    )


def _gets_there(on: Ground, wanted: Wanted) -> bool:
    return bool(searched(on, wanted, ANY_END).finishes)
