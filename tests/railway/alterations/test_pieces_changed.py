"""What an alteration does to the pieces of a plan: against coordinates by hand, and
against itself the other way round.
"""

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given

from standage.railway.alterations.pieces_changed import PiecesChanged, pieces_changed
from standage.railway.track.plans.plan import Plan
from standage.railway.track.survey.survey import survey
from support.any_plans import any_plans
from support.track_plans import Document, curve, passing_loop, read_plan, straight

BOARD = {"outline": [[-100, -200], [3000, -200], [3000, 400], [-100, 400]]}


def changed(before: Document, after: Document) -> PiecesChanged:
    plans = [read_plan({"scale": "00", **one}) for one in (before, after)]
    return pieces_changed(*map(survey, plans))


def in_a_row(*lengths_mm: float, state: str | None = None, **about: Any) -> Document:
    """Return straights one behind the other, A, B, C …, from 0 to the right."""
    names = "ABCDEFG"[: len(lengths_mm)]
    pieces = {
        name: straight(length_mm) | ({"state": state} if state else {})
        for name, length_mm in zip(names, lengths_mm, strict=True)
    }
    joins = [[f"{a}.b", f"{b}.a"] for a, b in pairwise(names)]
    return {"pieces": pieces, "joins": joins, **about}


def told(pieces: Any) -> dict[str, float | None]:
    return {one.piece: one.by_mm for one in pieces}


def nothing(pieces: PiecesChanged) -> bool:
    lists = (pieces.added, pieces.removed, pieces.moved, pieces.altered)
    return not any((*lists, pieces.rejoined))


@given(any_plans())
def test_compared_with_itself_nothing_changes(plan: Plan) -> None:
    found = survey(plan)
    assert nothing(pieces_changed(found, found))


@given(any_plans(), any_plans())
def test_the_other_way_round_everything_does_the_other_way(
    one: Plan, other: Plan
) -> None:
    there, back = survey(one), survey(other)
    forth = pieces_changed(there, back)
    again = pieces_changed(back, there)
    assert set(told(forth.added)) == set(told(again.removed))
    assert set(told(forth.removed)) == set(told(again.added))
    assert set(told(forth.altered)) == set(told(again.altered))


def test_with_a_board_what_lies_behind_a_longer_piece_has_moved() -> None:
    before = in_a_row(300, 400, 500, board=BOARD)
    after = in_a_row(300, 437.5, 500, board=BOARD)
    found = changed(before, after)
    assert told(found.altered) == {"B": 37.5}
    assert told(found.moved) == {"C": 37.5}


def test_without_one_what_is_laid_stands_and_the_rest_has_moved() -> None:
    before = in_a_row(300, 400, 500, 600)
    after = in_a_row(310, 400, 500, 600)
    for name in "CD":
        before["pieces"][name]["state"] = after["pieces"][name]["state"] = "laid"
    found = changed(before, after)
    assert told(found.altered) == {"A": 10.0}
    assert told(found.moved) == {}
    assert found.coming_up == ()


def test_what_is_laid_stands_though_more_of_what_is_planned_would() -> None:
    before = in_a_row(300, 400, 500, 200, 600)
    after = in_a_row(300, 400, 500, 210, 600)
    before["pieces"]["E"]["state"] = after["pieces"]["E"]["state"] = "laid"
    found = changed(before, after)
    assert told(found.moved) == {"A": 10.0, "B": 10.0, "C": 10.0}
    assert told(found.altered) == {"D": 10.0}


def test_each_piece_has_its_state_and_the_laid_ones_stand_first() -> None:
    before = in_a_row(300, 400, 500, board=BOARD)
    before["pieces"]["B"]["state"] = "laid"
    before["pieces"]["C"]["state"] = "fixed"
    found = changed(before, {**before, "pieces": {}, "joins": []})
    gone = [(one.piece, one.state) for one in found.removed]
    assert gone == [("B", "laid"), ("C", "fixed"), ("A", "planned")]
    back = changed({**before, "pieces": {}, "joins": []}, before)
    assert [(one.piece, one.state) for one in back.added] == gone


def test_a_piece_that_has_no_place_in_one_of_the_plans_has_moved_by_nobody_knows() -> (
    None
):
    track = {"kind": "track", "length_mm": 400}
    after = in_a_row(300, 400, 500, board=BOARD)
    unknown = {**after, "pieces": {**after["pieces"], "B": track}}
    for one, other in ((unknown, after), (after, unknown)):
        found = changed(one, other)
        assert told(found.moved) == {}
        assert set(told(found.altered)) == {"B"}


def test_of_equal_plans_somewhere_else_nothing_has_moved_without_ground() -> None:
    before = in_a_row(300, 400, 500)
    after = {**before, "joins": before["joins"][::-1]}
    assert nothing(changed(before, after))


def test_on_its_board_a_plan_laid_elsewhere_has_moved() -> None:
    placed = {"piece": "A", "x_mm": 0, "y_mm": 0, "heading_deg": 0}
    before = in_a_row(300, 400, board=BOARD, placed=[placed])
    after = {**before, "placed": [{**placed, "x_mm": 30, "y_mm": 40}]}
    assert told(changed(before, after).moved) == {"A": 50.0, "B": 50.0}


def test_a_curve_that_turns_less_moves_what_follows_by_the_chord_of_the_turn() -> None:
    # Both ways of a quarter and of an eighth of a circle, by hand: radius 400.
    before: Document = {
        "pieces": {"A": straight(200), "C": curve(400, 90), "E": straight(100)},
        "joins": [["A.b", "C.a"], ["C.b", "E.a"]],
        "board": BOARD,
    }
    after = {**before, "pieces": {**before["pieces"], "C": curve(400, 45)}}
    root = 2**0.5 / 2
    was = complex(600, 500)
    now = complex(200 + 400 * root + 100 * root, 400 * (1 - root) + 100 * root)
    (moved,) = changed(before, after).moved
    assert moved.piece == "E"
    assert moved.by_mm == pytest.approx(abs(now - was), abs=1e-6)


def test_what_is_laid_and_taken_out_moved_or_made_otherwise_has_to_come_up() -> None:
    before = in_a_row(300, 400, 500, 600, state="laid", board=BOARD)
    before["pieces"]["D"]["state"] = "fixed"
    after = in_a_row(300, 420, 500, state="laid", board=BOARD)
    after["pieces"]["N"] = straight(50)
    found = changed(before, after)
    assert [one.piece for one in found.coming_up] == ["B", "C", "D"]
    assert [one.state for one in found.coming_up] == ["laid", "laid", "fixed"]


def test_laying_what_was_planned_changes_nothing() -> None:
    assert nothing(changed(in_a_row(300, 400), in_a_row(300, 400, state="laid")))


def test_a_piece_that_stands_and_is_joined_otherwise_is_told() -> None:
    before = in_a_row(300, 400, 500)
    after = {**before, "joins": before["joins"][:1]}
    placed = [{"piece": "C", "x_mm": 700, "y_mm": 0, "heading_deg": 0}]
    after["placed"] = [{**placed[0], "piece": "A", "x_mm": 0}, *placed]
    found = changed(before, after)
    assert set(told(found.rejoined)) == {"B", "C"}
    assert told(found.moved) == {}


def test_a_mirrored_plan_is_altered_by_as_much() -> None:
    before, after = passing_loop(main_mm=1000), passing_loop(main_mm=1040)
    turned = [mirrored(one) for one in (before, after)]
    assert changed(before, after) == changed(*turned)


def mirrored(plan: Document) -> Document:
    other = {"left": "right", "right": "left"}
    pieces = {
        name: piece | ({"hand": other[piece["hand"]]} if "hand" in piece else {})
        for name, piece in plan["pieces"].items()
    }
    return {**plan, "pieces": pieces}
