"""A figure that is added to what is known of a vehicle never makes an answer about a
curve milder.
"""

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from hypothesis import given, reject, settings
from hypothesis import strategies as st

from standage.questions.curve import AskedCurve, CurveCase
from standage.questions.curve import reckon as on_curve
from standage.questions.resolving.trains import NamedVehicle
from standage.questions.unsuitable_stock import UnsuitableStockCase
from standage.questions.unsuitable_stock import reckon as unsuitable
from standage.questions.wish_list import WishedCurve, WishListCase
from standage.questions.wish_list import reckon as wished
from standage.railway.roads.places import Place
from standage.railway.standing.suitability import suited
from standage.railway.stock.vehicles import Standing
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

FIGURES: dict[str, st.SearchStrategy[Any]] = {
    "kind": st.sampled_from(
        [
            "engine",
            "coach",
            "wagon",
            "brake_van",
            "multiple_unit_car",
            "railcar",
            "other",
        ]
    ),
    "scale": st.sampled_from(["N", "TT", "H0", "00", "0", "S"]),
    "practice": st.sampled_from(["british", "continental", "american"]),
    "length_mm": st.floats(40, 330),
    "length_plus_minus_mm": st.floats(0, 20),
    "full_size_length_m": st.floats(5, 27),
    "width_mm": st.floats(15, 60),
    "width_at_platform_mm": st.floats(15, 60),
    "body_length_mm": st.floats(40, 300),
    "bogie_centres_mm": st.floats(20, 250),
    "bogie_wheelbase_mm": st.floats(5, 60),
    "rigid_wheelbase_mm": st.floats(20, 250),
    "rigid_axles": st.integers(2, 6),
    "front_overhang_mm": st.floats(-5, 80),
    "rear_overhang_mm": st.floats(-5, 80),
    "total_wheelbase_mm": st.floats(20, 300),
    "first_axle_mm": st.floats(0, 60),
    "height_mm": st.floats(20, 120),
    "mass_g": st.floats(20, 2000),
    "buffer_centres_mm": st.floats(0, 45),
    "buffer_head_width_mm": st.floats(2, 9),
    **{
        f"{at}_coupling.{field}": figure
        for at in ("front", "rear")
        for field, figure in {
            "type": st.sampled_from(
                [
                    "loop",
                    "knuckle",
                    "small hook-and-bar",
                    "three-link",
                    "never heard of",
                ]
            ),
            "reach_mm": st.floats(-3, 9),
            "reach_plus_minus_mm": st.floats(0, 2),
            "projection_mm": st.floats(0, 9),
            "play_mm": st.floats(0, 2),
            "swing_deg": st.floats(0, 45),
            "pivot_behind_mm": st.floats(0, 30),
        }.items()
    },
}
"""Every figure that is no better evidence of a curve than a length: no trial, maker's
radius or mounting.
"""
BETTER: dict[str, st.SearchStrategy[Any]] = {
    "minimum_radius_mm": st.floats(100, 900),
    "trial": st.fixed_dictionaries({"ran_at_radius_mm": st.floats(100, 900)}),
    "front_coupling.mounting": st.sampled_from(["body", "bogie", "guided"]),
    "rear_coupling.mounting": st.sampled_from(["body", "bogie", "guided"]),
}
OF_LENGTH: dict[str, st.SearchStrategy[Any]] = {
    "scale": st.just("N"),
    "length_mm": st.floats(90, 110),
    "full_size_length_m": st.floats(13.4, 16.4),
    "bogie_centres_mm": st.floats(55, 65),
    "front_overhang_mm": st.floats(18, 24),
    "rear_overhang_mm": st.floats(18, 24),
    "front_coupling.reach_mm": st.floats(-3, 9),
    "rear_coupling.reach_mm": st.floats(-3, 9),
}
"""Those that the coupled length rests on: by each of them it is some 100 mm, and now
more and now less.
"""
HARDEST_FIRST = ["does_not_run", "cannot_tell", "marginal", "runs"]
AS_CURVE = {
    "does_not_suit": "does_not_run",
    "suits": "runs",
    "does_not_fit": "does_not_run",
    "tight": "marginal",
    "fits": "runs",
}


class Asked(NamedTuple):
    """What is known of a vehicle, the same with one figure more, and a curve: mostly
    where common practice parts.
    """

    known: Standing
    more: Standing
    added: str
    radius_mm: float


@st.composite
def before_and_after(draw: st.DrawFn) -> Asked:
    fields = draw(
        st.lists(st.sampled_from(sorted(FIGURES | BETTER)), max_size=12, unique=True)
    )
    known = {
        field: draw((FIGURES | BETTER)[field])
        for field in dict.fromkeys(("length_mm", *fields))
    }
    more = draw(st.sampled_from(sorted(FIGURES)))
    known.pop(more, None)
    try:
        before, after = vehicle(known), vehicle(known | {more: draw(FIGURES[more])})
    except Faulty:
        reject()
    by_length = (
        (after.length_mm or 200.0)
        * draw(st.sampled_from([1.0, 1.5, 2.5]))
        * draw(st.floats(0.94, 1.06))
    )
    return Asked(before, after, more, draw(st.just(by_length) | st.floats(20, 1200)))


def vehicle(figures: Mapping[str, Any]) -> Standing:
    body: dict[str, Any] = {"name": "Vehicle", "length_over": "buffers"}
    for field, figure in figures.items():
        whole, _, part = field.partition(".")
        if part:
            body.setdefault(whole, {})[part] = figure
        else:
            body[whole] = figure
    return convert(body, Standing)


def by_curve(one: Standing, radius_mm: float, plus_minus_mm: float) -> str:
    curve = AskedCurve(radius_mm=radius_mm, radius_plus_minus_mm=plus_minus_mm)
    return on_curve(CurveCase(vehicles=(one,), curve=curve)).verdict


def by_wish_list(one: Standing, radius_mm: float, plus_minus_mm: float) -> str:
    curve = WishedCurve(radius_mm=radius_mm, radius_plus_minus_mm=plus_minus_mm)
    return wished(WishListCase(vehicles=(one,), places=(), curve=curve)).verdict


def by_unsuitable_stock(one: Standing, radius_mm: float, plus_minus_mm: float) -> str:
    named = NamedVehicle(id=None, vehicle=one)
    case = UnsuitableStockCase(
        radius_mm=radius_mm, vehicles=(named,), radius_plus_minus_mm=plus_minus_mm
    )
    return unsuitable(case).verdict


def by_the_way_there(one: Standing, radius_mm: float, _: float) -> str:
    found = suited(one, Place(kind="siding", minimum_radius_mm=radius_mm)).findings
    return min((each.verdict for each in found), key=mildness, default="fits")


def mildness(verdict: str) -> int:
    return HARDEST_FIRST.index(AS_CURVE.get(verdict, verdict))


ASKED: list[Callable[[Standing, float, float], str]] = [
    by_curve,
    by_wish_list,
    by_unsuitable_stock,
    by_the_way_there,
]


@settings(max_examples=500)
@given(before_and_after(), st.just(0.0) | st.floats(0, 15), st.sampled_from(ASKED))
def test_only_better_evidence_makes_an_answer_milder(
    asked: Asked, plus_minus_mm: float, ask: Callable[[Standing, float, float], str]
) -> None:
    before = ask(asked.known, asked.radius_mm, plus_minus_mm)
    after = ask(asked.more, asked.radius_mm, plus_minus_mm)
    if before != "cannot_tell":
        assert mildness(after) <= mildness(before), (
            f"{asked.added}: {before} became {after}"
        )


@settings(max_examples=500)
@given(st.data(), st.floats(240, 270) | st.floats(95, 108))
def test_whatever_is_added_to_what_its_length_rests_on_makes_no_answer_milder(
    data: st.DataObject, radius_mm: float
) -> None:
    """By steps, from nothing to all of it: on the way every figure is one that is added
    to all sorts of others.
    """
    known: dict[str, Any] = {}
    verdict = "cannot_tell"
    for field in data.draw(st.permutations(sorted(OF_LENGTH))):
        known[field] = data.draw(OF_LENGTH[field])
        if "full_size_length_m" in known and not {"scale", "length_mm"} & set(known):
            continue
        after = by_curve(vehicle(known), radius_mm, 0.0)
        if verdict != "cannot_tell":
            assert mildness(after) <= mildness(verdict), (
                f"{field}: {verdict} became {after}"
            )
        verdict = after


@settings(max_examples=100)
@given(before_and_after())
def test_every_question_says_the_same_of_a_curve(asked: Asked) -> None:
    assert len({mildness(ask(asked.more, asked.radius_mm, 0.0)) for ask in ASKED}) == 1
