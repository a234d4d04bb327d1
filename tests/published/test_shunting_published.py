"""The three-siding puzzle as the trade gives it.

Source: common practice, no standard. Sidings for 5, 3 and 3 wagons, a headshunt for the
engine and 3, eight wagons: 8 x 7 x 6 x 5 x 4 = 6720 trains of five. That a headshunt
for 2 lets only 840 be made, and that all can be made again where the long road shares a
set of points with a short one and has room for 3 there, was found by hand-written
searches outside this project.
"""

from collections import Counter

import pytest

from standage.railway.shunting.census import census
from standage.railway.shunting.plans import plan
from support.yard_puzzles import three_sidings, train_of_five


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
