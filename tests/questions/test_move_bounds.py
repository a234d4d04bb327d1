"""What is answered of a move where a bound is hit, or where no one piece is enough."""

import re
from typing import Any

import pytest

from questions.test_move_question import WHARF_MM, answered, length, plan
from standage.questions.move_answer import MoveAnswer
from standage.railway.moves import cures, longest, search

Json = dict[str, Any]


def codes(answer: MoveAnswer) -> set[str]:
    return {reason.code for reason in answer.because}


@pytest.mark.parametrize("train_mm", [540.0, WHARF_MM + 1])
@pytest.mark.parametrize("budget", ["MOST_STEPS of a search", "MOST_STEPS of them all"])
def test_whatever_the_bound_nothing_is_told_that_more_steps_would_change(
    monkeypatch: pytest.MonkeyPatch, train_mm: float, budget: str
) -> None:
    asked: Json = {"train": length(train_mm, length_plus_minus_mm=0.5)}
    whole = answered(**asked)
    seen: set[str] = set()
    for steps in range(0, 60, 3):
        room = search if budget == "MOST_STEPS of a search" else longest
        monkeypatch.setattr(room, "MOST_STEPS", steps)
        answer = answered(**asked)
        seen.add(answer.verdict)
        assert answer.verdict in {whole.verdict, "cannot_tell"}
        for told, known in (
            (answer.longest_train_mm, whole.longest_train_mm),
            (answer.spare_mm, whole.spare_mm),
            (answer.reversals, whole.reversals),
            (answer.distance_mm, whole.distance_mm),
        ):
            assert told in {None, known}
        bounds = {"search_stopped", "not_all_looked_at"}
        if answer.verdict == "cannot_tell" or answer.longest_train_mm is None:
            assert codes(answer) & bounds
    assert whole.verdict in seen
    if budget == "MOST_STEPS of a search":
        assert "cannot_tell" in seen


def test_where_cures_were_not_all_tried_it_is_said(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    short = plan(H={"length_mm": 400})
    monkeypatch.setattr(cures, "MOST_STEPS", 0)
    answer = answered(plan=short, cures=True)
    assert answer.verdict == "impossible"
    assert answer.cures == ()
    assert "cures_stopped" in codes(answer)


def test_where_one_piece_alone_is_not_enough_both_are_named() -> None:
    # 540 of the train: 30 and 400 in the headshunt, 190 and 500 less 210 at the wharf.
    answer = answered(plan=plan(H={"length_mm": 400}, W={"length_mm": 500}), cures=True)
    assert answer.verdict == "impossible"
    assert answer.cures == ()
    (message,) = [
        one.message for one in answer.because if one.code == "one_is_not_enough"
    ]
    by_mm = dict(re.findall(r"(\w+) by (\d+) mm", message))
    assert by_mm == {"H": "110", "W": "60"}
    for headshunt_mm, wharf_mm, verdict in (
        (510, 560, "possible"),
        (509, 560, "impossible"),
        (510, 559, "impossible"),
        (400, 500 + cures.MOST_MM, "impossible"),
        (400 + cures.MOST_MM, 500, "impossible"),
    ):
        again = plan(H={"length_mm": headshunt_mm}, W={"length_mm": wharf_mm})
        assert answered(plan=again).verdict == verdict


def test_where_no_track_helps_it_is_said() -> None:
    answer = answered(propelling="forbidden", cures=True)
    assert answer.cures == ()
    assert "no_cure" in codes(answer)
    longer = {name: {"length_mm": 900 + cures.MOST_MM} for name in "HWMLE"}
    again = answered(plan=plan(**longer), propelling="forbidden")
    assert again.verdict == "impossible"
