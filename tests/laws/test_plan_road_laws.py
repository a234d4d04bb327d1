"""Laws of roads of plans in questions: a road is as long as its figures say, however
its plan is written or laid.
"""

from math import pi
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from standage.questions.sources import Sources
from standage.questions.train_fit import QUESTION
from standage.questions.train_fit_answer import TrainFitAnswer
from standage.shapes.decoding import convert
from support.track_plans import Document, points, straight, taped_points, worked

lengths = st.integers(2000, 12000).map(lambda tenths: tenths / 10)
doubts = st.integers(0, 50).map(lambda tenths: tenths / 10)
vans = st.integers(1, 12)
headings = st.integers(-180, 180)
parts = st.integers(1, 99).map(lambda hundredth: hundredth / 100)
angles = st.sampled_from((8.0, 10.0, 12.0))
radii = st.sampled_from((457.0, 610.0, 914.0))

VAN = {
    "name": "Van",
    "kind": "wagon",
    "length_mm": 100.0,
    "length_over": "couplings",
    "length_plus_minus_mm": 0.0,
}


def fit(place: Document, *, count: int) -> TrainFitAnswer:
    train = {"vehicles": [{**VAN, "count": count}]}
    body = {"train": train, "place": place}
    case = QUESTION.gather(Sources(None, ""), convert(body, QUESTION.request))
    answer: TrainFitAnswer = QUESTION.reckon(case)
    return answer


def figures(answer: TrainFitAnswer) -> tuple[Any, ...]:
    """Return what is answered, lengths to a thousandth of a millimetre."""
    lengths_mm = (answer.usable_length_mm, answer.spare_mm, answer.plus_minus_mm)
    rounded = (None if one is None else round(one, 3) for one in lengths_mm)
    return (answer.verdict, answer.standing, answer.reaching, *rounded)


def siding(length_mm: float, **turnout: Any) -> Document:
    """Return points laid out with a straight siding off them."""
    return {
        "scale": "00",
        "pieces": {
            "H": straight(400.0),
            "P": points(**turnout),
            "S": straight(length_mm),
            "B": {"kind": "buffer_stop", "length_mm": 20.0},
        },
        "joins": [["H.b", "P.toe"], ["P.branch", "S.a"], ["S.b", "B.a"]],
    }


def as_road(plan: Document, name: str = "siding S") -> Document:
    return {"plan": plan, "road": name}


@given(lengths, doubts, doubts, vans)
def test_a_road_of_a_plan_answers_as_its_length_and_plus_minus_do(
    length_mm: float, mm: float, mm_per_m: float, count: int
) -> None:
    plan = {
        "scale": "00",
        "plus_minus": {"mm": mm, "mm_per_m": mm_per_m},
        "pieces": {
            "P": taped_points(fouling_through_mm=150.0, fouling_branch_mm=160.0),
            "S": {"kind": "track", "length_mm": length_mm},
            "B": {"kind": "buffer_stop"},
        },
        "joins": [["P.branch", "S.a"], ["S.b", "B.a"]],
    }
    # The leg is 190 mm long, and fouled for 160 of them.
    usable_mm = 190.0 + length_mm - 160.0
    given_outright = {
        "kind": "siding",
        "scale": "00",
        "usable_length_mm": usable_mm,
        "plus_minus_mm": mm + mm_per_m * usable_mm / 1000,
    }
    by_plan = fit(as_road(plan), count=count)
    by_figures = fit(given_outright, count=count)
    assert figures(by_plan) == figures(by_figures)
    assert by_plan.instead.longest_train_mm == by_figures.instead.longest_train_mm


@given(lengths, radii, angles, headings, vans)
def test_a_plan_that_is_turned_and_moved_answers_alike(
    length_mm: float, radius_mm: float, angle_deg: float, heading: int, count: int
) -> None:
    plan = siding(length_mm, radius_mm=radius_mm, angle_deg=angle_deg)
    spot = {"piece": "S", "x_mm": -812.5, "y_mm": 77.0, "heading_deg": heading}
    turned = plan | {"placed": [spot]}
    one, other = (fit(as_road(laid), count=count) for laid in (plan, turned))
    assert figures(one) == figures(other)


@given(lengths, radii, angles, vans)
def test_a_plan_seen_in_a_mirror_answers_alike(
    length_mm: float, radius_mm: float, angle_deg: float, count: int
) -> None:
    turnout = {"radius_mm": radius_mm, "angle_deg": angle_deg}
    one, other = (
        fit(as_road(siding(length_mm, hand=hand, **turnout)), count=count)
        for hand in ("left", "right")
    )
    assert figures(one) == figures(other)


@given(lengths, parts, vans)
def test_splitting_a_piece_changes_nothing(
    length_mm: float, part: float, count: int
) -> None:
    plan = siding(length_mm)
    first_mm = length_mm * part
    split = plan | {
        "pieces": plan["pieces"]
        | {"S": straight(first_mm), "S2": straight(length_mm - first_mm)},
        "joins": [
            ["H.b", "P.toe"],
            ["P.branch", "S.a"],
            ["S2.a", "S.b"],
            ["B.a", "S2.b"],
        ],
    }
    one, other = (fit(as_road(laid), count=count) for laid in (plan, split))
    assert figures(one) == figures(other)


@given(lengths, parts, vans)
def test_a_road_over_two_modules_is_as_long_as_on_one_plan(
    length_mm: float, part: float, count: int
) -> None:
    plan = siding(length_mm)
    first_mm = length_mm * part
    pieces = plan["pieces"]
    west = {
        "pieces": {"H": pieces["H"], "P": pieces["P"], "S": straight(first_mm)},
        "joins": [["H.b", "P.toe"], ["P.branch", "S.a"]],
        "module_ends": [{"name": "east end", "tracks": ["S.b"]}],
    }
    bay = {
        "pieces": {"S": straight(length_mm - first_mm), "B": pieces["B"]},
        "joins": [["S.b", "B.a"]],
        "module_ends": [{"name": "west end", "tracks": ["S.a"]}],
    }
    layout = {
        "scale": "00",
        "modules": {"west": {"plan": west}, "bay": {"plan": bay}},
        "module_joins": [["west.east end", "bay.west end"]],
    }
    one = fit(as_road(plan), count=count)
    other = fit(as_road(layout, "siding west/S"), count=count)
    assert figures(one) == figures(other)


@given(lengths, radii, angles, vans)
def test_a_plan_by_tape_answers_as_the_same_plan_laid_out(
    length_mm: float, radius_mm: float, angle_deg: float, count: int
) -> None:
    laid = siding(length_mm, radius_mm=radius_mm, angle_deg=angle_deg)
    along_curve_mm = radius_mm * angle_deg * pi / 180
    found = worked(laid)
    taped = {
        "scale": "00",
        "pieces": laid["pieces"]
        | {
            "P": {
                "kind": "points",
                "toe_mm": 30.0,
                "through_mm": 180.0,
                "branch_mm": along_curve_mm + 95.0,
                "fouling_through_mm": found.leg_mm("P", "through"),
                "fouling_branch_mm": found.leg_mm("P", "branch"),
            },
            "S": {"kind": "track", "length_mm": length_mm},
        },
        "joins": laid["joins"],
    }
    one, other = (fit(as_road(plan), count=count) for plan in (laid, taped))
    # Only a tape does not tell how sharp the points are.
    assert one.standing == other.standing
    assert figures(one)[3:] == figures(other)[3:]
