"""Many trains against many places, worked out by hand here, and pair by pair by the
question of one pair.
"""

from typing import Any

import pytest

from standage.questions import fits, train_fit
from standage.questions.fits import is_heavy
from standage.questions.fits_answer import FitsAnswer
from standage.questions.fits_asked import FitsRequest
from standage.questions.sources import Sources
from standage.questions.train_fit import TrainFitRequest
from standage.questions.train_fit_answer import TrainFitAnswer
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.track_plans import passing_loop, points

Body = dict[str, Any]
NO_SOURCES = Sources(None, "")


def asked(trains: list[Any], places: list[Body], **beside: Any) -> FitsAnswer:
    body = {"trains": trains, "places": places, **beside}
    return fits.reckon(fits.gather(NO_SOURCES, convert(body, FitsRequest)))


def refused(trains: list[Any], places: list[Body], **beside: Any) -> dict[str, str]:
    with pytest.raises(Faulty) as faulty:
        asked(trains, places, **beside)
    return {one.pointer or "": one.code for one in faulty.value.faults}


def alone(train: Body, place: Body, **beside: Any) -> TrainFitAnswer:
    body = {"train": train, "place": place, **beside}
    request = convert(body, TrainFitRequest)
    return train_fit.reckon(train_fit.gather(NO_SOURCES, request))


def vehicle(name: str, length_mm: float, **about: Any) -> Body:
    known = {"length_over": "couplings", "length_plus_minus_mm": 0}
    return {"name": name, "length_mm": length_mm, **known, **about}


def road(name: str, usable_length_mm: float | None, **about: Any) -> Body:
    length = {} if usable_length_mm is None else {"usable_length_mm": usable_length_mm}
    return {"name": name, "kind": "siding", **length, **about}


def spares(answer: FitsAnswer) -> dict[tuple[str, str], float | None]:
    return {(one.train, one.place): one.spare_mm for one in answer.cells}


def best(answer: FitsAnswer) -> dict[str, str | None]:
    return {one.train: one.place for one in answer.best}


COALS = [
    {
        "name": "Twelve and one engine",
        "vehicles": [
            vehicle("Engine", 300, kind="engine"),
            vehicle("Coal wagon", 100, count=12),
        ],
    },
    {
        "name": "Twenty and two engines",
        "vehicles": [
            vehicle("Engine", 300, kind="engine", count=2),
            vehicle("Coal wagon", 100, count=20),
        ],
    },
    {"name": "Fifteen cars, two diesels", "length_mm": 1481, "length_plus_minus_mm": 0},
]
"""Common practice, no source: 20 vehicles of 100 mm and two engines of 300 make 2600;
12 and one engine fit 1524 mm with 24 mm to spare; in N, 15 cars of 44 ft and two
diesels of 112 mm are about 1481 mm coupled: too long for 1360 mm, fine in 1980 mm.
"""


def test_trains_that_practice_knows_have_the_spare_that_practice_has() -> None:
    roads = [road("Five feet", 1524), road("Short", 1360), road("Long", 1980)]
    answer = asked(COALS, roads)
    assert spares(answer) == {
        ("Twelve and one engine", "Five feet"): 24,
        ("Twelve and one engine", "Short"): -140,
        ("Twelve and one engine", "Long"): 480,
        ("Twenty and two engines", "Five feet"): 1524 - 2600,
        ("Twenty and two engines", "Short"): 1360 - 2600,
        ("Twenty and two engines", "Long"): 1980 - 2600,
        ("Fifteen cars, two diesels", "Five feet"): 43,
        ("Fifteen cars, two diesels", "Short"): -121,
        ("Fifteen cars, two diesels", "Long"): 499,
    }
    assert best(answer) == {
        "Twelve and one engine": "Five feet",
        "Twenty and two engines": None,
        "Fifteen cars, two diesels": "Five feet",
    }
    assert answer.verdict == "does_not_fit"
    assert [one.message for one in answer.because][:2] == [
        "Twenty and two engines has no place here",
        "Twenty and two engines is 620 mm too long for Long",
    ]


def test_a_sum_that_fills_a_road_exactly_fits_and_a_millionth_less_does_not() -> None:
    train = {"name": "Three", "vehicles": [vehicle("Van", 60.2, count=3)]}
    answer = asked([train], [road("Exact", 180.6), road("Less", 180.599999)])
    assert [one.verdict for one in answer.cells] == ["fits", "does_not_fit"]


PLAN = {
    "scale": "00",
    **passing_loop(),
}
WHEELS = {"total_wheelbase_mm": 190.0, "first_axle_mm": 30.0}
AWKWARD: list[Body] = [
    {
        "name": "Unnamed couplings",
        "vehicles": [
            {
                "name": "Van",
                "kind": "wagon",
                "scale": "00",
                "length_mm": 82,
                "length_over": "buffers",
                "count": 5,
            }
        ],
    },
    {
        "name": "Bare word",
        "vehicles": [
            {
                "name": "Van",
                "length_mm": 82,
                "length_over": "buffers",
                "scale": "00",
                "count": 6,
                "front_coupling": {"type": "hook-and-bar"},
                "rear_coupling": {"type": "hook-and-bar"},
            }
        ],
    },
    {"name": "No length", "vehicles": [vehicle("Van", 100), {"name": "Mystery"}]},
    {
        "name": "Long",
        "vehicles": [vehicle("Coach", 258, kind="coach", height_mm=52, count=4)],
    },
    {"name": "High", "vehicles": [vehicle("Crane", 150, height_mm=71)]},
    {
        "name": "Stiff",
        "vehicles": [
            vehicle("Engine", 260, kind="engine", minimum_radius_mm=610, **WHEELS)
        ],
    },
    {"name": "Narrow", "vehicles": [vehicle("Skip", 60, scale="N")]},
    {
        "name": "Bridges",
        "vehicles": [
            vehicle("Railcar", 240, kind="railcar", bridging_axles_mm=[20, 200])
        ],
    },
    {
        "name": "Whole",
        "vehicles": [{"name": "A"}, {"name": "B"}],
        "measured_rakes": [
            {"first": 1, "last": 2, "length_mm": 480, "length_over": "buffers"}
        ],
    },
    {
        "name": "Unlike",
        "vehicles": [
            vehicle(
                "One",
                90,
                length_over="buffers",
                front_coupling={"type": "loop"},
                rear_coupling={"type": "loop"},
            ),
            vehicle(
                "Two",
                90,
                length_over="buffers",
                front_coupling={"type": "screw"},
                rear_coupling={"type": "screw"},
            ),
        ],
    },
]
AWKWARD += [
    {
        "name": "May carry",
        "vehicles": [
            vehicle("Coach", length_mm, kind="coach", count=2),
            vehicle("Who knows what", 150),
        ],
    }
    for length_mm in (400.0, 300.0)
]
PLACES: list[Body] = [
    road("Siding", 445, scale="00", minimum_radius_mm=438),
    road("Gentle", 520, scale="00", minimum_radius_mm=914, headroom_mm=70),
    road("Straight", 1032, no_curves=True),
    road("Unmeasured", None, minimum_radius_mm=600),
    road("Bay", 1100, kind="platform", face_length_mm=700, minimum_radius_mm=650),
    road("Table", 264, kind="turntable", clear_circle_mm=400, no_curves=True),
    road("Balloon", 230, kind="reversing_section", minimum_radius_mm=500),
    road("Shunt", 300, kind="headshunt", stopping_margin_mm=20),
    {"plan": PLAN, "road": "loop M"},
]


@pytest.mark.parametrize("beside", [{}, {"exact": True}, {"stopping_margin_mm": 12.5}])
def test_every_cell_says_what_train_fit_says_of_that_pair(beside: Body) -> None:
    places = PLACES
    answer = asked(AWKWARD, places, **beside)
    cells = iter(answer.cells)
    for train in AWKWARD:
        for place in places:
            cell = next(cells)
            given = {name: value for name, value in train.items() if name != "name"}
            one = alone(given, place, **beside)
            told = (cell.verdict, cell.standing, cell.reaching)
            assert told == (one.verdict, one.standing, one.reaching), (train, place)
            assert cell.spare_mm == one.spare_mm, (train, place)
            assert cell.plus_minus_mm == one.plus_minus_mm, (train, place)
    seen = {one.verdict for one in answer.cells}
    assert seen >= {"fits", "does_not_fit", "cannot_tell"}
    assert {one.reaching for one in answer.cells} >= {"runs", "cannot_tell"}


@pytest.mark.parametrize("kind", ["loop", "platform", "turntable", "reversing_section"])
@pytest.mark.parametrize("length_mm", [480.0, 900.0])
def test_a_train_by_its_length_is_one_of_unknown_vehicles_measured_as_a_whole(
    kind: str, length_mm: float
) -> None:
    whole = {"first": 1, "last": 1, "length_mm": length_mm, "length_over": "couplings"}
    figures = {"scale": "00", "minimum_radius_mm": 500, "height_mm": 60}
    unknown = {
        "vehicles": [{"name": "Visitor", **figures}],
        "measured_rakes": [whole],
    }
    place = road("Road", 700, kind=kind, face_length_mm=600, headroom_mm=62)
    place |= {"minimum_radius_mm": 600, "scale": "00"}
    (cell,) = asked(
        [{"name": "Visitor", "length_mm": length_mm, **figures}], [place]
    ).cells
    one = alone(unknown, place)
    assert (cell.verdict, cell.reaching) == (one.verdict, one.reaching)
    assert cell.spare_mm == one.spare_mm
    assert cell.reaching == "runs"


def test_of_a_train_by_its_length_its_wheels_are_not_known() -> None:
    """It fits where it lies within as a whole, and is refused nowhere that its wheels
    might yet go.
    """
    train = {"name": "Visitor", "length_mm": 500, "length_plus_minus_mm": 0}
    kinds = ("turntable", "reversing_section")
    places = [
        road(f"{kind} {room}", room, kind=kind) for kind in kinds for room in (400, 504)
    ]
    told = [one.verdict for one in asked([train], places).cells]
    assert told == ["cannot_tell", "fits", "cannot_tell", "fits"]


def test_a_length_is_as_good_as_is_said_half_a_millimetre_or_exact() -> None:
    train = {"name": "Visitor", "length_mm": 500}
    place = road("Road", 500)
    told = [
        asked([train], [place]).cells[0],
        asked([train], [place], exact=True).cells[0],
        asked([train | {"length_plus_minus_mm": 3}], [place], exact=True).cells[0],
    ]
    assert [(one.verdict, one.plus_minus_mm) for one in told] == [
        ("tight", 0.5),
        ("fits", 0),
        ("tight", 3),
    ]


def test_without_a_radius_nobody_can_tell_whether_a_length_gets_round_a_curve() -> None:
    curved = road("Curved", 800, minimum_radius_mm=500, scale="00", headroom_mm=60)
    known = {"name": "V", "length_mm": 500}
    told = {}
    visitors: dict[str, Body] = {
        "bare": {},
        "radius": {"minimum_radius_mm": 500, "height_mm": 60},
        "too stiff": {"minimum_radius_mm": 500.1},
        "too high": {"height_mm": 60.1, "minimum_radius_mm": 400},
        "another gauge": {"scale": "N", "minimum_radius_mm": 400},
    }
    for name, more in visitors.items():
        (cell,) = asked([known | more], [curved]).cells
        told[name] = (cell.verdict, cell.standing, cell.reaching)
    assert told == {
        "bare": ("fits", "fits", "cannot_tell"),
        "radius": ("fits", "fits", "runs"),
        "too stiff": ("does_not_fit", "fits", "does_not_run"),
        "too high": ("does_not_fit", "fits", "does_not_run"),
        "another gauge": ("does_not_fit", "fits", "does_not_run"),
    }


def test_the_best_place_fits_then_is_reached_then_has_the_least_left_over() -> None:
    train = {"name": "T", "vehicles": [vehicle("Van", 500, minimum_radius_mm=500)]}

    def chosen(*places: Body) -> str | None:
        return best(asked([train], [*places]))["T"]

    tight = road("Tight", 500, plus_minus_mm=2, no_curves=True)
    unknown = road("Who knows", 510)
    long = road("Long", 900, no_curves=True)
    longer = road("Longer", 1000, no_curves=True)
    table = road("Table", 520, kind="turntable", no_curves=True)
    sharp = road("Sharp", 505, minimum_radius_mm=400)
    assert chosen(longer, long) == "Long"
    assert chosen(unknown, longer) == "Longer"
    assert chosen(tight, unknown) == "Who knows"
    assert chosen(tight, sharp) == "Tight"
    assert chosen(table, longer) == "Longer"
    assert chosen(table, sharp) == "Table"
    assert chosen(sharp) is None
    assert chosen(long, road("As long", 900, no_curves=True)) == "Long"


def test_a_length_that_was_probably_meant_otherwise_is_named_as_it_was_sent() -> None:
    whole = {"first": 1, "last": 1, "length_mm": 1.3, "length_over": "couplings"}
    trains = [
        {"name": "In metres", "length_mm": 1.2, "scale": "00"},
        {"vehicles": [{"name": "Set", "scale": "00"}], "measured_rakes": [whole]},
    ]
    warnings = asked(trains, [road("A", 1500, scale="00")]).warnings
    assert [(one.field, one.likely_value) for one in warnings] == [
        ("trains/0/length_mm", 1200),
        ("trains/1/measured_rakes/0/length_mm", 1300),
    ]


def test_whoever_has_no_place_is_told_with_the_worst_reason_of_the_nearest() -> None:
    trains = [
        {"name": "Fast", "vehicles": [vehicle("Coach", 700)]},
        {"name": "Slow", "vehicles": [vehicle("Van", 100)]},
        {"name": "Odd", "vehicles": [{"name": "Mystery"}]},
    ]
    answer = asked(trains, [road("A", 600), road("B", 650)])
    in_all = (
        "3 trains against 2 places: 1 has a place for certain, 0 only one that is"
        " too close to call, 1 cannot be told, 1 none"
    )
    assert [(one.code, one.message) for one in answer.because] == [
        ("no_place", "Fast has no place here"),
        ("too_long", "Fast is 50 mm too long for B"),
        ("no_place", "Odd has no place here for certain"),
        ("missing_figure", "Mystery: measure its length; without it nobody can tell"),
        ("looked_at", in_all),
    ]
    assert answer.verdict == "does_not_fit"


def test_a_place_that_is_too_close_to_call_says_by_how_much() -> None:
    train = {"name": "Fast", "length_mm": 600, "length_plus_minus_mm": 2}
    answer = asked([train], [road("A", 601), road("B", 400)])
    assert (answer.verdict, best(answer)) == ("tight", {"Fast": "A"})
    assert [(one.code, one.message) for one in answer.because][:2] == [
        ("no_place", "Fast has no place here for certain"),
        (
            "too_close_to_call",
            "Fast has 1 mm to spare in A, give or take 2 mm: too close to call",
        ),
    ]


def test_of_many_without_a_place_the_rest_are_counted() -> None:
    trains = [{"name": f"T{number}", "length_mm": 700} for number in range(13)]
    messages = [one.message for one in asked(trains, [road("A", 600)]).because]
    assert sum(one.endswith("has no place here") for one in messages) == 10
    assert messages[-2] == "3 more trains have no place here for certain"


def test_every_guess_is_told_once_and_names_whom_it_is_about() -> None:
    vans = [
        {
            "name": f"T{number}",
            "vehicles": [
                {"name": f"Van {number}", "length_mm": 100, "length_over": "couplings"}
            ],
        }
        for number in range(30)
    ]
    answer = asked(vans, [road("A", 600, scale="00"), road("B", 600, scale="00")])
    by_field = [one for one in answer.assumed if one.field == "length_plus_minus_mm"]
    assert len(by_field) == 1
    assert "Van 0, Van 1" in by_field[0].message
    assert "24 more" in by_field[0].message
    assert any(one.field == "scale" for one in answer.assumed)
    assert len(answer.assumed) < 12


def test_what_is_asked_amiss_is_told_all_at_once() -> None:
    train = {"name": "T", "length_mm": 500}
    place = road("A", 600)
    assert refused([train], []) == {"/places": "one_or_the_other"}
    assert refused([train], [place], layout_id="Staithe") == {
        "/places": "one_or_the_other"
    }
    assert refused([train | {"train_id": "Mail"}], [place]) == {
        "/trains/0/train_id": "one_or_the_other"
    }
    assert refused([{"name": "T"}], [place]) == {"/trains/0/vehicles": "missing"}
    beside = {"name": "T", "vehicles": [vehicle("V", 100)], "height_mm": 60}
    assert refused([beside, {"train_id": "Mail"}], [place]) == {
        "/trains/0/height_mm": "one_or_the_other",
    }
    assert refused([{"train_id": "Mail"}] * 2, [place]) == {
        "/trains/1/train_id": "repeated"
    }
    assert refused([{"train_id": "Mail"}, train], [{"place_id": "Up"}]) == {
        "/trains/0/train_id": "no_such_train",
        "/places/0/place_id": "no_such_place",
    }
    gone = {"plan": {"scale": "00", **points_and_siding()}, "road": "siding Z"}
    assert refused([train], [place, gone]) == {"/places/1/road": "no_such_road"}


def points_and_siding() -> Body:
    return {"pieces": {"P": points()}, "joins": []}


def test_two_hundred_trains_and_a_hundred_places_are_enough() -> None:
    trains = [{"name": f"T{number}", "length_mm": 500} for number in range(201)]
    places = [road(f"R{number}", 600) for number in range(101)]
    assert refused(trains, places[:1]) == {"/trains": "too_many"}
    assert refused(trains[:1], places) == {"/places": "too_many"}
    answer = asked(trains[:200], places[:100])
    assert len(answer.cells) == 20_000
    assert {one.verdict for one in answer.cells} == {"fits"}
    assert (answer.cells[100].train, answer.cells[100].place) == ("T1", "R0")


def test_more_than_a_few_pairs_go_to_another_process() -> None:
    def heavy(trains: int, places: int) -> bool:
        body = {
            "trains": [{"name": f"T{one}", "length_mm": 500} for one in range(trains)],
            "places": [road(f"R{one}", 600) for one in range(places)],
        }
        return is_heavy(fits.gather(NO_SOURCES, convert(body, FitsRequest)))

    assert not heavy(10, 10)
    assert heavy(50, 50)
