"""The demo club: its people, stock and layout, as a member would type them in. Everything here is invented."""

from typing import Any

Json = dict[str, Any]

CLUB = "The Saltmarsh Branch Modellers"
STEWARD = "Wren"
MEMBERS: list[Json] = [{"name": "Alder", "role": "layout_keeper"}, {"name": "Teasel", "role": "member"}]

SMALL = {"type": "small hook-and-bar"}
THREE_LINK = {"type": "three-link"}
MEASURED_HOOK = {"type": "club hook"}


def vehicle(name: str, kind: str, length_mm: float, **figures: Any) -> Json:
    """Return a vehicle of the club: 00, measured over the buffers, small hook-and-bar at both ends unless said."""
    common = {
        "scale": "00",
        "length_over": "buffers",
        "length_from": "measured",
        "front_coupling": SMALL,
        "rear_coupling": SMALL,
    }
    return {**common, "name": name, "kind": kind, "length_mm": length_mm, **figures}


COUPLING_TYPES: list[Json] = [
    {
        "name": "club hook",
        "reach_mm": 4.0,
        "reach_plus_minus_mm": 0.3,
        "play_mm": 0.8,
        "mates_with": ["small hook-and-bar"],
        "notes": "Small hook-and-bar, bent to the club's gauge and measured on ten vehicles.",
    }
]

VEHICLES: dict[str, Json] = {
    "harbour tank": vehicle(
        "Harbour tank engine",
        "engine",
        124,
        rigid_wheelbase_mm=59,
        rigid_axles=3,
        width_mm=34,
        height_mm=50,
        minimum_radius_mm=400,
        mass_g=210,
        front_coupling=MEASURED_HOOK,
        rear_coupling=MEASURED_HOOK,
    ),
    "branch engine": vehicle(
        "Branch goods engine and tender",
        "engine",
        231,
        width_mm=34.5,
        height_mm=52,
        total_wheelbase_mm=184,
        first_axle_mm=25,
        minimum_radius_mm=520,
        mass_g=340,
        bodies=[
            {"name": "engine", "length_mm": 138, "rigid_wheelbase_mm": 64, "rigid_axles": 3, "gap_to_next_mm": 5},
            {"name": "tender", "length_mm": 88, "rigid_wheelbase_mm": 51, "rigid_axles": 3},
        ],
    ),
    "fish van": vehicle("Fish van", "wagon", 86, rigid_wheelbase_mm=46, width_mm=32, height_mm=47, count=9, mass_g=62),
    "coal wagon": vehicle(
        "Coal wagon", "wagon", 75, rigid_wheelbase_mm=36, width_mm=31, height_mm=37, count=12, mass_g=48
    ),
    "brake van": vehicle("Brake van", "brake_van", 93, rigid_wheelbase_mm=63, width_mm=33, height_mm=48, mass_g=75),
    "brake coach": vehicle(
        "Brake coach",
        "coach",
        236,
        bogie_centres_mm=162,
        bogie_wheelbase_mm=34,
        width_mm=36,
        height_mm=51,
        minimum_radius_mm=430,
        mass_g=165,
        count=2,
    ),
    "long coach": vehicle(
        "Long coach",
        "coach",
        262,
        bogie_centres_mm=187,
        bogie_wheelbase_mm=34,
        width_mm=37,
        height_mm=51,
        minimum_radius_mm=460,
        mass_g=180,
        count=3,
    ),
    "salt wagon": vehicle(
        "Salt wagon, three-link",
        "wagon",
        74,
        rigid_wheelbase_mm=36,
        width_mm=31,
        front_coupling=THREE_LINK,
        rear_coupling=THREE_LINK,
    ),
    "visiting saloon": {
        "name": "Visiting saloon",
        "kind": "coach",
        "scale": "00",
        "full_size_length_m": 17.5,
        "notes": "Lent for the exhibition; nobody has measured it yet.",
    },
}

TRAINS: dict[str, Json] = {
    "fish": {"name": "Morning fish", "made_of": ["harbour tank", ("fish van", 6), "brake van"]},
    "coal": {"name": "Coal empties", "made_of": ["branch engine", ("coal wagon", 10), "brake van"]},
    "excursion": {"name": "Regatta excursion", "made_of": ["branch engine", "brake coach", ("long coach", 2)]},
    "mixed": {"name": "Salt and fish", "made_of": ["harbour tank", ("fish van", 2), "salt wagon", "brake van"]},
    "special": {"name": "Committee special", "made_of": ["harbour tank", "visiting saloon"]},
}

LAYOUT: Json = {"name": "Saltmarsh Quay", "scale": "00", "minimum_radius_mm": 525}

PLACES: dict[str, Json] = {
    "loop": {
        "name": "Quay loop",
        "kind": "loop",
        "usable_length_mm": 1015,
        "blades_to_blades_mm": 1310,
        "stop_to_stop_mm": 960,
        "stopped_by": "eye",
        "spacing_mm": 48,
        "ends": [{"limit": "fouling_point", "note": "points 2"}, {"limit": "fouling_point", "note": "points 5"}],
    },
    "fish dock": {
        "name": "Fish dock",
        "kind": "siding",
        "usable_length_mm": 720,
        "stopped_by": "stops",
        "minimum_radius_mm": 450,
        "ends": [{"limit": "fouling_point", "note": "points 3"}, {"limit": "buffer_stop"}],
    },
    "platform": {
        "name": "Platform road",
        "kind": "platform",
        "usable_length_mm": 1120,
        "face_length_mm": 705,
        "stopped_by": "eye",
    },
    "fiddle 1": {"name": "Fiddle yard road 1", "kind": "storage_road", "usable_length_mm": 1400, "stopped_by": "stops"},
    "turntable": {
        "name": "Shed turntable",
        "kind": "turntable",
        "usable_length_mm": 200,
        "clear_circle_mm": 260,
        "stopped_by": "eye",
    },
}
