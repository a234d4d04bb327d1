"""What is answered of a climb, and what is refused."""

from copy import deepcopy
from typing import Any

import pytest

from standage.shapes.faults import Faulty
from support.asked_climbs import EXAMPLE, asked, over
from support.climbing import Peg, Row, row

Json = dict[str, Any]
CLIMB = [Peg(400, 0.0), Peg(1400, 30.0)]
LONG = row([900, 2000, 1500], [Peg(900, 0.0), Peg(2900, 60.0)])


def climbing() -> Row:
    return row([500, 700, 800], CLIMB, turned=[1])


@pytest.mark.parametrize(
    ("rise_mm", "listed"), [(7.49, False), (7.5, True), (40.0, True)]
)
def test_stock_runs_away_from_half_a_per_cent(rise_mm: float, *, listed: bool) -> None:
    """1,500 mm of place: 7.5 mm are 0.5 %. It runs to the lower end."""
    one = row([500, 1000], [Peg(0, rise_mm), Peg(1500, 0.0)])
    answer = over(one, 300)
    assert [where.name for where in answer.runaway] == ["First", "Last"] * listed
    if listed:
        assert answer.runaway[0].percent == pytest.approx(rise_mm / 15, abs=1e-6)
        assert "chock" in answer.runaway[0].message
        assert answer.runaway[0].towards == "second"
        assert "down towards its second end" in answer.runaway[0].message


def test_a_place_is_as_steep_as_its_steepest_part_and_towards_its_lower_end() -> None:
    """Level but for its last 100 mm, which fall by 2 mm towards the buffers."""
    plan = {
        **row([1000, 800], [Peg(900, 2.0), Peg(1000, 0.0)]).plan,
        "places": [
            {"name": "Yard", "on": ["T0", "T1"], "ends": ["west", "east"]},
            {"name": "Level", "stretch": [{"piece": "T0", "from_mm": 0, "to_mm": 900}]},
        ],
    }
    (yard,) = asked(
        {"plan": plan, "train": {"length_mm": 100}, "route": ["Yard"]}
    ).runaway
    assert (yard.name, yard.percent, yard.towards) == ("Yard", 2.0, "east")
    level = asked({"plan": plan, "train": {"length_mm": 100}, "route": ["Level"]})
    assert level.runaway == ()


def test_stock_that_stands_elsewhere_runs_away_too() -> None:
    stretch = [{"piece": "Bank", "from_mm": 1200, "to_mm": 1400}]
    standing = [{"name": "Loose wagons", "stretch": stretch}]
    train = {"length_mm": 300}
    body = EXAMPLE | {
        "standing": standing,
        "route": ["running line Low"],
        "train": train,
    }
    (runaway,) = asked(body).runaway
    assert runaway.name == "Loose wagons"
    assert runaway.towards == "where its stretch begins"


def test_what_nobody_measured_is_named() -> None:
    plan = {name: value for name, value in EXAMPLE["plan"].items() if name != "heights"}
    answer = asked(EXAMPLE | {"plan": plan})
    assert (answer.verdict, answer.worst) == ("cannot_tell", None)
    named = [one.field for one in answer.because if one.code == "missing_figure"]
    assert named == ["Low", "P1", "Bank"]


def test_two_heights_at_one_place_cannot_be_told() -> None:
    one = row([500, 700, 800], [Peg(400, 0.0), Peg(900, 5.0)])
    one.plan["heights"].append({"piece": "T1", "at_mm": 400, "height_mm": 9})
    answer = over(one, 200)
    assert answer.verdict == "cannot_tell"
    assert {reason.code for reason in answer.because} == {"plan_fault", "two_heights"}


def test_vertical_curves_that_overlap_cannot_be_told() -> None:
    one = row([1000, 1000], [Peg(400, 0.0, 300), Peg(900, 5.0, 201)])
    answer = over(one, 200)
    assert answer.verdict == "cannot_tell"
    assert answer.because[0].code == "plan_fault"
    assert answer.because[1].field == "T0"


def test_a_train_longer_than_the_route_cannot_be_told() -> None:
    answer = over(climbing(), 2000.5)
    assert answer.verdict == "cannot_tell"
    assert [one.code for one in answer.because] == ["longer_than_route"]
    assert over(climbing(), 2000).worst is not None


def test_a_train_of_unknown_length_cannot_be_told() -> None:
    bare = {"name": "Harbour tank", "kind": "engine", "scale": "H0"}
    answer = over(LONG, 1, train={"vehicles": [bare]})
    assert answer.verdict == "cannot_tell"
    assert answer.because != ()


def refused(body: Json) -> set[tuple[str | None, str]]:
    with pytest.raises(Faulty) as refusal:
        asked(body)
    return {(fault.pointer, fault.code) for fault in refusal.value.faults}


def test_a_route_that_needs_a_reversal_is_refused_and_names_the_pair() -> None:
    route = ["running line Bank", "running line Low", "running line Quay"]
    assert refused(EXAMPLE | {"route": route}) == {("/route/2", "needs_reversal")}
    route = ["running line Low", "running line Quay"]
    assert refused(EXAMPLE | {"route": route}) == {("/route/1", "needs_reversal")}


def test_places_that_are_not_there_are_all_named() -> None:
    route = ["running line Lo", "running line Bank", "Top"]
    assert refused(EXAMPLE | {"route": route}) == {
        ("/route/0", "no_such_road"),
        ("/route/2", "no_such_road"),
    }


def test_tracks_that_nothing_joins_are_told_apart_from_reversals() -> None:
    plan = deepcopy(EXAMPLE["plan"])
    plan["pieces"]["Far"] = {"kind": "straight", "length_mm": 900}
    body = EXAMPLE | {"plan": plan, "route": ["running line Bank", "running line Far"]}
    assert refused(body) == {("/route/1", "no_way")}


@pytest.mark.parametrize(
    ("haulage", "pointer"),
    [
        ({}, "/haulage/vehicles_on_level"),
        ({"vehicles_on_level": 9, "drawbar_pull_g": 9}, "/haulage/drawbar_pull_g"),
        ({"vehicles_on_level": 9, "engine_mass_g": 9}, "/haulage/engine_mass_g"),
        ({"trial": {"gradient_percent": 2}}, "/haulage/trial/vehicles"),
    ],
)
def test_the_strength_is_given_one_way(haulage: Json, pointer: str) -> None:
    assert pointer in {at for at, _ in refused(EXAMPLE | {"haulage": haulage})}


def loop(*, near_mm: float = 1000, **more: Any) -> Json:
    """Return a loop whose far road has 1,300 mm between its points."""
    taped = {
        "kind": "points",
        "toe_mm": 30,
        "through_mm": 180,
        "branch_mm": 190,
        "fouling_through_mm": 215,
        "fouling_branch_mm": 210,
    }
    track = {"W": 800, "Near": near_mm, "Far": 1300, "E": 800}
    pieces: Json = {
        name: {"kind": "track", "length_mm": length_mm}
        for name, length_mm in track.items()
    }
    pieces |= {"P1": taped, "P2": taped}
    joins = [
        ["W.b", "P1.toe"],
        ["P1.through", "Near.a"],
        ["Near.b", "P2.through"],
        ["P1.branch", "Far.a"],
        ["Far.b", "P2.branch"],
        ["P2.toe", "E.a"],
    ]
    heights = [{"piece": "W", "at_mm": 0, "height_mm": 5}]
    plan = {"pieces": pieces, "joins": joins, "heights": heights}
    route = ["running line W", "running line E"]
    return {"plan": plan, "train": {"length_mm": 300}, "route": route, **more}


def test_of_two_ways_the_shorter_is_taken_and_that_is_said() -> None:
    answer = asked(loop())
    assert "Near" in answer.pieces
    assert "Far" not in answer.pieces
    # 800 + 30 + 180 + 1,000 + 180 + 30 + 800, from end to end
    assert answer.distance_mm == 3020
    assert "route/1" in {one.field for one in answer.assumed}


def test_what_is_shorter_hangs_on_lengths_alone() -> None:
    # 2 × 180 and 1,321 by the one, 2 × 190 and 1,300 by the other
    assert "Far" in asked(loop(near_mm=1321)).pieces
    assert "Near" in asked(loop(near_mm=1319)).pieces


def test_places_on_one_piece_follow_each_other_and_may_overlap() -> None:
    stretches = {"A": (100, 600), "B": (500, 1000), "C": (1200, 1900)}
    plan = {
        **row([2000, 400], [Peg(0, 0.0)]).plan,
        "places": [
            {
                "name": name,
                "stretch": [{"piece": "T0", "from_mm": from_mm, "to_mm": to_mm}],
            }
            for name, (from_mm, to_mm) in stretches.items()
        ],
    }
    body = {"plan": plan, "train": {"length_mm": 200}}
    for route, mm in (("AB", 900), ("AC", 1800), ("ABC", 1800), ("CA", 1800)):
        assert asked({**body, "route": list(route)}).distance_mm == mm
    assert refused({**body, "route": ["A", "C", "B"]}) == {
        ("/route/2", "needs_reversal")
    }


def test_a_place_between_says_which_way_is_meant() -> None:
    far = asked(loop(route=["running line W", "loop Far", "running line E"]))
    assert "Far" in far.pieces
    # 800 + 30 + 190 + 1,300 + 190 + 30 + 800
    assert far.distance_mm == 3340
    assert not {one.field for one in far.assumed} & {"route/1", "route/2"}


def test_points_out_of_use_and_standing_stock_bar_the_shorter_way() -> None:
    shut = asked(loop(out_of_use={"P1": "branch"}))
    assert "Far" in shut.pieces
    stretch = [{"piece": "Near", "from_mm": 400, "to_mm": 500}]
    stands = asked(loop(standing=[{"name": "Vans", "stretch": stretch}]))
    assert "Far" in stands.pieces
    both = loop(out_of_use={"P1": "through"}, route=["running line W", "loop Far"])
    # out to E and back over P2
    assert refused(both) == {("/route/1", "needs_reversal")}


def test_a_wall_of_track_is_told_with_the_run_that_it_has() -> None:
    """90 mm up in 10 mm of track: 1 in 1/9."""
    one = row([500, 10, 500], [Peg(500, 0.0), Peg(510, 90.0)])
    said = over(one, 10).because[-1].message
    assert "900.00 % (1 in 0.11)" in said
    gentler = row([500, 400, 500], [Peg(500, 0.0), Peg(900, 300.0)])
    assert "75.00 % (1 in 1.3)" in over(gentler, 400).because[-1].message
    flatter = row([500, 2000, 500], [Peg(500, 0.0), Peg(2500, 40.0)])
    assert "2.00 % (1 in 50)" in over(flatter, 400).because[-1].message


def test_what_no_figure_rests_on_is_said() -> None:
    def fields(**more: Any) -> set[str]:
        return {one.field for one in over(climbing(), 300, **more).assumed}

    assert not fields() & {"plus_minus_mm", "margin_mm"}
    vague = {"length_mm": 300, "length_plus_minus_mm": 5}
    assert "plus_minus_mm" in fields(train=vague)
    assert "margin_mm" in fields(margin_mm=40)
    plan = {**EXAMPLE["plan"], "plus_minus": {"mm": 2}}
    taped = asked(EXAMPLE | {"plan": plan})
    assert "plus_minus_mm" in {one.field for one in taped.assumed}


def test_a_train_longer_than_its_only_place_is_told_to_name_one_beside_it() -> None:
    alone = asked(
        EXAMPLE | {"route": ["running line Low"], "train": {"length_mm": 2e3}}
    )
    assert [one.code for one in alone.because] == ["longer_than_route"]
    assert "one before it or after it" in alone.because[0].message
    both = asked(EXAMPLE | {"train": {"length_mm": 2e3}})
    assert both.worst is not None
