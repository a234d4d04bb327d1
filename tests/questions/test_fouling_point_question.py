"""What is answered of where a train stands clear: by spacing, and by stock."""

from typing import Any

import pytest

from standage.questions.fouling_point import (
    FoulingPointAnswer,
    FoulingPointRequest,
    gather,
    reckon,
)
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.track_plans import Document, ladder, points, taped_points

COACH: Document = {
    "name": "Coach",
    "length_mm": 258.0,
    "length_over": "buffers",
    "width_mm": 36.0,
    "bogie_centres_mm": 186.0,
    "bogie_wheelbase_mm": 34.0,
}
ENGINE: Document = {
    **COACH,
    "name": "Tank engine",
    "bogie_centres_mm": 120.0,
    "front_overhang_mm": 80.0,
}
PLAIN: Document = {"pieces": {"P": points()}}


def answered(
    plan: Document, *, of: str = "P", stock: Any = None, **beside: Any
) -> FoulingPointAnswer:
    body = {"plan": {"scale": "00", **plan}, "points": of, **beside}
    if stock is not None:
        leg, standing, moving = stock
        body["standing"] = {"leg": leg, "vehicle": standing}
        body["moving"] = {"vehicle": moving}
    return reckon(gather(Sources(None, ""), convert(body, FoulingPointRequest)))


def refused(body: Document) -> list[tuple[str | None, str]]:
    whole = {"plan": {"scale": "00", **PLAIN}, "points": "P", **body}
    with pytest.raises(Faulty) as refusal:
        gather(Sources(None, ""), convert(whole, FoulingPointRequest))
    return [(fault.pointer, fault.code) for fault in refusal.value.faults]


def test_by_stock_the_standing_legs_figure_is_answered_with_who_decided() -> None:
    answer = answered(PLAIN, stock=("through", COACH, ENGINE))
    (leg,) = answer.legs
    assert answer.verdict == "clear"
    assert (leg.leg, leg.by, leg.decided_by) == ("through", "stock", "branch")
    assert answer.standing is not None
    assert answer.moving is not None
    assert (answer.standing.vehicle, answer.moving.vehicle) == ("Coach", "Tank engine")
    # A coach is alike from both ends; the engine reaches farther ahead.
    assert answer.standing.end_towards_blades is None
    assert answer.moving.end_towards_blades in {"front", "rear"}
    assert answer.mark_length_mm is None
    (reason,) = answer.because
    assert (reason.vehicle, reason.other_vehicle) == ("Coach", "Tank engine")
    assert reason.value_mm == leg.from_blades_mm


def test_the_limit_is_told_from_the_nose_and_on_the_piece_on_which_it_lies() -> None:
    """The nose is where it is by spacing, too; beyond a short leg comes the road."""
    by_stock = answered(ladder(roads=2), of="P1", stock=("branch", COACH, COACH))
    by_spacing = answered(ladder(roads=2), of="P1")
    (own,) = by_stock.legs
    (other,) = [leg for leg in by_spacing.legs if leg.leg == "branch"]
    for leg in (own, other):
        assert leg.from_blades_mm is not None
        assert leg.from_nose_mm is not None
    noses = {
        round((leg.from_blades_mm or 0) - (leg.from_nose_mm or 0), 4)
        for leg in (own, other)
    }
    assert len(noses) == 1
    assert own.position is not None
    assert own.position.piece == "S1"


def test_a_width_low_down_counts_where_it_is_the_greater() -> None:
    """Over cylinders of 40 mm a coach of 36 stands clear where one of 40 does."""
    plain, narrow, low, wide = (
        answered(PLAIN, stock=("branch", {**COACH, **widths}, COACH)).legs[0]
        for widths in (
            {},
            {"width_at_platform_mm": 30},
            {"width_at_platform_mm": 40},
            {"width_mm": 40},
        )
    )
    assert narrow == plain
    assert low == wide
    assert (low.from_blades_mm or 0) > (plain.from_blades_mm or 0) + 1


def test_the_margin_is_an_eighth_of_the_gauge_unless_it_is_given() -> None:
    usual = answered(PLAIN, stock=("branch", COACH, COACH))
    same = answered(PLAIN, stock=("branch", COACH, COACH), margin_mm=16.5 / 8)
    more = answered(PLAIN, stock=("branch", COACH, COACH), margin_mm=4.0)
    assert usual.margin_mm == 16.5 / 8
    assert "margin_mm" in [one.field for one in usual.assumed]
    assert "margin_mm" not in [one.field for one in same.assumed]
    assert usual.legs == same.legs
    assert (more.legs[0].from_blades_mm or 0) > (usual.legs[0].from_blades_mm or 0)


def test_without_a_gauge_the_margin_is_nothing_and_says_so() -> None:
    plan = {"plan": {"pieces": PLAIN["pieces"]}, "points": "P"}
    body = {
        **plan,
        "standing": {"leg": "through", "vehicle": COACH},
        "moving": {"vehicle": COACH},
    }
    answer = reckon(gather(Sources(None, ""), convert(body, FoulingPointRequest)))
    assert (answer.verdict, answer.margin_mm) == ("clear", 0)
    assert "margin_mm" in [one.field for one in answer.assumed]


def test_a_figure_that_is_lacking_names_vehicle_and_field() -> None:
    unknown = {"name": "Long wagon", "width_mm": 30.0}
    answer = answered(PLAIN, stock=("through", COACH, unknown))
    assert answer.verdict == "cannot_tell"
    assert answer.legs[0].from_blades_mm is None
    lacks = [(one.code, one.vehicle, one.field) for one in answer.because]
    assert ("missing_figure", "Long wagon", "bogie_centres_mm") in lacks


def test_points_without_a_shape_ask_for_it() -> None:
    answer = answered(
        {"pieces": {"P": taped_points(fouling_through_mm=150.0)}},
        stock=("through", COACH, COACH),
    )
    assert answer.verdict == "cannot_tell"
    assert answer.because[0].field == "P"
    assert "radius" in answer.because[0].message


def test_curves_that_are_too_sharp_name_the_vehicle() -> None:
    sharp = {"pieces": {"P": points(radius_mm=80.0, angle_deg=60.0)}}
    answer = answered(sharp, stock=("branch", COACH, COACH))
    assert answer.verdict == "cannot_tell"
    assert (answer.because[0].code, answer.because[0].vehicle) == (
        "cannot_stand",
        "Coach",
    )


@pytest.mark.parametrize(
    ("figure", "size"),
    [("width_mm", 5e-324), ("width_mm", 1e6), ("length_mm", 1e6)],
)
def test_absurd_vehicles_end_in_an_answer(figure: str, size: float) -> None:
    for stock in (({**COACH, figure: size}, COACH), (COACH, {**COACH, figure: size})):
        answer = answered(PLAIN, stock=("through", *stock))
        assert answer.because


def test_a_margin_that_nothing_keeps_is_too_close_or_too_much_to_try() -> None:
    answer = answered(PLAIN, stock=("through", COACH, COACH), margin_mm=1e6)
    assert answer.verdict in {"too_close", "cannot_tell"}


STANDING: Document = {"leg": "through", "vehicle": COACH}
MOVING: Document = {"vehicle": COACH}


def test_a_leg_that_is_none_is_refused() -> None:
    body = {"standing": {**STANDING, "leg": "toe"}, "moving": MOVING}
    assert refused(body) == [("/standing/leg", "unknown_leg")]


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"standing": STANDING}, "/moving"),
        ({"moving": MOVING}, "/standing"),
        ({"margin_mm": 2.0}, "/margin_mm"),
        (
            {"standing": STANDING, "moving": MOVING, "spacing_mm": 45.0},
            "/spacing_mm",
        ),
    ],
)
def test_what_stands_and_what_moves_go_together(body: Document, pointer: str) -> None:
    assert [at for at, _ in refused(body)] == [pointer]
