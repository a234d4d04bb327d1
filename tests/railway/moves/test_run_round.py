"""Engines that run round their trains, against a simulation that lays the train on every
place and pushes the engine cell by cell.
"""

import os
from collections.abc import Iterator
from copy import deepcopy
from random import Random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from railway.moves.test_search import PUSHES
from standage.railway.moves.ground import Ground, Span, ground
from standage.railway.moves.replay import broken_rules
from standage.railway.moves.run_round import (
    Leaving,
    Left,
    gets_away,
    longest_engine,
    ways_left,
)
from standage.railway.moves.standing import Stand
from standage.railway.track.survey.survey import Survey
from support.left_trains import Leave, best_leave
from support.pushed_trains import CELL_MM, Cell, Yard
from support.random_yards import cells_of, laid, places_of, random_plan, yard_of

LONGEST_ENGINE = 6
EXAMPLES = int(os.environ.get("STANDAGE_PUSHES", "30"))
Json = dict[str, Any]


def asked(on: Ground, leaving: Leaving) -> tuple[int, int] | None:
    """Return reversals and cells of the best way, once its runs are played over."""
    found = ways_left(on, leaving)
    assert not found.gave_up
    assert gets_away(on, leaving) == (found.best is not None)
    if found.best is None:
        return None
    assert wrong(found.best) == []
    finish = found.best.finish
    return finish.reversals, round(finish.distance_mm / CELL_MM)


def wrong(best: Left) -> list[str]:
    return list(broken_rules(best.ground, best.wanted, best.finish))


class Case:
    """A place of a random plan, with a train and an engine, both ways of asking."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed)
        self.document = random_plan(self.random)
        self.found = laid(self.document)
        self.on = ground(self.found.network, self.found.points)
        self.yard = yard_of(self.found.network, self.document)
        self.places = places_of(self.found)

    def leaves(self) -> tuple[Leaving, Leave]:
        """Return a train and an engine of random lengths in a random place."""
        random = self.random
        place = random.choice(self.places)
        if random.random() < 0.5:
            place = place.turned(self.on)
        cells = cells_of(self.yard, place)
        train = random.randint(1, len(cells))
        engine = random.randint(1, LONGEST_ENGINE)
        margin = random.choice([0, 0, 1, 2])
        leaving = Leaving(
            place=place,
            train_mm=float(train * CELL_MM),
            engine_mm=float(engine * CELL_MM),
            margin_mm=float(margin * CELL_MM),
        )
        return leaving, Leave(place=cells, train=train, engine=engine, margin=margin)


def cases(seeds: range, first: int) -> Iterator[Case]:
    for seed in seeds:
        case = Case(first + seed)
        if case.places:
            yield case


def test_an_engine_runs_round_as_well_as_the_best_of_all_pushes() -> None:
    for case in cases(range(PUSHES * 2), 300_000):
        leaving, leave = case.leaves()
        pushed = best_leave(case.yard, leave)
        assert asked(case.on, leaving) == pushed, (case.document, leaving)


def test_the_longest_train_is_the_longest_whose_engine_can_be_pushed_round() -> None:
    for case in cases(range(90, 90 + PUSHES), 310_000):
        leaving, leave = case.leaves()
        possible = [
            train
            for train in range(1, len(leave.place) + 1)
            if best_leave(case.yard, leave._replace(train=train)) is not None
        ]
        longest_mm = max(possible, default=0) * CELL_MM
        assert ways_left(case.on, leaving).longest_train_mm == longest_mm, (
            case.document,
            leaving,
        )


def test_the_longest_engine_is_the_longest_that_can_be_pushed_round() -> None:
    for case in cases(range(PUSHES), 320_000):
        leaving, leave = case.leaves()
        engine = 0
        while best_leave(case.yard, leave._replace(engine=engine + 1)) is not None:
            engine += 1
        assert longest_engine(case.on, leaving).mm == engine * CELL_MM, (
            case.document,
            leaving,
        )


def test_a_joint_is_parted_only_where_it_stands_over_a_fitting() -> None:
    for case in cases(range(PUSHES), 330_000):
        leaving, leave = case.leaves()
        at = [one for one in range(len(leave.place)) if case.random.random() < 0.3]
        spans = [fitting(case.yard, leave.place[one]) for one in at]
        over = replace(leaving, fittings=tuple(spans))
        pushed = best_leave(case.yard, leave._replace(at=frozenset(at)))
        assert asked(case.on, over) == pushed, (case.document, over)


def test_an_engine_gets_to_the_nearest_of_several_roads() -> None:
    for case in cases(range(PUSHES * 2), 370_000):
        leaving, leave = case.leaves()
        own = {course >> 1 for course in leaving.place.courses}
        roads = [
            road
            for road in case.places
            if own.isdisjoint(course >> 1 for course in road.courses)
        ]
        chosen = case.random.sample(roads, min(len(roads), 2))
        away = replace(leaving, goals=tuple(chosen))
        cells = [cells_of(case.yard, road) for road in chosen]
        pushed = best_leave(case.yard, leave._replace(goals=cells))
        assert asked(case.on, away) == pushed, (case.document, away)


def test_in_a_place_with_points_in_it_a_train_stands_clear_of_these() -> None:
    for case in cases(range(PUSHES), 380_000):
        place = walked(case)
        cells = cells_of(case.yard, place)
        if len(cells) < 2 or any(has_no_zone(one) for one in pieces_of(case)):
            continue
        leave = Leave(place=cells, train=case.random.randint(1, 2), engine=2)
        leaving = Leaving(
            place=place,
            train_mm=float(leave.train * CELL_MM),
            engine_mm=float(leave.engine * CELL_MM),
        )
        own = {course >> 1 for course in place.courses}
        roads = [
            road
            for road in case.places
            if own.isdisjoint(course >> 1 for course in road.courses)
        ]
        away = replace(leaving, goals=tuple(roads))
        to_roads = leave._replace(goals=[cells_of(case.yard, road) for road in roads])
        for asking, pushing in ((leaving, leave), (away, to_roads)):
            pushed = best_leave(case.yard, pushing)
            assert asked(case.on, asking) == pushed, (case.document, asking)
            possible = [
                train
                for train in range(1, len(cells) + 1)
                if best_leave(case.yard, pushing._replace(train=train)) is not None
            ]
            longest_mm = max(possible, default=0) * CELL_MM
            found_mm = ways_left(case.on, asking).longest_train_mm
            assert found_mm == longest_mm, (case.document, asking)


def walked(case: Case) -> Stand:
    """Return a place that somebody measured along some track, points included."""
    network = case.found.network
    courses = [case.random.randrange(2 * len(network.strands))]
    for _ in range(case.random.randint(1, 4)):
        under = {course >> 1 for course in courses}
        ways = [way for way in network.onwards(courses[-1]) if way >> 1 not in under]
        if ways:
            courses.append(case.random.choice(ways))
    length_mm = CELL_MM * sum(case.yard.cells(course) for course in courses)
    return Stand(
        courses=tuple(courses), from_mm=0.0, to_mm=float(length_mm), measured=True
    )


def pieces_of(case: Case) -> list[Json]:
    return list(case.document["pieces"].values())


def has_no_zone(piece: Json) -> bool:
    """Tell whether a piece lets trains stand over its very blades."""
    return any(piece[name] == 0 for name in piece if name.startswith("fouling"))


def fitting(yard: Yard, cell: Cell) -> Span:
    """Return the place before a cell as it is run over."""
    strand, at = yard.bare(cell)
    at_mm = float(CELL_MM * (at + (cell[0] & 1)))
    return Span(strand, at_mm, at_mm)


def test_other_stock_is_in_the_way_of_train_and_engine() -> None:
    for case in cases(range(PUSHES), 340_000):
        leaving, leave = case.leaves()
        everywhere = [
            (strand, at)
            for strand in range(len(case.found.network.strands))
            for at in range(case.yard.cells(2 * strand))
        ]
        taken = frozenset(case.random.sample(everywhere, min(2, len(everywhere))))
        yard = case.yard._replace(taken=taken)
        if not yard.is_clear([]):
            continue  # stock that is foul of other stock: nobody left it there
        spans = [
            Span(strand, CELL_MM * at, CELL_MM * (at + 1.0)) for strand, at in taken
        ]
        on = ground(case.found.network, case.found.points, standing=spans)
        pushed = best_leave(yard, leave)
        assert asked(on, leaving) == pushed, (case.document, spans, leaving)


def test_a_mirrored_plan_has_the_same_answer() -> None:
    for case in cases(range(PUSHES // 3), 350_000):
        mirrored = deepcopy(case.document)
        for join in mirrored["joins"]:
            join[:] = [other_leg(end, mirrored) for end in join]
        for piece in mirrored["pieces"].values():
            if piece["kind"] == "points":
                for figure in ("{}_mm", "fouling_{}_mm"):
                    through, branch = figure.format("through"), figure.format("branch")
                    piece[through], piece[branch] = piece[branch], piece[through]
        assert answers(laid(mirrored)) == answers(case.found)


def other_leg(end: str, document: Json) -> str:
    """Return an end with the two legs of points in each other's place."""
    piece, _, name = end.partition(".")
    if document["pieces"][piece]["kind"] != "points":
        return end
    swapped = {"through": "branch", "branch": "through"}
    return f"{piece}.{swapped.get(name, name)}"


def answers(found: Survey) -> list[object]:
    """Return what is answered of a short train on every road, in no order."""
    on = ground(found.network, found.points)
    told: list[object] = []
    for place in places_of(found):
        for one in (place, place.turned(on)):
            asking = Leaving(place=one, train_mm=15.0, engine_mm=12.5)
            left = ways_left(on, asking)
            costs = left.best.costs if left.best else (-1, 0.0)
            told.append((costs, left.longest_train_mm, longest_engine(on, asking)))
    return sorted(told, key=repr)


@given(st.integers(0, 400), st.floats(1, 60), st.floats(1, 60))
@settings(max_examples=EXAMPLES)
def test_a_longer_train_or_engine_never_gets_round_where_a_shorter_does_not(
    seed: int, train_mm: float, engine_mm: float
) -> None:
    case = Case(360_000 + seed)
    if not case.places:
        return
    leaving, _ = case.leaves()
    if ways_left(case.on, leaving).best is None:
        return
    shorter = replace(
        leaving,
        train_mm=min(train_mm, leaving.train_mm),
        engine_mm=min(engine_mm, leaving.engine_mm),
    )
    assert ways_left(case.on, shorter).best is not None
