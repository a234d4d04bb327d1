"""Asks every question as it declares itself: its example, and what is asked amiss."""

from collections.abc import Mapping

from api.asking import NOBODY
from api.declared import in_body, parameters
from api.example_recorder import Recorder
from standage.questions.catalogue import every_question
from standage.questions.question import Asking


def play_questions(recorder: Recorder, ids: Mapping[str, str]) -> None:
    """Ask every question; ``ids`` are of what is on record, by their names in
    addresses.
    """
    for one in every_question():
        if in_body(one):
            recorder.ask(one.id, one.example, at=ids)
            recorder.ask(one.id, one.refused, at=ids)
        else:
            _by_address(recorder, one, ids)


def _by_address(recorder: Recorder, one: Asking, ids: Mapping[str, str]) -> None:
    query = parameters(one.example).format(**ids)
    recorder.ask(one.id, at=ids, query=query)
    names = [name for name in ids if f"{{{name}}}" in one.at]
    if names:
        recorder.ask(one.id, at={**ids, names[-1]: NOBODY}, query=query)
    if one.refused is not None:
        recorder.ask(one.id, at=ids, query=parameters(one.refused).format(**ids))
