"""The referee: plays a plan through on the wagons themselves and lists every rule that
it breaks.

Written without the search's code or figures: lists of names, and lengths added up anew.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import msgspec

from standage.railway.shunting.yard import Action, Puzzle, Siding, Visit
from standage.railway.terms.figures import goes_into, millimetres, tidy

_DONE: dict[Action, str] = {"pick": "picked up", "drop": "dropped"}


class Broken(msgspec.Struct, frozen=True, kw_only=True):
    """A rule that a plan breaks; ``step`` counts its visits from 1, and is 0 for what
    concerns the whole.
    """

    step: int
    message: str


class Position(msgspec.Struct, frozen=True, kw_only=True):
    """What stands where: on the engine from the engine outwards, in each siding from
    its points.
    """

    engine: tuple[str, ...]
    sidings: tuple[tuple[str, ...], ...]


class Cut(msgspec.Struct, frozen=True, kw_only=True):
    """A joint that a visit takes apart."""

    step: int
    siding: str
    before: str | None
    """The wagon that stays on the engine's side of the joint; None is the engine
    itself.
    """

    after: str
    """The wagon that is left."""

    by_hand: bool
    hand_reaches: bool | None
    """Whether a hand can reach the joint somewhere; None where nobody said where hands
    reach.
    """

    uncoupled_ahead: bool
    """Whether it can be done without a hand only by uncoupling in the headshunt and
    pushing on.
    """


def positions(puzzle: Puzzle, visits: Sequence[Visit]) -> list[Position]:
    """Return the position at the start and after each visit; wagons that a visit
    wrongly names stay where they are. **Source** common practice: a visit couples up to
    all that stands in the siding and cuts the line once.
    """
    found = [
        Position(
            engine=puzzle.start.engine,
            sidings=puzzle.start.sidings,
        )
    ]
    for visit in visits:
        found.append(_after(found[-1], _number(puzzle, visit), visit))
    return found


def broken(puzzle: Puzzle, visits: Sequence[Visit]) -> list[Broken]:
    """Return every rule of the yard that the plan breaks, and whether it misses the
    goal; empty where it is a plan. Lengths in mm are added up anew, and one that is
    equal to its room goes in. **Source** common practice of shunting; derived.
    """
    faults = [
        Broken(step=step, message=message)
        for step, message in _step_faults(puzzle, visits)
    ]
    last = positions(puzzle, visits)[-1]
    faults += [Broken(step=0, message=message) for message in _missed(puzzle, last)]
    over_mm = tidy(_engine_mm(puzzle, last) - puzzle.yard.headshunt_usable_length_mm)
    if over_mm > 0:
        message = (
            f"at the end the headshunt is {millimetres(over_mm)} too short for the"
            " engine and what is on it"
        )
        faults.append(Broken(step=0, message=message))
    return faults


def couplings(puzzle: Puzzle, visits: Sequence[Visit]) -> int:
    """Return how often the plan couples or uncouples. A pick that empties the siding,
    as a drop into an empty one, counts 1, any other visit 2. **Source** derived.
    """
    count = 0
    stops = pairwise(positions(puzzle, visits))
    for visit, (before, after) in zip(visits, stops, strict=True):
        number = _number(puzzle, visit)
        fewer = after if visit.action == "pick" else before
        count += 1
        if fewer.sidings[number]:
            # what else stands there is cut off or coupled to as well
            count += 1
    return count


def cuts(puzzle: Puzzle, visits: Sequence[Visit]) -> Iterator[Cut]:
    """Yield every joint that the plan takes apart, and whether that needs a hand.

    Free of hands is a cut whose joint can stand over an uncoupling place of the siding
    with all that is left clear inside it; or over one in the headshunt, with all that
    stays on the engine clear inside it, where couplings can be uncoupled ahead and
    pushed on. **Source** common practice for fixed uncoupling places.
    """
    reached = positions(puzzle, visits)[1:]
    for step, (visit, after) in enumerate(zip(visits, reached, strict=True), 1):
        number = _number(puzzle, visit)
        left = after.sidings[number]
        if left:
            yield _cut(puzzle, step, puzzle.yard.sidings[number], after, left)


def _cut(
    puzzle: Puzzle, step: int, siding: Siding, after: Position, left: tuple[str, ...]
) -> Cut:
    furthest_mm = tidy(siding.usable_length_mm - puzzle.length_mm(left))
    here = _stands_over(siding.uncoupling_places_mm, room_mm=furthest_mm)
    ahead = not here and _uncoupled_ahead(puzzle, after)
    hand_reaches: bool | None = None
    if siding.hand_reaches_from_mm is not None:
        hand_reaches = goes_into(siding.hand_reaches_from_mm, room_mm=furthest_mm)
    last_on_engine = next(reversed(after.engine), None)
    return Cut(
        step=step,
        siding=siding.name,
        before=last_on_engine,
        after=left[0],
        by_hand=not here and not ahead,
        hand_reaches=hand_reaches,
        uncoupled_ahead=ahead,
    )


def _uncoupled_ahead(puzzle: Puzzle, after: Position) -> bool:
    yard = puzzle.yard
    if not yard.uncoupled_ahead:
        return False
    room_mm = tidy(yard.headshunt_usable_length_mm - _engine_mm(puzzle, after))
    return _stands_over(yard.headshunt_uncoupling_places_mm, room_mm=room_mm)


def _stands_over(places_mm: Sequence[float] | None, *, room_mm: float) -> bool:
    """Tell whether a joint can stand over one of the places."""
    places_mm = places_mm or ()
    return any(goes_into(place_mm, room_mm=room_mm) for place_mm in places_mm)


def _number(puzzle: Puzzle, visit: Visit) -> int:
    names = [siding.name for siding in puzzle.yard.sidings]
    return names.index(visit.siding)


def _after(before: Position, number: int, visit: Visit) -> Position:
    standing, moved = before.sidings[number], visit.wagons
    engine = before.engine
    first_here = standing[: len(moved)]
    rest = standing[len(moved) :]
    # never less than 0: more wagons than there are would count from the wrong end
    kept = max(0, len(engine) - len(moved))
    if visit.action == "pick" and first_here == moved:
        engine, standing = engine + moved, rest
    elif visit.action == "drop" and engine[kept:] == moved:
        engine, standing = engine[:kept], moved + standing
    sidings = list(before.sidings)
    sidings[number] = standing
    return Position(
        engine=engine,
        sidings=tuple(sidings),
    )


def _step_faults(puzzle: Puzzle, visits: Sequence[Visit]) -> Iterator[tuple[int, str]]:
    before = Position(
        engine=puzzle.start.engine,
        sidings=puzzle.start.sidings,
    )
    previous: str | None = None
    for step, visit in enumerate(visits, 1):
        number = _number(puzzle, visit)
        siding = puzzle.yard.sidings[number]
        room_mm = _room_mm(puzzle, previous, visit.siding)
        if not goes_into(_engine_mm(puzzle, before), room_mm=room_mm):
            on_the_way = f"the {millimetres(room_mm)} on the way to {siding.name}"
            yield step, f"the engine and what is on it do not fit {on_the_way}"
        after = _after(before, number, visit)
        if after == before:
            yield step, _cannot_be_done(visit)
        left_mm = puzzle.length_mm(after.sidings[number])
        if not goes_into(left_mm, room_mm=siding.usable_length_mm):
            yield step, f"what is left does not fit {siding.name}"
        before, previous = after, visit.siding


def _cannot_be_done(visit: Visit) -> str:
    what = ", ".join(visit.wagons) or "nothing"
    done = _DONE[visit.action]
    return f"{what} cannot be {done} there: another wagon comes first"


def _room_mm(puzzle: Puzzle, one: str | None, other: str) -> float:
    """Return the most room for a trip from one siding (None: from the headshunt)
    straight to another.
    """
    longest_mm = puzzle.yard.headshunt_usable_length_mm
    if one == other:
        return longest_mm
    for room in puzzle.yard.rooms:
        if set(room.between) == {one, other}:
            longest_mm = max(longest_mm, room.room_mm)
    return longest_mm


def _engine_mm(puzzle: Puzzle, position: Position) -> float:
    string_mm = puzzle.length_mm(position.engine)
    return puzzle.engine_length_mm + string_mm


def _missed(puzzle: Puzzle, last: Position) -> Iterator[str]:
    goal = puzzle.goal
    sidings = puzzle.yard.sidings
    wanted = goal.contents(sidings)
    others = 0
    for siding, standing, asked in zip(sidings, last.sidings, wanted, strict=True):
        if asked is None:
            others += bool(standing)
        elif standing != asked:
            yield f"{siding.name} does not hold the wagons that it should"
    if goal.engine is not None and last.engine != goal.engine:
        yield "the wagons on the engine are not those that should be on it"
    if goal.rest != "anywhere" and last.engine:
        yield "a wagon is on the engine at the end"
    if goal.rest == "one_siding" and others > 1:
        yield "the other wagons are not in one siding"
