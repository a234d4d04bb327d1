"""Stock that callers ask about, and what is read off an answer; every figure is worked
out by hand here.
"""

from math import sqrt
from typing import Any

from api.ground import Ground

HOOK = {"reach_mm": 2}
ENGINE: dict[str, Any] = {
    "name": "Heron",
    "kind": "engine",
    "length_mm": 250,
    "length_over": "buffers",
    "front_coupling": HOOK,
    "rear_coupling": HOOK,
}
WAGON = ENGINE | {"name": "Coal wagon", "kind": "wagon", "length_mm": 100}
COACH: dict[str, Any] = {
    "name": "Coach",
    "kind": "coach",
    "length_mm": 270,
    "length_over": "buffers",
    "width_mm": 35,
    "bogie_centres_mm": 190,
    "bogie_wheelbase_mm": 30,
}


def fields(answer: dict[str, Any]) -> set[tuple[str | None, str]]:
    """Return what was assumed: of which vehicle, and which field."""
    return {(one.get("vehicle"), one["field"]) for one in answer["assumed"]}


def recorded(ground: Ground, *vehicles: dict[str, Any], **about: Any) -> str:
    """Put vehicles and their train on record; return the train's id."""
    kept = [
        ground.make("Vehicle", **{**vehicle, "width_mm": 34}) for vehicle in vehicles
    ]
    id_: str = ground.make(
        "Train", vehicles=[{"vehicle_id": one["id"]} for one in kept], **about
    )["id"]
    return id_


def throws(vehicle: dict[str, Any], *, radius_mm: float) -> tuple[float, float]:
    """Return centre and end throw. **Source** derived: axles on the track, pivots
    midway, the body their chord.
    """
    pivots, bogie = vehicle["bogie_centres_mm"], vehicle["bogie_wheelbase_mm"]
    middle = sqrt(radius_mm**2 - (bogie / 2) ** 2 - (pivots / 2) ** 2)
    half_width, half_length = vehicle["width_mm"] / 2, vehicle["length_mm"] / 2
    return (
        radius_mm - middle,
        sqrt((middle + half_width) ** 2 + half_length**2) - radius_mm - half_width,
    )
