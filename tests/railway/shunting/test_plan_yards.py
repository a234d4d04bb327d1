"""A yard of a track plan comes to what arithmetic says, and what makes none is refused
with the reason.
"""

from typing import Any

import pytest

from standage.railway.roads.plan_roads import PlanRoad, roads_called
from standage.railway.shunting.plan_yards import PlanYard, YardWish, yard_of_plan
from standage.railway.track.survey.survey import Survey, survey
from standage.shapes.faults import Faulty
from support.track_plans import Document, ladder, read_plan, taped_points

NO_WAY = (
    "is no end of a way from headshunt H: no train gets there without turning back or"
    " going on"
)


def surveyed(document: Document) -> Survey:
    return survey(read_plan(document))


def road(found: Survey, name: str) -> PlanRoad:
    (only,) = roads_called(found, name)
    return only


def yard(document: Document, headshunt: str = "headshunt H", *named: str) -> PlanYard:
    found = surveyed(document)
    wish = YardWish(
        headshunt=road(found, headshunt),
        sidings=tuple(road(found, name) for name in named) or None,
    )
    return yard_of_plan(found, wish)


def rooms_of(made: PlanYard) -> dict[frozenset[str], float]:
    return {frozenset(one.between): one.room_mm for one in made.yard.rooms}


def buffers(length_mm: float = 0.0) -> Document:
    return {"kind": "buffer_stop", "length_mm": length_mm}


def track(length_mm: float) -> Document:
    return {"kind": "track", "length_mm": length_mm}


def fan_by_tape(**figures: Any) -> Document:
    """Return a headshunt and three sidings, of which two part at the second points.

    The toes are 30 mm, the legs 180 and 190 mm, fouled for 150 and 160 mm.
    """
    taped = taped_points(fouling_through_mm=150.0, fouling_branch_mm=160.0)
    return {
        "pieces": {
            "BH": buffers(5.0),
            "H": track(400.0),
            "P1": taped,
            "S1": track(700.0),
            "B1": buffers(),
            "T": track(50.0),
            "P2": taped,
            "S2": track(800.0),
            "B2": buffers(11.0),
            "S10": track(900.0),
            "B10": buffers(),
            **figures.pop("pieces", {}),
        },
        "joins": [
            ["BH.a", "H.b"],
            ["H.a", "P1.toe"],
            ["P1.branch", "S1.b"],
            ["S1.a", "B1.a"],
            ["P1.through", "T.a"],
            ["T.b", "P2.toe"],
            ["P2.branch", "S2.a"],
            ["S2.b", "B2.a"],
            ["P2.through", "S10.a"],
            ["S10.b", "B10.a"],
            *figures.pop("joins", []),
        ],
        **figures,
    }


def lengths_of(made: PlanYard) -> dict[str, float]:
    return {one.name: one.usable_length_mm for one in made.yard.sidings}


def test_a_measured_yard_comes_to_what_arithmetic_says() -> None:
    made = yard(fan_by_tape())
    # 5 of stop, 400 and 30 of toe
    assert made.yard.headshunt_usable_length_mm == 435.0
    assert lengths_of(made) == {
        "siding S1": 700.0 + 190.0 - 160.0,
        "siding S2": 800.0 + 190.0 - 160.0 + 11.0,
        "siding S10": 900.0 + 180.0 - 150.0,
    }
    # and 180 of leg, 50, and 30 of toe
    assert rooms_of(made) == {frozenset(("siding S2", "siding S10")): 435.0 + 260.0}
    assert (made.kept_clear_of, made.left_out) == (None, ())


def test_a_laid_out_yard_comes_to_what_arithmetic_says() -> None:
    document = ladder(roads=3)
    document["pieces"]["BH"] = buffers(12.0)
    document["joins"].append(["BH.a", "H.a"])
    made = yard({"scale": "00", **document})
    assert made.yard.headshunt_usable_length_mm == 12.0 + 600.0 + 30.0
    between = 180.0 + 120.0 + 30.0
    assert rooms_of(made) == {frozenset(("siding S2", "siding S3")): 642.0 + between}
    assert made.left_out == (
        "running line P3 through ends at an open end and not at buffers",
    )


def test_the_legs_of_a_three_way_part_at_two_places() -> None:
    document: Document = {
        "pieces": {
            "BH": buffers(),
            "H": track(400.0),
            "W": {
                "kind": "three_way",
                "first_hand": "left",
                "toe_mm": 20.0,
                "second_after_mm": 45.0,
                "left_mm": 150.0,
                "middle_mm": 160.0,
                "right_mm": 170.0,
                "fouling_left_mm": 140.0,
                "fouling_middle_mm": 140.0,
                "fouling_right_mm": 140.0,
            },
        },
        "joins": [["BH.a", "H.a"], ["H.b", "W.toe"]],
    }
    for leg in ("left", "middle", "right"):
        document["pieces"] |= {f"S {leg}": track(500.0), f"B {leg}": buffers()}
        document["joins"] += [
            [f"W.{leg}", f"S {leg}.a"],
            [f"S {leg}.b", f"B {leg}.a"],
        ]
    made = yard(document)
    assert made.yard.headshunt_usable_length_mm == 420.0
    parted_later = frozenset(("siding S middle", "siding S right"))
    assert rooms_of(made) == {parted_later: 465.0}


def uncoupling(piece: str, at_mm: float, leg: str | None = None) -> Document:
    fitting = {"kind": "uncoupling", "piece": piece, "at_mm": at_mm}
    return fitting if leg is None else {**fitting, "leg": leg}


def test_uncoupling_fittings_count_from_where_the_room_begins() -> None:
    made = yard(
        fan_by_tape(
            fittings=[
                uncoupling("H", 100.0),
                uncoupling("P1", 12.0, "toe"),
                uncoupling("S1", 600.0),
                uncoupling("S1", 600.0),
                uncoupling("S2", 100.0),
                uncoupling("P2", 170.0, "branch"),
                # nearer to the blades than the fouling point, and on the way
                uncoupling("P2", 159.0, "branch"),
                uncoupling("T", 20.0),
                {"kind": "stopping_mark", "piece": "S10", "at_mm": 100.0},
            ]
        )
    )
    assert made.yard.headshunt_uncoupling_places_mm == (12.0, 130.0)
    places_mm = {one.name: one.uncoupling_places_mm for one in made.yard.sidings}
    assert places_mm == {
        # S1 is joined by its end b, 100 from there
        "siding S1": (100.0 + 190.0 - 160.0,),
        "siding S2": (10.0, 130.0),
        "siding S10": None,
    }


def test_more_uncoupling_fittings_than_a_road_may_have_are_refused() -> None:
    many = [uncoupling("S1", 10.0 * number) for number in range(21)]
    assert refused(fan_by_tape(fittings=many)) == only(
        "/plan",
        "siding S1 has 21 uncoupling places, but at most 20 are taken on one road",
    )


def test_sidings_come_in_natural_order_or_as_they_are_named() -> None:
    named = ("siding S10", "siding S1")
    assert tuple(lengths_of(yard(fan_by_tape(), "headshunt H", *named))) == named
    # however the plan is written down
    document = fan_by_tape()
    document["joins"] = [one[::-1] for one in document["joins"][::-1]]
    document["pieces"] = dict(reversed(document["pieces"].items()))
    assert yard(document).yard == yard(fan_by_tape()).yard


def test_a_length_by_tape_counts_before_the_plans() -> None:
    places = [
        {"name": "Coal", "on": ["S1"], "surveyed_usable_length_mm": 712.0},
        {"name": "Neck", "on": ["H"], "surveyed_usable_length_mm": 430.0},
    ]
    made = yard(fan_by_tape(places=places), "Neck")
    assert made.yard.headshunt_usable_length_mm == 430.0
    assert lengths_of(made)["Coal"] == 712.0
    assert list(rooms_of(made).values()) == [690.0]


def test_a_headshunt_that_leads_on_is_used_up_to_where_it_is_clear() -> None:
    document = fan_by_tape(
        pieces={
            "BH": taped_points(fouling_through_mm=150.0, fouling_branch_mm=200.0),
            "W": track(500.0),
        },
        joins=[["BH.toe", "W.a"]],
    )
    document["joins"][0] = ["BH.branch", "H.b"]
    made = yard(document, "running line H")
    # fouled for 10 mm beyond the leg
    assert made.yard.headshunt_usable_length_mm == 430.0 - 10.0
    assert made.kept_clear_of == "BH"


def test_roads_that_go_on_are_left_out_and_told() -> None:
    taped = taped_points(fouling_through_mm=150.0, fouling_branch_mm=160.0)
    document = fan_by_tape(
        pieces={
            "B1": {"kind": "trap"},
            "B2": taped,
            "S3": track(900.0),
            "B3": buffers(),
            "P4": taped,
            "B4": {"kind": "turntable", "deck_mm": 300.0, "roads": [0.0]},
            "S5": track(500.0),
            "B5": buffers(),
        },
        joins=[
            ["B2.toe", "S3.a"],
            ["S3.b", "B3.a"],
            ["P4.branch", "B4.r1"],
            ["P4.through", "S5.a"],
            ["S5.b", "B5.a"],
        ],
    )
    document["joins"][7] = ["S2.b", "B2.through"]
    document["joins"][9] = ["S10.b", "P4.toe"]
    made = yard(document)
    assert list(lengths_of(made)) == ["siding S5"]
    assert made.left_out == (
        "S1 leads to a trap",
        "running line P4 branch ends at the deck B4 and not at buffers",
        "running line S2 goes on over points B2",
    )


def refused(
    document: Document, headshunt: str = "headshunt H", *named: str
) -> list[tuple[str, str]]:
    with pytest.raises(Faulty) as caught:
        yard(document, headshunt, *named)
    return [(one.pointer or "", one.message) for one in caught.value.faults]


def only(pointer: str, message: str) -> list[tuple[str, str]]:
    return [(pointer, message)]


def test_a_headshunt_begins_at_the_toe_of_points() -> None:
    assert refused(fan_by_tape(), "siding S1") == only(
        "/headshunt",
        "siding S1 meets no points at their toe: a headshunt begins at blade tips",
    )


def test_a_road_between_two_toes_is_no_headshunt() -> None:
    document = fan_by_tape(pieces={"BH": taped_points(fouling_through_mm=150.0)})
    document["joins"][0] = ["BH.toe", "H.b"]
    assert refused(document, "running line H") == only(
        "/headshunt",
        "running line H lies between the toes of BH and P1: name a road that ends"
        " at buffers",
    )


def test_a_place_measured_as_a_stretch_has_no_points() -> None:
    stretch = [{"piece": "H", "from_mm": 0.0, "to_mm": 300.0}]
    document = fan_by_tape(places=[{"name": "Neck", "stretch": stretch}])
    (headshunt,) = refused(document, "Neck")
    (siding,) = refused(document, "headshunt H", "Neck")
    assert (headshunt[0], siding[0]) == ("/headshunt", "/sidings/0")
    for _, message in (headshunt, siding):
        assert message.startswith("Neck is a place measured as a stretch: name the")


def test_a_way_that_comes_back_to_the_headshunt_is_no_fan() -> None:
    taped = taped_points(fouling_through_mm=150.0, fouling_branch_mm=160.0)
    document = fan_by_tape(pieces={"BH": taped, "B2": track(900.0)})
    document["joins"][0] = ["BH.branch", "H.b"]
    document["joins"][7] = ["S2.b", "B2.a"]
    document["joins"].append(["B2.b", "BH.toe"])
    assert refused(document, "running line H") == only(
        "/headshunt",
        "running line H is part of a circuit: over BH trains come back to it from"
        " behind; name a road that ends at buffers",
    )


def test_a_way_that_crosses_itself_is_refused() -> None:
    crossing = {
        "kind": "diamond",
        "a_mm": [60.0, 60.0],
        "b_mm": [60.0, 60.0],
        "fouling_a_mm": 50.0,
        "fouling_b_mm": 50.0,
    }
    document = fan_by_tape(pieces={"D": crossing, "L": track(2000.0)})
    document["joins"][4] = ["P1.through", "D.a1"]
    document["joins"] += [["D.a2", "L.a"], ["L.b", "D.b1"], ["D.b2", "T.a"]]
    assert refused(document) == [
        ("/plan", "the way into siding S2 runs over D twice"),
        ("/plan", "the way into siding S10 runs over D twice"),
    ]
    assert list(lengths_of(yard(document, "headshunt H", "siding S1"))) == ["siding S1"]


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("running line S2", "goes on over points B2"),
        ("running line S10", "ends at an open end and not at buffers"),
        ("headshunt H", NO_WAY),
        ("headshunt S3", NO_WAY),
        ("Both", "runs over points or a crossing: name siding S1 instead"),
    ],
)
def test_a_road_that_is_no_siding_is_refused_with_the_reason(
    name: str, why: str
) -> None:
    taped = taped_points(fouling_through_mm=150.0, fouling_branch_mm=160.0)
    document = fan_by_tape(
        pieces={"B2": taped, "B10": {"kind": "open_end"}, "S3": track(900.0)}
        | {"B3": buffers()},
        joins=[["B2.toe", "S3.a"], ["S3.b", "B3.a"]],
        places=[{"name": "Both", "on": ["H", "P1", "S1"]}],
    )
    document["joins"][7] = ["S2.b", "B2.through"]
    assert refused(document, "headshunt H", "siding S1", name) == [
        ("/sidings/1", f"{name} {why}")
    ]


def test_a_siding_is_named_once() -> None:
    assert refused(fan_by_tape(), "headshunt H", "siding S1", "siding S1") == [
        ("/sidings/1", "there are two sidings siding S1")
    ]


def test_more_than_six_sidings_are_to_be_named() -> None:
    document = ladder(roads=7)
    document["pieces"]["BH"] = buffers()
    document["joins"].append(["BH.a", "H.a"])
    assert refused({"scale": "00", **document}) == only(
        "/sidings",
        "7 sidings are reached from headshunt H: name at most 6 of them in sidings",
    )


def test_without_a_dead_end_there_is_no_yard() -> None:
    document = ladder(roads=1)
    document["pieces"]["B1"] = {"kind": "open_end"}
    document["pieces"]["BH"] = buffers()
    document["joins"].append(["BH.a", "H.a"])
    assert refused({"scale": "00", **document}) == only(
        "/headshunt",
        "from headshunt H no dead end is reached over P1: running line P1 through"
        " ends at an open end and not at buffers",
    )


def test_what_nobody_knows_is_named_to_be_measured() -> None:
    document = fan_by_tape(pieces={"P2": taped_points()}, scale="00")
    measure = "where it is clear of P2 cannot be told: measure the fouling points of P2"
    assert refused(document) == [
        ("/plan", f"siding S2: {measure}"),
        ("/plan", f"siding S10: {measure}"),
    ]
    assert refused(document, "headshunt H", "siding S10") == [
        ("/sidings/0", f"siding S10: {measure}")
    ]


def test_track_between_the_points_must_be_measured_only_where_two_ways_share_it() -> (
    None
):
    document = fan_by_tape(pieces={"T": {"kind": "flexible", "fitted": True}})
    assert list(lengths_of(yard(document, "headshunt H", "siding S1"))) == ["siding S1"]
    at_t = "the plan is at fault at T, on the way into"
    assert refused(document) == [
        ("/plan", f"{at_t} siding S2: check the plan"),
        ("/plan", f"{at_t} siding S10: check the plan"),
        ("/plan", "how long T is, by the plan, cannot be told: measure it"),
    ]


def test_a_way_on_which_the_plan_is_at_fault_is_refused() -> None:
    document = fan_by_tape(pieces={"X": track(90.0)}, joins=[["T.b", "X.a"]])
    at_t = "the plan is at fault at T, on the way into"
    assert refused(document) == [
        ("/plan", f"{at_t} siding S2: check the plan"),
        ("/plan", f"{at_t} siding S10: check the plan"),
    ]
    assert list(lengths_of(yard(document, "headshunt H", "siding S1"))) == ["siding S1"]


def test_a_refusal_is_short_however_long_the_names_are() -> None:
    long = {
        name: name.ljust(80, "q") for name in ("P1", "T", "P2", "B1", "B2", "B10", "S1")
    }
    figures = fan_by_tape(pieces={"P2": taped_points()}, scale="00")
    deck = {"kind": "turntable", "deck_mm": 300.0, "roads": [0.0]}
    figures["pieces"] |= {"B1": deck}
    figures["joins"][3] = ["S1.a", "B1.r1"]
    document = {
        **figures,
        "pieces": {
            long.get(name, name): piece for name, piece in figures["pieces"].items()
        },
        "joins": [
            [long.get(piece, piece) + f".{end}" for piece, end in pairs]
            for pairs in ([end.split(".") for end in join] for join in figures["joins"])
        ],
    }
    for named in ((), (f"running line {long['S1']}",)):
        messages = [message for _, message in refused(document, "headshunt H", *named)]
        assert messages
        assert max(map(len, messages)) <= 200
