"""The three-siding puzzle as the trade gives it.

Source: common practice, no standard. Sidings for 5, 3 and 3 wagons, a headshunt for the
engine and 3, eight wagons: 8 x 7 x 6 x 5 x 4 = 6720 trains of five. That a headshunt
for 2 lets only 840 be made, and that all can be made again where the long road shares a
set of points with a short one and has room for 3 there, was found by hand-written
searches outside this project.

The lengths of a headshunt for sidings of 700, 400 and 500, five wagons of 91 and a brake
of 107 were found outside this project too, engine 264 and engine 120. Where the wagons
stand and are to stand was not written down with them; ours is a start and a train that
has just these figures.
"""

from collections import Counter
from collections.abc import Mapping

import pytest

from standage.railway.shunting.census import census
from standage.railway.shunting.headshunts import steps
from standage.railway.shunting.length_steps import with_length
from standage.railway.shunting.plans import plan
from support.yard_puzzles import six_wagons, three_sidings, train_of_five


@pytest.mark.parametrize(
    ("headshunt_wagons", "shared_wagons", "possible"),
    [(3, None, 6720), (2, None, 840), (2, 3, 6720)],
)
def test_so_many_of_all_trains_of_five_can_be_made(
    headshunt_wagons: int, shared_wagons: int | None, possible: int
) -> None:
    yard = three_sidings(headshunt_wagons=headshunt_wagons, shared_wagons=shared_wagons)
    found = census(train_of_five("ABCDE", yard), train_wagons=5)
    assert (found.trains, found.complete, len(found.pars)) == (6720, True, possible)


def test_the_search_finds_the_par_that_the_census_found_for_trains_of_every_par() -> (
    None
):
    yard = three_sidings(headshunt_wagons=3)
    found = census(train_of_five("ABCDE", yard), train_wagons=5)
    tried: Counter[int] = Counter()
    for train, par in sorted(found.pars.items()):
        if tried[par] < 3:
            tried[par] += 1
            assert plan(train_of_five(train, yard)).bound == par
    assert len(tried) > 10


def test_what_the_census_of_a_short_headshunt_leaves_out_is_proved_impossible_by_the_search() -> (
    None
):
    yard = three_sidings(headshunt_wagons=2)
    found = census(train_of_five("ABCDE", yard), train_wagons=5)
    for train in ("FGHAB", "HGFED", "EDCBA"):
        expected = "solved" if tuple(train) in found.pars else "impossible"
        answer = plan(train_of_five(train, yard))
        assert (answer.verdict, answer.proved) == (expected, True)


VISITS = (24, 15, 13, 10, 9, 8, 7)
BY_ENGINE: Mapping[float, tuple[float, ...]] = {
    264: (371, 446, 462, 537, 628, 644, 735),
    120: (227, 302, 318, 393, 484, 500, 591),
}


@pytest.mark.parametrize("engine_length_mm", BY_ENGINE)
def test_the_headshunt_is_as_long_as_it_was_found_to_have_to_be(
    engine_length_mm: float,
) -> None:
    found = steps(six_wagons(engine_length_mm=engine_length_mm))
    lengths_mm = BY_ENGINE[engine_length_mm]
    assert [(one.length_mm, len(one.visits)) for one in found.steps] == [
        *zip(lengths_mm, VISITS, strict=True)
    ]
    assert (found.proved, found.impossible_to_mm) == (True, lengths_mm[0])


def test_the_engine_is_as_long_as_such_a_headshunt_lets_it_be() -> None:
    """Of 371 an engine of 264 takes all that the brake leaves; of 735 all of 264."""
    for headshunt_mm, visits in zip(BY_ENGINE[264], VISITS, strict=True):
        asked = with_length(
            six_wagons(engine_length_mm=1), "headshunt", length_mm=headshunt_mm
        )
        longest = [
            step.length_mm
            for step in steps(asked, by="engine").steps
            if len(step.visits) == visits
        ]
        assert longest == [264.0]
