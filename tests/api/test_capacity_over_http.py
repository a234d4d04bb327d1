"""How many wagons a road holds, as callers ask it."""

import pytest

from api.asked_stock import WAGON
from api.asking import Caller, faults


@pytest.mark.parametrize(("fixed_spots", "working"), [(None, 4), (1, 4), (2, 5)])
def test_a_road_holds_more_than_can_be_worked_on_it(
    steward: Caller, fixed_spots: int | None, working: int
) -> None:
    spots = {} if fixed_spots is None else {"fixed_spots": fixed_spots}
    body = {"usable_length_mm": 900, "vehicle": WAGON} | spots
    answer = steward.ask("POST", "/v1/checks/capacity", body).json()
    # Each wagon takes 100 + 2 + 2: eight are 832, nine 936. Of n wagons at k spots 2n -
    # k lengths are needed: with one
    # spot four need 7 x 104 = 728 and five 936; with two five need 8 x 104 = 832 and
    # six 1040.
    assert (answer["standing_capacity"], answer["working_capacity"]) == (8, working)


def test_five_wagons_of_eighty_two_millimetres_stand_in_half_a_metre(
    steward: Caller,
) -> None:
    # Source: common practice; a wagon of the British 10 ft type in 00, pairs of
    # hook-and-bar couplings 7 to 11 mm.
    wagon = WAGON | {
        "length_mm": 82,
        "scale": "00",
        "front_coupling": {"reach_mm": 4.5},
        "rear_coupling": {"reach_mm": 4.5},
    }
    answer = steward.ask(
        "POST", "/v1/checks/capacity", {"usable_length_mm": 500, "vehicle": wagon}
    ).json()
    assert answer["standing_capacity"] == 5


def test_how_many_there_are_is_not_for_the_asker_to_say(steward: Caller) -> None:
    body = {"usable_length_mm": 900, "vehicle": WAGON | {"count": 2}}
    assert faults(steward.ask("POST", "/v1/checks/capacity", body)) == {
        "/vehicle/count": "contradiction"
    }
