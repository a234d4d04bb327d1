"""The club whose requests stand in the document as examples: all of it invented."""

from typing import Any

from standage.questions import example_stock

Json = dict[str, Any]

CLUB = "Copper Lane Railway Circle"
STEWARD = "Juniper"

HOOK = {"type": "lane hook"}
COUPLING_TYPE: Json = {
    "name": "lane hook",
    "reach_mm": 4.2,
    "reach_plus_minus_mm": 0.3,
    "play_mm": 0.8,
    "mates_with": ["small hook-and-bar"],
    "notes": "Bent to the circle's own gauge; measured on twelve wagons.",
}
ENGINE: Json = {
    "name": "Quarry tank engine",
    "kind": "engine",
    "scale": "00",
    "length_mm": 128,
    "length_over": "buffers",
    "length_from": "measured",
    "rigid_wheelbase_mm": 56,
    "width_mm": 34,
    "height_mm": 51,
    "minimum_radius_mm": 420,
    "mass_g": 205,
    "front_coupling": HOOK,
    "rear_coupling": HOOK,
}
MILK_VAN: Json = {
    "name": "Milk van",
    "kind": "wagon",
    "scale": "00",
    "count": 6,
    "length_mm": 96,
    "length_over": "buffers",
    "length_from": "measured",
    "rigid_wheelbase_mm": 54,
    "width_mm": 33,
    "height_mm": 49,
    "front_coupling": HOOK,
    "rear_coupling": HOOK,
}
BRAKE_VAN: Json = {
    **MILK_VAN,
    "name": "Brake van",
    "kind": "brake_van",
    "count": 1,
    "length_mm": 104,
}
LAYOUT: Json = {"name": "Weir Bottom", "scale": "00", "minimum_radius_mm": 438}
CREAMERY_ROAD: Json = {
    "name": "Creamery road",
    "kind": "siding",
    "usable_length_mm": 520,
    "blades_to_blades_mm": 690,
    "stopped_by": "stops",
    "headroom_mm": 70,
    "ends": [{"limit": "fouling_point", "note": "points 4"}, {"limit": "buffer_stop"}],
}
LOOP: Json = {
    "name": "Up loop",
    "kind": "loop",
    "usable_length_mm": 1140,
    "spacing_mm": 51,
}
STRANGE: Json = {"name": "", "length_mm": -96, "length": "96 mm"}
"""A body with something wrong in every field."""

MODULE_END: Json = {"name": "weir end", **example_stock.MODULE_END}
MODULE: Json = {
    "name": "Weir cottages",
    "scale": "00",
    "board": {"outline": [[0, 0], [1200, 0], [1200, 600], [0, 600]], "mass_g": 17500},
    "minimum_radius_mm": 610,
    "class_of_line": "branch",
    "ends": [MODULE_END],
}
STANDARD: Json = {
    "name": "Circle standard",
    "rules": [
        {"rule": "board_mass", "id": "carry", "mass_g": 15000},
        {"rule": "rail_height", "height_mm": 1040, "plus_minus_mm": 3},
        {"rule": "least_radius", "radius_mm": 600, "class_of_line": "branch"},
    ],
}
YARD: Json = {"name": "Creamery yard", **example_stock.YARD}

STOCK_LIST = """\
Name,Number,Type,Scale,Length,Weight (oz),Truck centers (in)
Oil tank car,7,wagon,00,"5 1/4 in",1.5,3.5
Mail coach,21,coach,00,57' full size,,
Sand wagon,3,wagon,00,eighty,,
"""
TRACK_LIST = "Piece,Kind,Length,End 1\nW,straight,410,\nB,buffer stop,,W.b\n"
PLAN: Json = {
    "name": "Malt house",
    "scale": "00",
    "pieces": {
        "W": {"kind": "straight", "length_mm": 400},
        "B": {"kind": "buffer_stop"},
    },
    "joins": [["W.b", "B.a"]],
}
