"""No runs leave that the referee does not let pass."""

import pytest
from msgspec.structs import replace

from standage.railway.moves.ground import ground
from standage.railway.moves.replay import replayed
from standage.railway.moves.search import searched
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import Finish, Wanted
from standage.railway.terms.unsound import UnsoundError
from standage.railway.track.survey.survey import survey
from support.track_plans import passing_loop, read_plan

FOUND = survey(read_plan({"scale": "00", **passing_loop(main_mm=1000.0)}))
GROUND = ground(FOUND.network, FOUND.points)


def wanted(train_mm: float) -> Wanted:
    """Return what it is to run along a loop from its one end to its other."""
    usable = max(FOUND.usable, key=lambda one: one.usable_length_mm or 0.0)
    length_mm = usable.road.length_mm or 0.0
    near_mm, far_mm = (limit.from_blades_mm or 0.0 for limit in usable.limits)
    place = Stand(
        courses=usable.road.courses, from_mm=near_mm, to_mm=length_mm - far_mm
    )
    return Wanted(
        start=place, engine_towards=0, train_mm=train_mm, goal=place, stands_against=0
    )


def found(asked: Wanted) -> Finish:
    return searched(GROUND, asked).finishes[0]


def test_sound_runs_pass_as_they_are() -> None:
    finish = found(wanted(200.0))
    assert replayed(GROUND, wanted(200.0), finish) is finish


def test_runs_of_a_longer_train_than_they_were_found_for_do_not_pass() -> None:
    finish = found(wanted(200.0))
    with pytest.raises(UnsoundError, match="begin in its place"):
        replayed(GROUND, wanted(3000.0), finish)


def test_a_distance_that_the_runs_do_not_come_to_does_not_pass() -> None:
    finish = replace(found(wanted(200.0)), distance_mm=7.0)
    with pytest.raises(UnsoundError, match="come to"):
        replayed(GROUND, wanted(200.0), finish)
