"""How fast the shunting search is, and against a plain one in the same run. Prints;
asserts nothing about time.

Run with ``PYTHONPATH=service:tests python -m benchmarks.shunting``.
"""

import resource
import statistics
from collections import deque
from collections.abc import Iterator
from itertools import permutations
from time import perf_counter

from msgspec import structs

from standage.railway.shunting.census import census
from standage.railway.shunting.deal import Chance
from standage.railway.shunting.headshunts import steps
from standage.railway.shunting.plans import plan
from standage.railway.shunting.yard import Fewest, Puzzle, Wagon, YardGoal, YardStart
from support.yard_puzzles import three_sidings, train_of_five, yard

CAPACITY = (5, 3, 3)
HEADSHUNT = 3
YARD = three_sidings(headshunt_wagons=HEADSHUNT)
FIVE_LENGTHS_MM = (80.0, 85.0, 90.0, 95.0, 100.0)

Plain = tuple[str, ...]


def plain_visits(start: tuple[Plain, ...], train: Plain) -> int | None:
    """Return the fewest visits by a dictionary and a queue, every wagon its own: the
    engine first, then the sidings.
    """
    seen, queue = {start: 0}, deque([start])
    while queue:
        state = queue.popleft()
        if state[1] == train:
            return seen[state]
        for after in _plain_moves(state):
            if after not in seen:
                seen[after] = seen[state] + 1
                queue.append(after)
    return None


def _plain_moves(state: tuple[Plain, ...]) -> Iterator[tuple[Plain, ...]]:
    engine = state[0]
    for number, capacity in enumerate(CAPACITY, 1):
        line = engine + state[number]
        for cut in range(max(0, len(line) - capacity), min(HEADSHUNT, len(line)) + 1):
            if cut != len(engine):
                sidings = list(state)
                sidings[0], sidings[number] = line[:cut], line[cut:]
                yield tuple(sidings)


def timed_ms(puzzle: Puzzle) -> float:
    before = perf_counter()
    plan(puzzle)
    return (perf_counter() - before) * 1000


def three_siding_puzzles(fewest: Fewest) -> None:
    trains = Chance(1).some_of(list(permutations("ABCDEFGH", 5)), 400)
    puzzles = [
        structs.replace(train_of_five(train, YARD), fewest=fewest) for train in trains
    ]
    times = [timed_ms(puzzle) for puzzle in puzzles]
    slowest = sorted(zip(times, range(len(times)), strict=True))[-10:]
    again = [min(timed_ms(puzzles[place]) for _ in range(3)) for _, place in slowest]
    median, hardest = statistics.median(times), max(times)
    print(
        f"5-3-3, headshunt 3, eight wagons, fewest {fewest}, 400 trains by chance:"
        f" median {median:.1f} ms, hardest {hardest:.1f} ms; the ten hardest again,"
        f" best of three: {max(again):.1f} ms"
    )


def against_a_plain_search() -> None:
    """Compare by the same trains: of the least, the middle and a high par of all that
    can be made.
    """
    pars = census(train_of_five("ABCDE", YARD), train_wagons=5).pars
    for par in (8, 12, 15):
        train = min(train for train, other in pars.items() if other == par)
        ours = min(timed_ms(train_of_five(train, YARD)) for _ in range(3))
        before = perf_counter()
        found = plain_visits(((), tuple("ABCDE"), tuple("FGH"), ()), train)
        plain_ms = (perf_counter() - before) * 1000
        print(
            f"par {par} (plain search: {found}): {ours:.1f} ms against {plain_ms:.0f}"
            f" ms, {plain_ms / ours:.0f} times"
        )


def ten_wagons() -> None:
    draw = Chance(3)
    for number in range(6):
        wagons = tuple(
            Wagon(name=f"W{place}", length_mm=draw.one_of(FIVE_LENGTHS_MM))
            for place in range(10)
        )
        names = [wagon.name for wagon in wagons]
        names = draw.some_of(names, 10)
        puzzle = Puzzle(
            engine_length_mm=100,
            yard=yard(400, {"Long": 600, "Left": 400, "Right": 400}),
            wagons=wagons,
            start=YardStart(
                sidings=(tuple(names[:4]), tuple(names[4:7]), tuple(names[7:]))
            ),
            goal=YardGoal(siding="Long", train=tuple(draw.some_of(names, 5))),
        )
        before = perf_counter()
        found = plan(puzzle)
        print(
            f"ten wagons of at most five lengths, {number}: {found.verdict}"
            f" {found.bound}, {found.steps} steps, {perf_counter() - before:.2f} s, the"
            f" process at most {_most_mb()} MB"
        )


def _most_mb() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def censuses() -> None:
    for headshunt, shared in ((3, None), (2, None), (2, 3)):
        puzzle = train_of_five(
            "ABCDE", three_sidings(headshunt_wagons=headshunt, shared_wagons=shared)
        )
        before = perf_counter()
        found = census(puzzle, train_wagons=5)
        print(
            f"census of trains of five, headshunt {headshunt}, shared {shared}:"
            f" {len(found.pars)} of {found.trains} in {perf_counter() - before:.2f} s"
        )


def headshunts() -> None:
    """Find every length that matters, of one train and of every train of five, with
    wagons that are alike and with eight lengths.
    """
    alike = train_of_five("HCAGE", YARD)
    unlike = structs.replace(
        alike,
        wagons=tuple(
            structs.replace(wagon, length_mm=80 - number)
            for number, wagon in enumerate(alike.wagons)
        ),
    )
    asked: list[tuple[str, Puzzle, int | None]] = [
        ("one train", alike, None),
        ("one train of unlike wagons", unlike, None),
        ("every train", alike, 5),
        ("every train of unlike wagons", unlike, 5),
    ]
    for name, puzzle, every_train_of in asked:
        before = perf_counter()
        found = steps(puzzle, every_train_of=every_train_of)
        print(
            f"lengths of the headshunt for {name}, 5-3-3, eight wagons:"
            f" {len(found.steps)} steps, proved {found.proved}, {found.searched}"
            f" positions, {perf_counter() - before:.2f} s"
        )


if __name__ == "__main__":
    three_siding_puzzles("visits")
    three_siding_puzzles("couplings")
    censuses()
    headshunts()
    ten_wagons()
    against_a_plain_search()
