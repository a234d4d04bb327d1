"""Yards to try, and a second, plain search to hold the first against: every wagon its
own, one position at a time.
"""

import heapq
from collections.abc import Iterator, Mapping, Sequence

from standage.railway.shunting.yard import (
    Puzzle,
    RoomBetween,
    Siding,
    Wagon,
    Yard,
    YardGoal,
    YardStart,
)

State = tuple[tuple[str, ...], tuple[tuple[str, ...], ...], int | None]
"""On the engine; in each siding; the siding visited last (from 0), where the string is
too long for the headshunt.
"""


def yard(
    headshunt_mm: float,
    sidings_mm: Mapping[str, float],
    rooms_mm: Mapping[tuple[str, str], float] | None = None,
) -> Yard:
    """Return a yard of those lengths."""
    return Yard(
        headshunt_usable_length_mm=headshunt_mm,
        sidings=tuple(
            Siding(name=name, usable_length_mm=length_mm)
            for name, length_mm in sidings_mm.items()
        ),
        rooms=tuple(
            RoomBetween(between=pair, room_mm=room_mm)
            for pair, room_mm in (rooms_mm or {}).items()
        ),
    )


def three_sidings(*, headshunt_wagons: int, shared_wagons: int | None = None) -> Yard:
    """Return the yard for 5, 3 and 3 wagons of 80 mm, engine 100 mm; the long road may
    share points with one.
    """
    rooms_mm = (
        None
        if shared_wagons is None
        else {("Long", "Left"): 100 + 80.0 * shared_wagons}
    )
    return yard(
        100 + 80.0 * headshunt_wagons,
        {"Long": 400, "Left": 240, "Right": 240},
        rooms_mm,
    )


EIGHT = tuple(Wagon(name=name, length_mm=80) for name in "ABCDEFGH")
EIGHT_START = YardStart(sidings=(tuple("ABCDE"), tuple("FGH"), ()))


def train_of_five(train: Sequence[str], yard_: Yard) -> Puzzle:
    """Return the puzzle of making a train of five in the long road."""
    goal = YardGoal(siding="Long", train=tuple(train))
    return Puzzle(
        engine_length_mm=100, yard=yard_, wagons=EIGHT, start=EIGHT_START, goal=goal
    )


def six_wagons(*, engine_length_mm: float) -> Puzzle:
    """Return five wagons of 91 and a brake of 107 to be sorted in sidings of 700, 400
    and 500; the headshunt's length is what is asked.
    """
    names = ("1", "2", "3", "4", "5")
    wagons = [Wagon(name=name, length_mm=91) for name in names]
    return Puzzle(
        engine_length_mm=engine_length_mm,
        yard=yard(0.0, {"A": 700, "B": 400, "C": 500}),
        wagons=(*wagons, Wagon(name="Brake", length_mm=107)),
        start=YardStart(sidings=(("1", "2", "3", "4"), (), ("5", "Brake"))),
        goal=YardGoal(siding="A", train=("4", "1", "3", "5", "Brake", "2")),
    )


def weights_from_start(puzzle: Puzzle) -> dict[State, tuple[int, int]]:
    """Return every position that can be reached with the least weight of reaching it
    (and, second, visits).
    """
    start: State = (puzzle.start.engine, puzzle.start.sidings, None)
    weights = {start: (0, 0)}
    queue = [((0, 0), start)]
    while queue:
        weight, state = heapq.heappop(queue)
        if weight > weights[state]:
            continue
        for visit_weight, after in visits_from(puzzle, state):
            fresh = (weight[0] + visit_weight, weight[1] + 1)
            if after not in weights or fresh < weights[after]:
                weights[after] = fresh
                heapq.heappush(queue, (fresh, after))
    return weights


def visits_from(puzzle: Puzzle, state: State) -> Iterator[tuple[int, State]]:
    """Yield every visit's weight and the position it leads to."""
    engine, sidings, trip = state
    for number in range(len(sidings)):
        if trip is not None and not _fits_across(puzzle, engine, trip, number):
            continue
        line = engine + sidings[number]
        for cut in range(len(line) + 1):
            kept, left = line[:cut], line[cut:]
            if (
                cut == len(engine)
                or puzzle.length_mm(left) > puzzle.yard.sidings[number].usable_length_mm
            ):
                continue
            after = (*sidings[:number], left, *sidings[number + 1 :])
            if fits_headshunt(puzzle, kept):
                yield (
                    _weight(puzzle, engine, sidings[number], kept, left, number),
                    (kept, after, None),
                )
            elif any(
                _fits_across(puzzle, kept, number, other)
                for other in range(len(sidings))
            ):
                yield (
                    _weight(puzzle, engine, sidings[number], kept, left, number),
                    (kept, after, number),
                )


def fits_headshunt(puzzle: Puzzle, engine: tuple[str, ...]) -> bool:
    """Tell whether the engine and what is on it fit the headshunt."""
    return (
        puzzle.engine_length_mm + puzzle.length_mm(engine)
        <= puzzle.yard.headshunt_usable_length_mm
    )


def _fits_across(puzzle: Puzzle, engine: tuple[str, ...], one: int, other: int) -> bool:
    names = {puzzle.yard.sidings[one].name, puzzle.yard.sidings[other].name}
    length_mm = puzzle.engine_length_mm + puzzle.length_mm(engine)
    return any(
        set(room.between) == names and length_mm <= room.room_mm
        for room in puzzle.yard.rooms
    )


def _weight(
    puzzle: Puzzle,
    engine: tuple[str, ...],
    standing: tuple[str, ...],
    kept: tuple[str, ...],
    left: tuple[str, ...],
    number: int,
) -> int:
    if puzzle.fewest == "visits":
        return 1
    if puzzle.fewest == "couplings":
        return 1 + bool(left if len(kept) > len(engine) else standing)
    return int(_by_hand(puzzle, kept, left, number))


def _by_hand(
    puzzle: Puzzle, kept: tuple[str, ...], left: tuple[str, ...], number: int
) -> bool:
    siding = puzzle.yard.sidings[number]
    over_a_place = any(
        place_mm + puzzle.length_mm(left) <= siding.usable_length_mm
        for place_mm in siding.uncoupling_places_mm or ()
    )
    ahead = puzzle.yard.uncoupled_ahead and any(
        place_mm + puzzle.engine_length_mm + puzzle.length_mm(kept)
        <= puzzle.yard.headshunt_usable_length_mm
        for place_mm in puzzle.yard.headshunt_uncoupling_places_mm or ()
    )
    return bool(left) and not over_a_place and not ahead


def meets(puzzle: Puzzle, state: State) -> bool:
    """Tell whether a position is what the goal asks for."""
    engine, sidings, trip = state
    goal = puzzle.goal
    if goal.sidings is not None:
        right = sidings == goal.sidings
        others: list[tuple[str, ...]] = []
    else:
        number = [siding.name for siding in puzzle.yard.sidings].index(
            goal.siding or ""
        )
        right = sidings[number] == goal.train
        others = [
            wagons for place, wagons in enumerate(sidings) if place != number and wagons
        ]
    if goal.engine is not None:
        right &= engine == goal.engine
    if goal.rest != "anywhere":
        right &= not engine
    if goal.rest == "one_siding":
        right &= len(others) <= 1
    return right and trip is None


def least(puzzle: Puzzle, weights: Mapping[State, tuple[int, int]]) -> int | None:
    """Return the least weight of a position that meets the goal."""
    return min(
        (weight[0] for state, weight in weights.items() if meets(puzzle, state)),
        default=None,
    )
