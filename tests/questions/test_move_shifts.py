"""Points that are moved along: each is asked again of a plan that is laid with them
there, and so is every verdict that is said to turn.
"""

from typing import Any

import pytest

from questions.test_move_question import answered, length, plan
from standage.questions.move_answer import MoveAnswer, MoveShift

Json = dict[str, Any]


def parted(headshunt_mm: float, *, between_mm: float = 200, **more: Json) -> Json:
    """Return the wharf's plan with a piece N of plain track between P1 and P2."""
    changed = plan(H={"length_mm": headshunt_mm}, **more)
    track = {"kind": "track", "length_mm": between_mm, "state": "laid"}
    changed["pieces"]["N"] = track
    changed["joins"].remove(["P1.through", "P2.toe"])
    changed["joins"] += [["P1.through", "N.a"], ["N.b", "P2.toe"]]
    return changed


def as_moved(document: Json, shift: MoveShift, *, less_mm: int = 0) -> Json:
    """Return a plan that is laid as a shift says, or as if it were a little less."""
    pieces = {name: dict(piece) for name, piece in document["pieces"].items()}
    for one in shift.pieces:
        far_mm = one.lengthen_mm - less_mm * (1 if one.lengthen_mm > 0 else -1)
        pieces[one.piece]["length_mm"] += far_mm
    return {**document, "pieces": pieces}


def only_shift(answer: MoveAnswer) -> MoveShift:
    (shift,) = answer.shifts
    return shift


BACK: Json = {
    "from": {"place": "Wharf", "engine_towards": "points P1"},
    "to": {"place": "Loop", "engine_towards": "points P2"},
}


@pytest.mark.parametrize(
    ("headshunt_mm", "train_mm", "by_mm", "towards"),
    [
        # 430.3 in the headshunt, 600 at the wharf.
        (400.3, 480, 50, "legs"),
        (900, 640, 40, "toe"),
    ],
)
def test_each_shift_turns_the_verdicts_that_it_says_and_a_millimetre_less_does_not(
    headshunt_mm: float, train_mm: float, by_mm: int, towards: str
) -> None:
    document = parted(headshunt_mm)
    train = length(train_mm)
    answer = answered(plan=document, train=train, cures=True)
    assert answer.verdict == "impossible"
    shift = only_shift(answer)
    assert (shift.points, shift.by_mm, shift.towards) == ("P1", by_mm, towards)
    there = as_moved(document, shift)
    assert answered(plan=there, train=train).verdict == "possible"
    short = as_moved(document, shift, less_mm=1)
    assert answered(plan=short, train=train).verdict == "impossible"
    turned = {(one.asked, one.place): one.becomes for one in shift.turns}
    assert turned["move", "Wharf"] == "possible"
    assert turned["move_back", "Loop"] == "possible"
    for laid, verdict in ((document, "impossible"), (there, "possible")):
        assert answered(plan=laid, train=train, **BACK).verdict == verdict


def test_a_shift_says_what_it_touches_and_what_each_road_gains_or_loses() -> None:
    shift = only_shift(answered(plan=parted(400.3), train=length(480), cures=True))
    told = {one.piece: (one.lengthen_mm, one.state) for one in shift.pieces}
    assert told == {"H": (50, "planned"), "W": (-50, "planned"), "N": (-50, "laid")}
    assert shift.roads == {"Headshunt": 50, "Wharf": -50, "running line N": -50}
    assert shift.message == (
        "P1 moved 50 mm towards its legs leaves more room in Headshunt, less in Wharf"
        " and running line N"
    )


def test_where_the_train_then_stands_no_more_is_told() -> None:
    # N's road is clear from 215 beyond P1 to the blades of P2, 30 before their toe: it
    # holds 475 with 480 of N, and 445 when P1 has moved by the 30 that are missing.
    answer = answered(plan=parted(400, between_mm=480), train=length(460), cures=True)
    assert only_shift(answer).by_mm == 30
    assert ("standing", "running line N", "impossible") in _turns(answer)
    assert only_shift(answer).message.endswith(
        "the train stands no more in running line N"
    )
    # As it stands there with 520 of N before and after, and with 450 neither.
    for between_mm in (520, 450):
        other = answered(
            plan=parted(400, between_mm=between_mm), train=length(460), cures=True
        )
        assert "running line N" not in {place for _, place, _ in _turns(other)}


def _turns(answer: MoveAnswer) -> list[tuple[str, str | None, str]]:
    return [(one.asked, one.place, one.becomes) for one in only_shift(answer).turns]


def test_what_moved_points_are_taken_to_do_is_assumed() -> None:
    answer = answered(plan=parted(400.3), train=length(480), cures=True)
    assert "shifts" in {one.field for one in answer.assumed}
    unhelped = answered(plan=parted(400.3), train=length(480))
    assert unhelped.shifts == ()
    assert "shifts" not in {one.field for one in unhelped.assumed}


def test_between_two_sets_of_points_end_to_end_nothing_is_moved() -> None:
    answer = answered(plan=plan(H={"length_mm": 400}), cures=True)
    assert [one.piece for one in answer.cures] == ["H"]
    assert answer.shifts == ()


def test_advice_is_for_a_train_that_is_as_long_as_it_may_be() -> None:
    document = {**parted(400.3), "plus_minus": {"mm": 1, "mm_per_m": 1}}
    train = length(480, length_plus_minus_mm=2)
    answer = answered(plan=document, train=train, cures=True)
    assert answer.verdict == "impossible"
    shift = only_shift(answer)
    (cure,) = answer.cures
    # 480 and 2 of the train, 1 and 0.484 of the room: 483.484 less 430.3.
    assert (cure.lengthen_mm, shift.by_mm) == (54, 54)
    for less_mm, verdict in ((0, "possible"), (1, "tight")):
        moved = as_moved(document, shift, less_mm=less_mm)
        assert answered(plan=moved, train=train).verdict == verdict
        longer = {**document, "pieces": {**document["pieces"]}}
        longer["pieces"]["H"] = {"kind": "track", "length_mm": 454.3 - less_mm}
        assert answered(plan=longer, train=train).verdict == verdict
