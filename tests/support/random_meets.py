"""Two trains at random on plans at random, as the service and as the simulation see them."""

from collections.abc import Iterator
from random import Random
from typing import Any, NamedTuple

from standage.railway.moves.ground import Ground, Span, ground
from standage.railway.moves.meeting.met_runs import Both
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import End, Wanted
from support.pushed_trains import CELL_MM, Push, Yard
from support.random_yards import cells_of, laid, places_of, random_plan, yard_of

Json = dict[str, Any]


class AskedMeet(NamedTuple):
    """Two trains, asked both ways."""

    document: Json
    on: Ground
    both: Both
    yard: Yard
    pushes: tuple[Push, Push]


def track(random: Random, least: int, most: int) -> Json:
    return {"kind": "track", "length_mm": CELL_MM * random.randint(least, most)}


def points(random: Random) -> Json:
    return {
        "kind": "points",
        "toe_mm": CELL_MM * random.randint(0, 1),
        "through_mm": CELL_MM * random.randint(1, 2),
        "branch_mm": CELL_MM * random.randint(1, 2),
        "fouling_through_mm": CELL_MM * random.randint(0, 3),
        "fouling_branch_mm": CELL_MM * random.randint(0, 3),
    }


def line_with_loop(random: Random) -> Json:
    """Return a single line with a loop; at each end a stop, a siding or a balloon."""
    pieces: Json = {"P1": points(random), "P2": points(random)}
    pieces |= {"W": track(random, 2, 9), "E": track(random, 2, 9)}
    pieces |= {"M": track(random, 2, 7), "L": track(random, 2, 7)}
    joins = [
        ["W.b", "P1.toe"],
        ["P1.through", "M.a"],
        ["M.b", "P2.through"],
        ["P1.branch", "L.a"],
        ["L.b", "P2.branch"],
        ["P2.toe", "E.a"],
    ]
    for end in ("W.a", "E.b"):
        make = random.choice([_stop, _stop, _siding, _balloon])
        for name, piece, *joined in make(random, end):
            pieces[name] = piece
            joins += joined
    return {"pieces": pieces, "joins": joins}


_Added = Iterator[tuple[Any, ...]]


def _stop(_random: Random, end: str) -> _Added:
    name = f"B{end[0]}"
    yield name, {"kind": "buffer_stop"}, [end, f"{name}.a"]


def _siding(random: Random, end: str) -> _Added:
    name = f"Q{end[0]}"
    first, *others = random.choice(
        [("toe", "through", "branch"), ("through", "toe", "branch")]
    )
    yield name, points(random), [end, f"{name}.{first}"]
    for leg in others:
        road = f"{leg}{end[0]}"
        yield road, track(random, 1, 6), [f"{name}.{leg}", f"{road}.a"]
        yield from _stop(random, f"{road}.b")


def _balloon(random: Random, end: str) -> _Added:
    name, road = f"Q{end[0]}", f"R{end[0]}"
    yield name, points(random), [end, f"{name}.toe"]
    ends = [[f"{name}.through", f"{road}.a"], [f"{road}.b", f"{name}.branch"]]
    yield road, track(random, 3, 9), *ends


def asked_meet(
    random: Random, document: Json, *, longest: int = 10
) -> AskedMeet | None:
    """Return two trains at random on a plan; None where nothing stands on it."""
    found = laid(document)
    places = places_of(found)
    if not places:
        return None
    yard = yard_of(found.network, document)
    barred: tuple[Span, ...] = ()
    if random.random() < 0.15:
        strand = random.randrange(len(found.network.strands))
        cells = yard.cells(2 * strand)
        barred = (Span(strand, 0.0, float(CELL_MM * cells)),)
    margin = random.choice([0, 0, 0, 1, 2])
    trains = [_train(random, yard, places, barred, (margin, longest)) for _ in range(2)]
    (one, push), (other, other_push) = trains
    return AskedMeet(
        document=document,
        on=ground(found.network, found.points),
        both=(one, other),
        yard=yard,
        pushes=(push, other_push),
    )


def _train(
    random: Random,
    yard: Yard,
    places: list[Stand],
    barred: tuple[Span, ...],
    bounds: tuple[int, int],
) -> tuple[Wanted, Push]:
    margin, longest = bounds
    start, goal = random.choice(places), random.choice(places)
    room = round(start.length_mm / CELL_MM)
    train = random.randint(1, max(1, min(longest, room)))
    ahead = random.random() < 0.5
    against: End | None = random.choice([None, 0, 1])
    towards: End | None = random.choice([None, None, 0, 1])
    wanted = Wanted(
        start=start,
        engine_towards=1 if ahead else 0,
        train_mm=float(train * CELL_MM),
        goal=goal,
        margin_mm=float(margin * CELL_MM),
        stands_against=against,
        ends_towards=towards,
        no_propelling=barred,
    )
    cells = [
        (span.strand, at)
        for span in barred
        for at in range(round(span.to_mm / CELL_MM))
    ]
    push = Push(
        place=cells_of(yard, start),
        goal=cells_of(yard, goal),
        train=train,
        engine_ahead=ahead,
        margin=margin,
        against=against,
        towards=towards,
        no_propelling=frozenset(cells),
    )
    return wanted, push


def random_meet(random: Random) -> AskedMeet | None:
    """Return two trains on points and crossings joined at random, or on a line with a
    loop.
    """
    make = random.choice([random_plan, line_with_loop])
    return asked_meet(random, make(random))
