"""An amount that stands beside a reason is the one that its sentence tells, in every
recorded answer.
"""

import json
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

from standage.railway.terms.figures import millimetres

OTHERWISE = {"curve_uncertain"}
"""Reasons whose amount is a ± that the sentence has taken off already."""


def reasons(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        if value.get("amount_mm") is not None and "message" in value:
            yield value
        for one in value.values():
            yield from reasons(one)
    elif isinstance(value, list):
        for one in value:
            yield from reasons(one)


def test_the_amount_beside_a_reason_stands_in_its_sentence() -> None:
    recorded = json.loads(
        files("standage").joinpath("api/document/examples.json").read_text()
    )
    found = [one for one in reasons(recorded) if one["code"] not in OTHERWISE]
    assert len(found) >= 5
    assert [
        one for one in found if millimetres(one["amount_mm"]) not in one["message"]
    ] == []
