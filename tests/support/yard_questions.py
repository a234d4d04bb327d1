"""Questions about yards as callers send them, with everything inline."""

from collections.abc import Sequence
from typing import Any

import pytest

from standage.questions.asked import inline_yard
from standage.questions.yard_wagons import AskedWagon
from standage.railway.stock.vehicles import Standing
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

YARD: dict[str, Any] = {
    "headshunt_usable_length_mm": 340,
    "sidings": [
        {"name": "Long", "usable_length_mm": 400},
        {"name": "Left", "usable_length_mm": 240},
        {"name": "Right", "usable_length_mm": 240},
    ],
}
WAGONS = [{"name": name, "length_mm": 80} for name in "ABCDEFGH"]
START = {"engine": [], "sidings": [list("ABCDE"), list("FGH"), []]}


def vehicles(asked: Sequence[AskedWagon]) -> list[Standing]:
    """Return inline wagons as the resolver of sources does."""
    return [
        Standing(**{name: getattr(one, name) for name in Standing.__struct_fields__})
        for one in asked
    ]


def faults(
    kind: Any, body: dict[str, Any], case_of: Any
) -> set[tuple[str | None, str]]:
    def ask() -> None:
        request = convert(body, kind)
        case_of(request, inline_yard(request.yard), vehicles(request.wagons))

    with pytest.raises(Faulty) as refused:
        ask()
    return {(fault.pointer, fault.code) for fault in refused.value.faults}


def codes(answer: Any) -> list[str]:
    """Return the codes of an answer's reasons in their order."""
    return [reason.code for reason in answer.because]
