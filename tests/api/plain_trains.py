"""Trains whose lengths are the plain sums of their vehicles', inline and on record, and
roads without any ±.
"""

from typing import Any

from api.asking import Caller
from api.ground import Ground

COUPLED: dict[str, Any] = {"length_over": "couplings", "length_plus_minus_mm": 0}


def coach(name: str, length_mm: float, **about: Any) -> dict[str, Any]:
    """Return a vehicle measured over its couplings, exact: a train of such is the sum
    of their lengths.
    """
    return COUPLED | {"name": name, "length_mm": length_mm} | about


def asked(caller: Caller, question: str, body: dict[str, Any]) -> dict[str, Any]:
    response = caller.ask("POST", f"/v1/checks/{question}", body)
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


def road(name: str, usable_length_mm: float | None, **about: Any) -> dict[str, Any]:
    return {
        "kind": "storage_road",
        "name": name,
        "usable_length_mm": usable_length_mm,
        "plus_minus_mm": 0,
    } | about


def train(name: str, *lengths_mm: float) -> dict[str, Any]:
    return {
        "name": name,
        "vehicles": [
            coach(f"{name} {number}", one) for number, one in enumerate(lengths_mm)
        ],
    }


def recorded_train(ground: Ground, name: str, *lengths_mm: float) -> dict[str, Any]:
    kept = [
        ground.make("Vehicle", **coach(f"{name} {number}", one))
        for number, one in enumerate(lengths_mm)
    ]
    return ground.make(
        "Train", name=name, vehicles=[{"vehicle_id": one["id"]} for one in kept]
    )
