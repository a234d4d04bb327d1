"""The demo club's trains, layouts, modules and standard. Everything here is
invented.
"""

from typing import Any

Json = dict[str, Any]
Made = list[str | tuple[str, int]]


def items(made: Made) -> list[tuple[str, int]]:
    """Return the vehicles of a train by their keys, each with how many of it stand
    there.
    """
    each: list[tuple[str, int]] = []
    for item in made:
        if isinstance(item, str):
            each.append((item, 1))
        else:
            each.append(item)
    return each


CLUB = "The Saltmarsh Branch Modellers"
STEWARD = "Wren"
MEMBERS: list[Json] = [
    {"name": "Alder", "role": "layout_keeper"},
    {"name": "Teasel", "role": "member"},
    {"name": "Sorrel", "role": "member"},
]

TRAINS: dict[str, tuple[str, Made]] = {
    "fish": ("Morning fish", ["harbour tank", ("fish van", 6), "brake van"]),
    "coal": ("Coal empties", ["branch engine", ("coal wagon", 10), "brake van"]),
    "excursion": (
        "Regatta excursion",
        ["branch engine", "brake coach", ("long coach", 2)],
    ),
    "mixed": (
        "Salt and fish",
        ["harbour tank", ("fish van", 2), "salt wagon", "brake van"],
    ),
    "special": ("Visiting special", ["gravel engine", "visiting saloon"]),
    "slate": ("Slate train", ["tarn diesel", ("slate wagon", 14), "tarn brake"]),
    "valley": (
        "Valley stopping train",
        ["tarn tank", "valley brake coach", ("valley coach", 2)],
    ),
    "stone": (
        "Stone block train",
        [("tarn diesel", 2), ("stone hopper", 12), "tarn brake"],
    ),
    "gravel": (
        "Gravel train",
        ["gravel engine", ("gravel hopper", 6), ("tipper", 4), "gravel brake"],
    ),
    "express": ("Diverted express", ["gravel engine", ("express coach", 3)]),
}

LAYOUTS: dict[str, Json] = {
    "quay": {"name": "Saltmarsh Quay", "scale": "00", "minimum_radius_mm": 525},
    "tarn": {"name": "Tarn Head", "scale": "N British", "minimum_radius_mm": 300},
    "gravel": {
        "name": "Mittelau Gravel Works",
        "scale": "H0",
        "minimum_radius_mm": 500,
    },
}

_FOULING: Json = {"limit": "fouling_point"}
_STOP: Json = {"limit": "buffer_stop"}

PLACES: dict[str, tuple[str, Json]] = {
    "loop": (
        "quay",
        {
            "name": "Quay loop",
            "kind": "loop",
            "usable_length_mm": 1090,
            "blades_to_blades_mm": 1770,
            "stop_to_stop_mm": 960,
            "stopped_by": "eye",
            "spacing_mm": 54,
            "ends": [_FOULING | {"note": "points 2"}, _FOULING | {"note": "points 5"}],
        },
    ),
    "quay headshunt": (
        "quay",
        {
            "name": "Quay headshunt",
            "kind": "headshunt",
            "usable_length_mm": 1160,
            "stopped_by": "eye",
            "ends": [{"limit": "blade_tips", "note": "points 1"}, _STOP],
        },
    ),
    "coal drops": (
        "quay",
        {
            "name": "Coal drops",
            "kind": "siding",
            "usable_length_mm": 725,
            "stopped_by": "stops",
            "minimum_radius_mm": 610,
            "ends": [_FOULING | {"note": "points 1"}, _STOP],
        },
    ),
    "platform": (
        "quay",
        {
            "name": "Platform road",
            "kind": "platform",
            "usable_length_mm": 1104,
            "face_length_mm": 705,
            "stopped_by": "eye",
        },
    ),
    "fiddle 1": (
        "quay",
        {
            "name": "Fiddle yard road 1",
            "kind": "storage_road",
            "usable_length_mm": 1400,
            "stopped_by": "stops",
        },
    ),
    "fiddle 2": (
        "quay",
        {
            "name": "Fiddle yard road 2",
            "kind": "storage_road",
            "usable_length_mm": 1210,
            "stopped_by": "stops",
        },
    ),
    "turntable": (
        "quay",
        {
            "name": "Shed turntable",
            "kind": "turntable",
            "usable_length_mm": 200,
            "clear_circle_mm": 260,
            "stopped_by": "eye",
        },
    ),
    "slate loop": (
        "tarn",
        {
            "name": "Passing loop",
            "kind": "loop",
            "usable_length_mm": 824,
            "stopped_by": "eye",
            "spacing_mm": 32,
        },
    ),
    "headshunt": (
        "tarn",
        {
            "name": "Headshunt",
            "kind": "headshunt",
            "usable_length_mm": 240,
            "stopped_by": "eye",
            "ends": [{"limit": "blade_tips", "note": "points 1"}, _STOP],
        },
    ),
    "slate wharf": (
        "tarn",
        {
            "name": "Slate wharf",
            "kind": "siding",
            "usable_length_mm": 812,
            "stopped_by": "stops",
        },
    ),
    "gravel siding": (
        "gravel",
        {
            "name": "Loading siding",
            "kind": "siding",
            "usable_length_mm": 1330,
            "stopped_by": "stops",
        },
    ),
    "gravel loop": (
        "gravel",
        {
            "name": "Works loop",
            "kind": "loop",
            "usable_length_mm": 1480,
            "stopped_by": "eye",
            "spacing_mm": 50,
        },
    ),
}


def _plug(*carries: str) -> Json:
    pins = [
        {"pin": number, "carries": what} for number, what in enumerate(carries, start=1)
    ]
    return {"type": "9-way D", "pins": pins}


_WIRED = ("front rail", "back rail", "points supply", "points return")


def _end(
    name: str,
    *offsets_mm: float,
    height_mm: float = 1120,
    straight_mm: float = 100,
    **figures: Any,
) -> Json:
    tracks = [
        {"name": f"track {number}", "offset_mm": offset}
        for number, offset in enumerate(offsets_mm, start=1)
    ]
    known = {
        "rail_height_mm": height_mm,
        "straight_mm": straight_mm,
        "connector": _plug(*_WIRED),
    }
    return {"name": name, "tracks": tracks} | known | figures


def _board(length_mm: float, width_mm: float, mass_g: float) -> Json:
    return {
        "outline": [[0, 0], [length_mm, 0], [length_mm, width_mm], [0, width_mm]],
        "mass_g": mass_g,
    }


def _module(
    name: str, owner: str, board: Json, ends: list[Json], **figures: Any
) -> Json:
    line = {
        "scale": "00",
        "class_of_line": "branch",
        "wire_area_mm2": 0.75,
    }
    return (
        {
            "name": name,
            "owner": owner,
            "board": board,
            "ends": ends,
        }
        | line
        | figures
    )


MODULES: dict[str, Json] = {
    "quay": _module(
        "Quay",
        "Wren",
        _board(1200, 500, 16_500),
        [_end("inland", 0)],
        minimum_radius_mm=610,
    ),
    "marsh": _module(
        "Marsh bend",
        "Sorrel",
        _board(1600, 450, 15_600),
        [_end("quay side", 0), _end("hill side", -27, 27)],
        minimum_radius_mm=610,
    ),
    "double": _module(
        "Junction",
        "Alder",
        _board(1200, 450, 14_200),
        [_end("west", -27, 27), _end("east", -27, 27)],
        minimum_radius_mm=610,
    ),
    "cutting": _module(
        "Deep cutting",
        "Teasel",
        _board(1000, 450, 27_500),
        [_end("west", -27, 27), _end("east", -27, 27)],
        no_curves=True,
    ),
    "viaduct": _module(
        "Viaduct",
        "Teasel",
        _board(1100, 400, 12_000),
        [
            _end(
                "west",
                -24.5,
                24.5,
                height_mm=1117,
                connector=_plug("front rail", "back rail", "points return"),
            ),
            _end("east", -27, 27),
        ],
        no_curves=True,
    ),
    "yard": _module(
        "Reception yard",
        "Alder",
        _board(1500, 600, 21_000),
        [_end("west", -27, 27)],
        minimum_radius_mm=610,
        wire_area_mm2=0.5,
    ),
}

STANDARD: Json = {
    "name": "Saltmarsh modules",
    "rules": [
        {"rule": "least_radius", "id": "radius", "radius_mm": 600},
        {"rule": "rail_height", "id": "height", "height_mm": 1120, "plus_minus_mm": 2},
        {"rule": "spacing", "id": "spacing", "spacing_mm": 54, "plus_minus_mm": 0.5},
        {"rule": "wire_area", "id": "wire", "area_mm2": 0.75},
        {"rule": "board_mass", "id": "mass", "mass_g": 25_000},
    ],
}
