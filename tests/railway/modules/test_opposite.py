"""Which track meets which across a joint."""

import pytest

from standage.railway.modules.boards import EndTrack
from standage.railway.modules.opposite import Facing, opposite, sideways


def tracks(**offsets_mm: float) -> list[EndTrack]:
    return [
        EndTrack(name=name, offset_mm=offset_mm)
        for name, offset_mm in offsets_mm.items()
    ]


def test_what_lies_right_at_one_end_meets_what_lies_left_at_the_other() -> None:
    met = opposite(tracks(up=-25.0, down=25.0), tracks(a=25.0, b=-25.0))
    assert met.pairs == (
        Facing(one="up", other="a", aside_mm=0.0),
        Facing(one="down", other="b", aside_mm=0.0),
    )


def test_a_track_to_the_right_of_its_opposite_counts_more_than_nothing() -> None:
    (pair,) = opposite(tracks(main=0.0), tracks(main=-3.0)).pairs
    assert pair.aside_mm == 3.0


def test_tracks_meet_in_order_even_where_all_are_shifted_by_more_than_their_spacing() -> (
    None
):
    met = opposite(tracks(up=-25.0, down=25.0), tracks(a=-35.0, b=-85.0))
    assert [(pair.one, pair.other, pair.aside_mm) for pair in met.pairs] == [
        ("up", "a", 60.0),
        ("down", "b", 60.0),
    ]


def test_a_single_track_meets_the_nearest_of_two_and_the_other_ends_there() -> None:
    met = opposite(tracks(up=-25.0, down=25.0), tracks(only=-20.0))
    assert [(pair.one, pair.other) for pair in met.pairs] == [("down", "only")]
    assert (met.alone_on_one, met.alone_on_other) == (("up",), ())


def test_of_two_equally_near_the_left_one_of_the_wider_end_is_met_whichever_end_is_named_first() -> (
    None
):
    wide, narrow = tracks(up=-25.0, down=25.0), tracks(only=0.0)
    assert [pair.one for pair in opposite(wide, narrow).pairs] == ["up"]
    assert [pair.other for pair in opposite(narrow, wide).pairs] == ["up"]


def test_the_least_that_is_missed_in_all_decides_who_meets_whom() -> None:
    met = opposite(tracks(a=-50.0, b=0.0, c=50.0), tracks(x=10.0, y=-45.0))
    assert [(pair.one, pair.other) for pair in met.pairs] == [("b", "x"), ("c", "y")]


@pytest.mark.parametrize(
    ("facing", "shift_mm", "left_mm"),
    [((3.0, 3.0), 3.0, 0.0), ((-1.0, 3.0), 1.0, 2.0), ((4.0,), 4.0, 0.0)],
)
def test_the_best_shift_leaves_the_least_greatest_miss(
    facing: tuple[float, ...], shift_mm: float, left_mm: float
) -> None:
    places = [100.0 * number for number in range(len(facing))]
    one = [EndTrack(name=f"a{place}", offset_mm=place) for place in places]
    other = [
        EndTrack(name=f"b{place}", offset_mm=-place - miss)
        for place, miss in zip(places, facing, strict=True)
    ]
    assert sideways(opposite(one, other)) == (shift_mm, left_mm)
