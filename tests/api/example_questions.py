"""Asks every question as it declares itself: its example, and what is asked amiss."""

from collections.abc import Mapping
from urllib.parse import quote, urlencode

from api.asking import NOBODY
from api.example_recorder import Recorder
from standage.questions.catalogue import every_question
from standage.questions.question import Asking, Drawing, Json, Question


def play_questions(recorder: Recorder, ids: Mapping[str, str]) -> None:
    """Ask every question; ``ids`` are of what is on record, by their names in
    addresses.
    """
    for one in every_question():
        if in_body(one):
            recorder.ask(one.id, one.example)
            recorder.ask(one.id, one.refused)
        else:
            _by_address(recorder, one, ids)


def _by_address(recorder: Recorder, one: Asking, ids: Mapping[str, str]) -> None:
    names = [name for name in ids if f"{{{name}}}" in one.at]
    recorder.ask(one.id, at=ids, query=parameters(one.example, ids))
    for name in names[-1:]:
        query = parameters(one.example, ids)
        recorder.ask(one.id, at={**ids, name: NOBODY}, query=query)
    if one.refused is not None:
        recorder.ask(one.id, at=ids, query=parameters(one.refused, ids))


def in_body(one: Asking) -> bool:
    """Tell whether a question is asked with a body."""
    if isinstance(one, Question):
        return one.asked_by == "body"
    return isinstance(one, Drawing)


def parameters(asked: Json, ids: Mapping[str, str]) -> str:
    """Return what is asked as it stands beside an address, with the ids filled in."""
    values = {name: str(value).format(**ids) for name, value in asked.items()}
    return urlencode(values, quote_via=quote)
