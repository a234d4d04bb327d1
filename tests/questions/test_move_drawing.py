"""The sheet of a move: what is drawn is what is answered."""

from copy import deepcopy

import pytest

from questions.test_move_question import FULLERS_WHARF, Json, answered, body
from standage.questions.drawing_cases import OnSheet
from standage.questions.move import MoveRequest, gather
from standage.questions.move_drawing import move_sheet
from standage.questions.plan_drawing import PaperQuery
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.sheets import read, words


def drawn(look: PaperQuery | None = None, **changed: Json) -> list[str]:
    """Return all words on the sheet of the example, changed."""
    request = convert(body(**changed), MoveRequest)
    case = gather(Sources(None, ""), request)
    sheet = move_sheet(OnSheet(case=case, look=look or PaperQuery()))
    return words(read(sheet))


def test_every_run_of_the_answer_is_told_on_the_sheet() -> None:
    said = " ".join(drawn())
    answer = answered()
    assert len(answer.runs) > 1
    for number, run in enumerate(answer.runs, 1):
        assert f"{number}. {run.message}" in said
    assert "A train of 540 mm from Loop to Wharf" in said


def test_a_train_that_does_not_get_there_is_told_why() -> None:
    said = drawn(train={"length_mm": 1540})
    answer = answered(train={"length_mm": 1540})
    assert answer.verdict == "impossible"
    assert "Impossible: a train of 1540 mm from Loop to Wharf" in said
    assert answer.because[0].message in said


def test_a_likely_slip_stands_on_the_sheet() -> None:
    slip = answered(train={"length_mm": 0.54}).warnings[0]
    assert slip.message in " ".join(drawn(train={"length_mm": 0.54}))


def test_a_page_that_there_is_not_is_refused() -> None:
    with pytest.raises(Faulty) as refusal:
        drawn(PaperQuery(page=2))
    (fault,) = refusal.value.faults
    assert (fault.parameter, fault.message) == ("page", "the last page is 1")


def test_a_title_keeps_long_names_short_and_names_the_goal() -> None:
    document = deepcopy(FULLERS_WHARF)
    wharf = "Wharf " + "by the old gasworks " * 5
    for place in document["places"]:
        if place["name"] == "Wharf":
            place["name"] = wharf.strip()
    said = " ".join(drawn(plan=document, to={"place": wharf.strip()}))
    assert f"from Loop to {wharf[:40]}…" in said
