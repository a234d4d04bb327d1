"""What limits a move, and what cures it, against plans that are laid anew."""

from copy import deepcopy
from random import Random
from typing import Any

import pytest

from railway.moves.test_search import PUSHES
from standage.railway.moves.alterations import altered, longer
from standage.railway.moves.cures import cures, extensions
from standage.railway.moves.ground import ground
from standage.railway.moves.limiting import limits
from standage.railway.moves.longest import longest_train
from standage.railway.moves.search import searched
from standage.railway.moves.wanted import Wanted
from standage.railway.track.survey.survey import Survey
from support.pushed_trains import CELL_MM
from support.random_yards import laid, random_plan, stand


def lengthened(document: dict[str, Any], piece: str, by_mm: float) -> dict[str, Any]:
    changed = deepcopy(document)
    changed["pieces"][piece]["length_mm"] += by_mm
    return changed


def asked_of(found: Survey, numbers: tuple[int, int], train_mm: float) -> Wanted:
    places = [stand(one) for one in found.usable if len(one.limits) == 2]
    start, goal = (places[number % len(places)] for number in numbers)
    return Wanted(start=start, engine_towards=1, train_mm=train_mm, goal=goal)


@pytest.mark.parametrize("seed", range(PUSHES // 5))
def test_what_limits_and_cures_does_so_in_a_plan_that_is_laid_anew(seed: int) -> None:
    random = Random(80_000 + seed)
    document = random_plan(random)
    found = laid(document)
    if not any(len(one.limits) == 2 for one in found.usable):
        return
    numbers = (random.randrange(20), random.randrange(20))
    wanted = asked_of(found, numbers, 0.0)
    on = ground(found.network, found.points)
    tracks = {
        found.network.first_of[name]: name
        for name, piece in document["pieces"].items()
        if piece["kind"] == "track"
    }
    now_mm = longest_train(on, wanted).mm
    roads = {name: [strand] for strand, name in tracks.items()}
    limiting, together, *_ = limits(on, wanted, roads, longest_mm=now_mm)
    for strand, name in tracks.items():
        anew = laid(lengthened(document, name, CELL_MM))
        further_mm = longest_train(
            ground(anew.network, anew.points), asked_of(anew, numbers, 0.0)
        ).mm
        assert (strand in limiting) == (0 < now_mm < further_mm), name
    for left_out in (None, *together):
        changed = document
        for name in together:
            if name != left_out:
                changed = lengthened(changed, name, CELL_MM)
        anew = laid(changed)
        further_mm = longest_train(
            ground(anew.network, anew.points), asked_of(anew, numbers, 0.0)
        ).mm
        assert (further_mm > now_mm) == bool(together and left_out is None)
    train_mm = now_mm + random.choice([0.5, 7.0, 13.0])
    wanted = asked_of(found, numbers, train_mm)
    for strand, by_mm in cures(on, wanted, roads).lengthen_mm.items():
        for much_mm, is_enough in ((by_mm, True), (by_mm - 1, False)):
            anew = laid(lengthened(document, tracks[strand], much_mm))
            again = searched(
                ground(anew.network, anew.points), asked_of(anew, numbers, train_mm)
            )
            assert bool(again.finishes) is is_enough
        ground_again, wanted_again = altered(on, wanted, longer([strand], by_mm=by_mm))
        assert searched(ground_again, wanted_again).finishes


@pytest.mark.parametrize("seed", range(PUSHES // 5))
def test_an_extension_does_so_in_a_plan_whose_stop_is_laid_anew(seed: int) -> None:
    random = Random(190_000 + seed)
    document = random_plan(random)
    found = laid(document)
    if not any(len(one.limits) == 2 for one in found.usable):
        return
    numbers = (random.randrange(20), random.randrange(20))
    on = ground(found.network, found.points)
    now_mm = longest_train(on, asked_of(found, numbers, 0.0)).mm
    train_mm = now_mm + random.choice([0.5, 7.0, 13.0])
    wanted = asked_of(found, numbers, train_mm)
    faces = {
        2 * found.network.first_of[name]: name
        for name, piece in document["pieces"].items()
        if piece["kind"] == "buffer_stop"
    }
    told = extensions(on, wanted, [*faces])
    for face, name in faces.items():
        for by_mm in {told.get(face, 40), told.get(face, 40) - 1}:
            extended = deepcopy(document)
            extended["pieces"][name]["length_mm"] = by_mm
            anew = laid(extended)
            again = asked_of(anew, numbers, train_mm)
            room_mm = min(again.start.length_mm, (again.goal or again.start).length_mm)
            gets_there = train_mm <= room_mm and bool(
                searched(ground(anew.network, anew.points), again).finishes
            )
            assert gets_there == (by_mm == told.get(face)), name
