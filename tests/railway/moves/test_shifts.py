"""Points that are moved along, against plans that are laid anew with them there."""

from copy import deepcopy
from random import Random
from typing import Any

import pytest

from railway.moves.test_cures import asked_of
from railway.moves.test_search import PUSHES
from standage.railway.moves.ground import Span, ground
from standage.railway.moves.longest import longest_train
from standage.railway.moves.search import searched
from standage.railway.moves.shifts import Shift, shifts
from standage.railway.moves.wanted import Wanted
from standage.railway.track.survey.survey import Survey
from support.random_yards import laid, random_plan, stand

Json = dict[str, Any]
LEGS = ("through", "branch")


def neighbours(document: Json, points: str) -> dict[str, str]:
    """Return the track that is joined to each end of points."""
    found = {}
    for one, other in document["joins"]:
        for end, mate in ((one, other), (other, one)):
            piece, name = end.split(".")
            if piece == points:
                found[name] = mate.split(".")[0]
    return found


def moved(document: Json, points: str, by_mm: float, *, to_toe: bool) -> Json | None:
    """Return the plan with points moved along; None where there is no track for it."""
    changed = deepcopy(document)
    left_mm = {
        name: piece["length_mm"]
        for name, piece in document["pieces"].items()
        if piece["kind"] == "track"
    }
    for end, piece in neighbours(document, points).items():
        gains = (end == "toe") != to_toe
        changed["pieces"][piece]["length_mm"] += by_mm if gains else -by_mm
        left_mm[piece] -= 0 if gains else by_mm
    return changed if min(left_mm.values()) >= 0 else None


def gets_there(document: Json, numbers: tuple[int, int], train_mm: float) -> bool:
    anew = laid(document)
    asked = asked_of(anew, numbers, train_mm)
    if train_mm > min(asked.start.length_mm, (asked.goal or asked.start).length_mm):
        return False
    return bool(searched(ground(anew.network, anew.points), asked).finishes)


@pytest.mark.parametrize("seed", range(PUSHES // 3))
def test_points_are_moved_by_the_least_that_does(seed: int) -> None:
    random = Random(170_000 + seed)
    document = random_plan(random)
    found = laid(document)
    places = sum(len(one.limits) == 2 for one in found.usable)
    if not places:
        return
    numbers = random.randrange(places), random.randrange(places)
    on = ground(found.network, found.points)
    now_mm = longest_train(on, asked_of(found, numbers, 0.0)).mm
    train_mm = now_mm + random.choice([0.5, 7.0, 13.0])
    told = {
        (one.points, one.to_toe): one.by_mm
        for one in shifts(on, asked_of(found, numbers, train_mm)).each
    }
    for name, piece in document["pieces"].items():
        if piece["kind"] != "points":
            continue
        for to_toe in (True, False):
            by_mm = told.pop((name, to_toe), None)
            least_mm = by_mm or 61
            tried = {least_mm - 1, *random.sample(range(1, least_mm + 1), 1)}
            for much_mm in tried - {0, by_mm}:
                anew = moved(document, name, much_mm, to_toe=to_toe)
                assert anew is None or not gets_there(anew, numbers, train_mm)
            if by_mm is not None:
                anew = moved(document, name, by_mm, to_toe=to_toe)
                assert anew is not None
                assert gets_there(anew, numbers, train_mm)
    assert told == {}


def points(**more: Any) -> Json:
    return {
        "kind": "points",
        "toe_mm": 0,
        "through_mm": 100,
        "branch_mm": 100,
        "fouling_through_mm": 100,
        "fouling_branch_mm": 100,
        **more,
    }


def track(mm: float) -> Json:
    return {"kind": "track", "length_mm": mm}


def fan(**pieces: Json) -> Json:
    """Return a headshunt H, a road L straight on and a road W that turns out."""
    stops = {f"B{name}": {"kind": "buffer_stop"} for name in "HLW"}
    roads = {"H": track(300), "L": track(500), "W": track(500)}
    whole = {**stops, **roads, "P": points()}
    for name, figures in pieces.items():
        whole[name] = whole.get(name, {}) | figures
    return {
        "pieces": whole,
        "joins": [
            ["BH.a", "H.a"],
            ["H.b", "P.toe"],
            ["P.through", "L.a"],
            ["P.branch", "W.a"],
            ["L.b", "BL.a"],
            ["W.b", "BW.a"],
        ],
    }


def from_l(found: Survey, to: str, train_mm: float) -> Wanted:
    """Return what is wanted of a train that goes from where L lies to another road."""
    own = {
        piece: stand(one)
        for one in found.usable
        for piece in one.road.pieces
        if len(one.limits) == 2
    }
    return Wanted(start=own["L"], engine_towards=1, train_mm=train_mm, goal=own[to])


def shifted(
    document: Json, train_mm: float, to: str = "W", **standing: tuple[float, float]
) -> list[Shift]:
    found = laid(document)
    spans = [Span(found.network.first_of[name], *at) for name, at in standing.items()]
    on = ground(found.network, found.points, standing=spans)
    return list(shifts(on, from_l(found, to, train_mm)).each)


def told(
    document: Json, train_mm: float, to: str = "W", **standing: tuple[float, float]
) -> list[Any]:
    each = shifted(document, train_mm, to, **standing)
    return [(one.points, one.by_mm, one.to_toe) for one in each]


def test_what_one_road_gains_the_others_lose() -> None:
    # 300 in the headshunt: 20 more, and 480 in each of the others.
    (shift,) = shifted(fan(), 320)
    assert (shift.points, shift.by_mm, shift.to_toe) == ("P", 20, False)
    network = laid(fan()).network
    by_mm = {
        network.piece_of[one]: change.by_mm for one, change in shift.changes.items()
    }
    assert by_mm == {"H": 20, "L": -20, "W": -20}
    # At 400 all are as long; there is no shift for more.
    assert told(fan(), 400) == [("P", 100, False)]
    assert told(fan(), 401) == []


def test_no_more_is_taken_than_there_is_nor_what_other_stock_stands_on() -> None:
    # Into the headshunt: 20 more of it, and 20 less of both roads beyond.
    assert told(fan(), 320, "H") == [("P", 20, False)]
    assert told(fan(), 320, "H", W=(20, 90)) == [("P", 20, False)]
    assert told(fan(), 320, "H", W=(19.5, 90)) == []
    assert told(fan(W={"length_mm": 20}), 320, "H") == [("P", 20, False)]
    assert told(fan(W={"length_mm": 19.5}), 320, "H") == []
    assert told(fan(), 320, "H", P=(10, 20)) == []


def test_points_are_moved_only_along_straight_track() -> None:
    curve = {"kind": "curve", "radius_mm": 600, "hand": "left"}
    assert told(fan(H=curve), 320) == []
    assert told(fan(L=curve), 320) == []


def test_a_curve_beyond_the_branch_moves_along_with_the_points() -> None:
    parted = fan(C={"kind": "curve", "radius_mm": 600, "length_mm": 90, "hand": "left"})
    parted["joins"].remove(["P.branch", "W.a"])
    parted["joins"] += [["P.branch", "C.a"], ["C.b", "W.a"]]
    (shift,) = shifted(parted, 320)
    network = laid(parted).network
    assert {network.piece_of[one] for one in shift.changes} == {"H", "L", "W"}
    assert told(parted, 320, C=(10, 20)) == []


def test_where_no_plain_track_gives_or_takes_no_points_are_moved() -> None:
    close = fan()
    close["joins"].remove(["P.through", "L.a"])
    close["pieces"] |= {"Q": points(), "BQ": {"kind": "buffer_stop"}}
    close["joins"] += [
        ["P.through", "Q.toe"],
        ["Q.through", "L.a"],
        ["Q.branch", "BQ.a"],
    ]
    assert told(close, 320) == []
