"""The stock and the roads of the questions' examples: all of them invented."""

from typing import Any

Json = dict[str, Any]

NOBODY = "01932000-0000-7000-8000-00000000dead"
"""The id of nothing at all."""
HANGING_HOOK = {"reach_mm": 4.2, "reach_plus_minus_mm": 0.3}
MEASURED: Json = {
    "length_over": "buffers",
    "length_plus_minus_mm": 0.5,
    "front_coupling": HANGING_HOOK,
    "rear_coupling": HANGING_HOOK,
}
ENGINE: Json = {
    "name": "Quarry tank engine",
    "kind": "engine",
    "length_mm": 128,
    **MEASURED,
}
MILK_VAN: Json = {"name": "Milk van", "kind": "wagon", "length_mm": 96, **MEASURED}
MILK_VANS: Json = {**MILK_VAN, "count": 4}
MILK_TRAIN: Json = {"vehicles": [ENGINE, MILK_VANS]}
COACH: Json = {
    "name": "Saloon coach",
    "kind": "coach",
    "scale": "00",
    "length_mm": 252,
    "length_over": "buffers",
    "bogie_centres_mm": 172,
    "bogie_wheelbase_mm": 32,
    "width_mm": 36,
    "height_mm": 51,
}
SMALL_COACH: Json = {
    "name": "Saloon coach",
    "scale": "00",
    "length_mm": 25.2,
    "length_over": "buffers",
    "bogie_centres_mm": 17.2,
}
"""The coach with its lengths in centimetres."""
SIDING: Json = {"name": "Creamery road", "kind": "siding", "usable_length_mm": 520}
DAIRY_LOOP: Json = {"name": "Dairy loop", "kind": "loop", "usable_length_mm": 900}
SHORT_SIDING: Json = {**SIDING, "usable_length_mm": 0.52}
"""The siding with its length in metres."""
SHORT_ON_RECORD = ("Place", {"usable_length_mm": 0.9})
NO_TRAIN: Json = {
    "train": {"vehicles": [{"length_mm": 96}]},
    "place": {"kind": "barn"},
}
MODULE_END: Json = {
    "tracks": [{"name": "up", "offset_mm": -25.5}, {"name": "down", "offset_mm": 25.5}],
    "rail_height_mm": 1042,
    "connector": {
        "type": "9-way D",
        "pins": [
            {"pin": 1, "carries": "front rail"},
            {"pin": 2, "carries": "back rail"},
        ],
    },
}
YARD: Json = {
    "headshunt_usable_length_mm": 320,
    "sidings": [
        {"name": "Dairy", "usable_length_mm": 320},
        {"name": "Coal drop", "usable_length_mm": 210},
    ],
}
YARD_WAGONS = ("Churn van", "Coal", "Salt")
SHUNTING: Json = {
    "yard": YARD,
    "engine_length_mm": 136,
    "wagons": [{"name": name, "length_mm": 78} for name in YARD_WAGONS],
}
SMALL_WAGONS: Json = {
    "wagons": [{"name": name, "length_mm": 7.8, "scale": "00"} for name in YARD_WAGONS]
}
"""The wagons with their lengths in centimetres."""
SHUNTED: Json = {**SHUNTING, "start": {"sidings": [list(YARD_WAGONS), []]}}
PLAN: Json = {
    **SHUNTED,
    "goal": {"siding": "Dairy", "train": ["Salt", "Churn van", "Coal"]},
}
NO_PLAN: Json = {**PLAN, "goal": {"siding": "Bay", "train": ["Salt"]}}
PUZZLE: Json = {**SHUNTING, "siding": "Dairy", "train_wagons": 3, "seed": 7}
NO_PUZZLE: Json = {**PUZZLE, "train_wagons": 0}
