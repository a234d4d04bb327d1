"""The referee: plays a plan through on the wagons themselves and lists every rule that
it breaks.

Written without the search's code or figures: lists of names, and lengths added up anew.
"""

from collections.abc import Iterator, Sequence

import msgspec

from standage.railway.shunting.yard import Action, Puzzle, Siding, Visit
from standage.railway.terms.comparison import goes_into
from standage.railway.terms.figures import tidy
from standage.railway.terms.phrases import millimetres

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
    wrongly names stay where they are.
    """
    found = [Position(engine=puzzle.start.engine, sidings=puzzle.start.sidings)]
    for visit in visits:
        found.append(_after(found[-1], _number(puzzle, visit), visit))
    return found


def broken(puzzle: Puzzle, visits: Sequence[Visit]) -> list[Broken]:
    """Return every rule of the yard that the plan breaks, and whether it misses the
    goal; empty where it is a plan.
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
    """Return how often the plan couples or uncouples."""
    count = 0
    for visit, before, after in zip(
        visits, positions(puzzle, visits), positions(puzzle, visits)[1:], strict=False
    ):
        number = _number(puzzle, visit)
        other = (
            after.sidings[number] if visit.action == "pick" else before.sidings[number]
        )
        count += 2 if other else 1
    return count


def cuts(puzzle: Puzzle, visits: Sequence[Visit]) -> Iterator[Cut]:
    """Yield every joint that the plan takes apart, and whether that needs a hand.

    Free of hands is a cut whose joint can stand over an uncoupling place of the siding
    with all that is left clear inside it; or over one in the headshunt, with all that
    stays on the engine clear inside it, where couplings can be uncoupled ahead and
    pushed on.
    """
    for step, (visit, after) in enumerate(
        zip(visits, positions(puzzle, visits)[1:], strict=True), 1
    ):
        siding, left = (
            puzzle.yard.sidings[_number(puzzle, visit)],
            after.sidings[_number(puzzle, visit)],
        )
        if left:
            yield _cut(puzzle, step, siding, after, left)


def _cut(
    puzzle: Puzzle, step: int, siding: Siding, after: Position, left: tuple[str, ...]
) -> Cut:
    furthest_mm = tidy(siding.usable_length_mm - puzzle.length_mm(left))
    here = any(
        goes_into(place_mm, room_mm=furthest_mm)
        for place_mm in siding.uncoupling_places_mm or ()
    )
    room_mm = tidy(puzzle.yard.headshunt_usable_length_mm - _engine_mm(puzzle, after))
    places = (
        puzzle.yard.headshunt_uncoupling_places_mm or ()
        if puzzle.yard.uncoupled_ahead
        else ()
    )
    reach_mm = siding.hand_reaches_from_mm
    ahead = not here and any(
        goes_into(place_mm, room_mm=room_mm) for place_mm in places
    )
    return Cut(
        step=step,
        siding=siding.name,
        before=after.engine[-1] if after.engine else None,
        after=left[0],
        by_hand=not here and not ahead,
        hand_reaches=(
            None if reach_mm is None else goes_into(reach_mm, room_mm=furthest_mm)
        ),
        uncoupled_ahead=ahead,
    )


def _number(puzzle: Puzzle, visit: Visit) -> int:
    return [siding.name for siding in puzzle.yard.sidings].index(visit.siding)


def _after(before: Position, number: int, visit: Visit) -> Position:
    standing, moved = before.sidings[number], visit.wagons
    engine = before.engine
    if visit.action == "pick" and standing[: len(moved)] == moved:
        engine, standing = engine + moved, standing[len(moved) :]
    elif visit.action == "drop" and moved and engine[-len(moved) :] == moved:
        engine, standing = engine[: -len(moved)], moved + standing
    sidings = (*before.sidings[:number], standing, *before.sidings[number + 1 :])
    return Position(engine=engine, sidings=sidings)


def _step_faults(puzzle: Puzzle, visits: Sequence[Visit]) -> Iterator[tuple[int, str]]:
    before = Position(engine=puzzle.start.engine, sidings=puzzle.start.sidings)
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
            what = ", ".join(visit.wagons) or "nothing"
            yield (
                step,
                (
                    f"{what} cannot be {_DONE[visit.action]} there: another wagon comes"
                    " first"
                ),
            )
        if not goes_into(
            puzzle.length_mm(after.sidings[number]), room_mm=siding.usable_length_mm
        ):
            yield step, f"what is left does not fit {siding.name}"
        before, previous = after, visit.siding


def _room_mm(puzzle: Puzzle, one: str | None, other: str) -> float:
    """Return the most room for a trip from one siding (None: from the headshunt)
    straight to another.
    """
    rooms = [
        room.room_mm
        for room in puzzle.yard.rooms
        if one != other and {one, other} == set(room.between)
    ]
    return max([puzzle.yard.headshunt_usable_length_mm, *rooms])


def _engine_mm(puzzle: Puzzle, position: Position) -> float:
    return puzzle.engine_length_mm + puzzle.length_mm(position.engine)


def _missed(puzzle: Puzzle, last: Position) -> Iterator[str]:
    goal = puzzle.goal
    wanted = goal.contents(puzzle.yard.sidings)
    for siding, standing, asked in zip(
        puzzle.yard.sidings, last.sidings, wanted, strict=True
    ):
        if asked is not None and standing != asked:
            yield f"{siding.name} does not hold the wagons that it should"
    if goal.engine is not None and last.engine != goal.engine:
        yield "the wagons on the engine are not those that should be on it"
    if goal.rest != "anywhere" and last.engine:
        yield "a wagon is on the engine at the end"
    others = sum(
        1
        for standing, asked in zip(last.sidings, wanted, strict=True)
        if standing and asked is None
    )
    if goal.rest == "one_siding" and others > 1:
        yield "the other wagons are not in one siding"
