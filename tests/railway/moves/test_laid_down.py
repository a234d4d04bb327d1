"""What a referee sees of a train that is laid down: each thing that may be wrong with it.

Points measured with a tape: 30 mm to the blades; the through leg is 180 mm long and clear
at 215, the branch 190 mm and clear at 210.
"""

import pytest

from standage.railway.moves.ground import Ground, Span, ground
from standage.railway.moves.laid_down import (
    leads_to_look,
    met_under,
    parts_of,
    spans_of,
    wrong_with,
)
from standage.railway.moves.wanted import Run
from standage.railway.track.network.network import Network
from standage.railway.track.survey.survey import Survey, survey
from support.track_plans import read_plan

PLAN = {
    "pieces": {
        "H": {"kind": "track", "length_mm": 700},
        "P": {
            "kind": "points",
            "toe_mm": 30,
            "through_mm": 180,
            "branch_mm": 190,
            "fouling_through_mm": 215,
            "fouling_branch_mm": 210,
        },
        "T": {"kind": "track", "length_mm": 600},
        "B": {"kind": "track", "length_mm": 600},
    },
    "joins": [["H.b", "P.toe"], ["P.through", "T.a"], ["P.branch", "B.a"]],
}


def surveyed() -> Survey:
    return survey(read_plan(PLAN))


def on(piece: str, from_mm: float, to_mm: float) -> Span:
    """Return a stretch of plain track, from its end a."""
    return Span(surveyed().network.first_of[piece], from_mm, to_mm)


def laid(standing: tuple[Span, ...] = ()) -> Ground:
    found = surveyed()
    return ground(found.network, found.points, standing=standing)


def wrong(*under: Span, beside: tuple[Span, ...] = ()) -> set[str]:
    return set(wrong_with(laid(), under, beside))


@pytest.mark.parametrize(
    ("under", "beside", "said"),
    [
        # The through leg is 180 mm long, so that what is foul of it ends 35 mm into T;
        # the branch is 190 mm, so that B is foul for its first 20.
        (
            (on("T", 34.9, 100),),
            (on("B", 19.9, 90),),
            {"it is foul of the other train"},
        ),
        ((on("T", 35.0, 100),), (on("B", 19.9, 90),), set()),
        ((on("T", 34.9, 100),), (on("B", 20.0, 90),), set()),
        ((on("T", 50, 100),), (on("T", 99.9, 200),), {"it lies on the other train"}),
        ((on("T", 50, 100),), (on("T", 100, 200),), set()),
        ((on("T", 34, 90), on("B", 19, 90)), (), {"the train is foul of itself"}),
        ((on("H", 10, 90), on("H", 80, 95)), (), {"the train lies on itself"}),
    ],
)
def test_a_train_touches_and_overlaps_nothing(
    under: tuple[Span, ...], beside: tuple[Span, ...], said: set[str]
) -> None:
    assert wrong(*under, beside=beside) == said


@pytest.mark.parametrize(("to_mm", "is_wrong"), [(300.0, False), (300.1, True)])
def test_other_stock_is_in_the_way_where_it_stands(
    to_mm: float, *, is_wrong: bool
) -> None:
    on_ground = laid(standing=(on("H", 300, 400),))
    said = list(wrong_with(on_ground, (on("H", 200, to_mm),)))
    assert said == ["other stock is in the way"] * is_wrong


def way(network: Network) -> Run:
    """Return a run from the headshunt over the through leg."""
    first = 2 * network.first_of["H"]
    courses = [first]
    for _ in range(2):
        courses.append(network.onwards(courses[-1])[0])
    return Run(engine_leads=True, courses=tuple(courses), from_mm=300.0, to_mm=850.0)


def test_what_lies_under_a_train_is_as_long_as_the_train() -> None:
    on_ground = laid()
    run = way(on_ground.network)
    parts = parts_of(on_ground, run)
    for lead_mm in (300.0, 699.0, 700.0, 701.0, 730.0, 731.0, 850.0):
        under = spans_of(on_ground, met_under(parts, lead_mm, train_mm=300.0))
        assert sum(one.to_mm - one.from_mm for one in under) == pytest.approx(300.0)


def test_a_run_is_looked_at_between_all_places_where_anything_changes() -> None:
    on_ground = laid()
    run = way(on_ground.network)
    parts = parts_of(on_ground, run)
    barred = (on("H", 120, 120.5),)
    leads_mm = leads_to_look(on_ground, run, parts, barred, train_mm=300.0)
    # The rear comes onto the barred half millimetre as the lead is at 420 mm.
    assert any(420 < mm < 420.5 for mm in leads_mm)
    assert (leads_mm[0], leads_mm[-1]) == (300.0, 850.0)
