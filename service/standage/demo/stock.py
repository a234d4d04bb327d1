"""The demo club's stock in three scales, as its members would type it in. Everything
here is invented.

Sizes are those of believable models: full-size dimensions of common types divided by
the scale.
"""

from standage.demo.makings import (
    CLUB_HOOK,
    COACH_HOOK,
    HOOK,
    KNUCKLE,
    LOOP,
    N_HOOK,
    THREE_LINK,
    Json,
    coaches,
    vehicle,
    wagons,
)

COUPLING_TYPES: list[Json] = [
    {
        "name": "club hook",
        "reach_mm": 4.0,
        "reach_plus_minus_mm": 0.3,
        "play_mm": 0.8,
        "mates_with": ["small hook-and-bar"],
        "notes": (
            "Small hook-and-bar, bent to the club's gauge and measured on ten vehicles."
        ),
    },
    {
        "name": "coach hook",
        "reach_mm": 4.5,
        "reach_plus_minus_mm": 0.5,
        "swing_deg": 25,
        "mounting": "body",
        "pivot_behind_mm": 12,
        "mates_with": ["small hook-and-bar", "club hook"],
        "notes": (
            "As on the club's bogie coaches; how far it swings was tried out on the"
            " bench."
        ),
    },
]


_ENGINES_00: dict[str, Json] = {
    "harbour tank": vehicle(
        ("", "Harbour tank engine", 124, 0, 210, 1),
        kind="engine",
        scale="00",
        coupling=CLUB_HOOK,
        rigid_wheelbase_mm=59,
        rigid_axles=3,
        width_mm=34,
        height_mm=50,
        minimum_radius_mm=400,
    ),
    "branch engine": vehicle(
        ("", "Branch goods engine and tender", 231, 0, 340, 1),
        kind="engine",
        scale="00",
        coupling=HOOK,
        width_mm=34.5,
        height_mm=52,
        total_wheelbase_mm=184,
        first_axle_mm=25,
        minimum_radius_mm=520,
        bodies=[
            {
                "name": "engine",
                "length_mm": 138,
                "rigid_wheelbase_mm": 64,
                "rigid_axles": 3,
                "gap_to_next_mm": 5,
            },
            {
                "name": "tender",
                "length_mm": 88,
                "rigid_wheelbase_mm": 51,
                "rigid_axles": 3,
            },
        ],
    ),
    "dock shunter": vehicle(
        ("", "Dock shunter", 96, 0, 180, 1),
        kind="engine",
        scale="00",
        coupling=HOOK,
        rigid_wheelbase_mm=28,
        width_mm=33,
        height_mm=47,
        minimum_radius_mm=330,
    ),
    "type two": vehicle(
        ("", "Bogie diesel", 205, 0, 395, 2),
        kind="engine",
        scale="00",
        coupling=HOOK,
        bogie_centres_mm=112,
        bogie_wheelbase_mm=34,
        width_mm=35,
        height_mm=51,
        minimum_radius_mm=430,
    ),
}
_WAGONS_00 = wagons(
    [
        ("fish van", "Fish van", 86, 46, 62, 9),
        ("coal wagon", "Coal wagon", 75, 36, 48, 12),
        ("ice van", "Ice van", 84, 40, 58, 2),
        ("goods van", "Goods van", 82, 40, 60, 6),
        ("five plank", "Five-plank wagon", 79, 40, 46, 8),
        ("salt hopper", "Salt hopper", 88, 44, 66, 5),
        ("lime wagon", "Lime wagon with lid", 74, 36, 50, 3),
        ("cattle wagon", "Cattle wagon", 89, 46, 60, 4),
        ("tank wagon", "Tank wagon", 83, 40, 64, 4),
        ("flat wagon", "Flat wagon", 81, 40, 38, 3),
        ("boat wagon", "Boat wagon", 118, 76, 70, 1),
        ("timber wagon", "Timber wagon", 94, 50, 57, 2),
        ("powder van", "Gunpowder van", 80, 40, 56, 1),
        ("milk tank", "Milk tank wagon", 92, 46, 68, 2),
    ],
    scale="00",
    coupling=HOOK,
    width_mm=32,
) | wagons(
    [("brake van", "Brake van", 93, 63, 75, 3)],
    scale="00",
    coupling=HOOK,
    width_mm=33,
    kind="brake_van",
)
_COACHES_00 = coaches(
    [
        ("brake coach", "Brake coach", 236, 162, 165, 2),
        ("long coach", "Long coach", 262, 187, 180, 3),
        ("buffet", "Buffet car", 262, 187, 184, 1),
        ("push-pull coach", "Push-pull coach", 236, 162, 168, 1),
    ],
    scale="00",
    coupling=COACH_HOOK,
    width_mm=36.5,
    least_mm=450,
    buffer_centres_mm=23,
    buffer_head_width_mm=5,
)
_ODD_00: dict[str, Json] = {
    "salt wagon": vehicle(
        ("", "Salt wagon, three-link", 74, 36, 50, 1),
        kind="wagon",
        scale="00",
        coupling=THREE_LINK,
        rigid_wheelbase_mm=36,
        width_mm=31,
    ),
}

_N: dict[str, Json] = {
    "tarn tank": vehicle(
        ("", "Valley tank engine", 67, 0, 62, 1),
        kind="engine",
        scale="N British",
        coupling=N_HOOK,
        rigid_wheelbase_mm=31,
        rigid_axles=3,
        width_mm=17.5,
        minimum_radius_mm=228,
    ),
    "tarn diesel": vehicle(
        ("", "Valley diesel", 106, 0, 88, 2),
        kind="engine",
        scale="N British",
        coupling=N_HOOK,
        bogie_centres_mm=58,
        bogie_wheelbase_mm=17,
        width_mm=18,
        minimum_radius_mm=228,
    ),
    **wagons(
        [
            ("slate wagon", "Slate wagon", 40, 18, 12, 14),
            ("slate van", "Slate van", 42, 20, 13, 6),
            ("stone hopper", "Stone hopper", 45, 22, 16, 12),
            ("cement wagon", "Cement wagon", 43, 20, 15, 8),
            ("mineral wagon", "Mineral wagon", 38, 18, 11, 20),
            ("pallet van", "Pallet van", 49, 26, 15, 6),
            ("horse box", "Horse box", 45, 22, 15, 1),
            ("oil tank", "Oil tank wagon", 47, 25, 16, 6),
            ("plate wagon", "Plate wagon", 57, 32, 14, 4),
            ("ballast wagon", "Ballast wagon", 40, 18, 14, 8),
        ],
        scale="N British",
        coupling=N_HOOK,
        width_mm=16.5,
    ),
    **wagons(
        [("tarn brake", "Valley brake van", 49, 31, 16, 2)],
        scale="N British",
        coupling=N_HOOK,
        width_mm=17,
        kind="brake_van",
    ),
    **coaches(
        [
            ("valley coach", "Valley coach", 133, 95, 38, 4),
            ("valley brake coach", "Valley brake coach", 133, 95, 38, 2),
            ("valley van", "Parcels van", 104, 72, 31, 2),
            ("inspection saloon", "Inspection saloon", 118, 82, 35, 1),
        ],
        scale="N British",
        coupling=N_HOOK,
        width_mm=19,
        least_mm=228,
    ),
}

_H0: dict[str, Json] = {
    "visiting saloon": {
        "name": "Visiting saloon",
        "kind": "coach",
        "scale": "H0",
        "full_size_length_m": 26.4,
        "front_coupling": LOOP,
        "rear_coupling": LOOP,
        "minimum_radius_mm": 480,
        "notes": "Lent for the exhibition; nobody has measured it yet.",
    },
    "gravel engine": vehicle(
        ("", "Gravel works engine", 112, 0, 190, 2),
        kind="engine",
        scale="H0",
        coupling=LOOP,
        rigid_wheelbase_mm=46,
        rigid_axles=3,
        width_mm=34,
        minimum_radius_mm=360,
    ),
    "branch railbus": vehicle(
        ("", "Railbus", 160, 0, 150, 1),
        kind="railcar",
        scale="H0",
        coupling=LOOP,
        rigid_wheelbase_mm=69,
        width_mm=33,
        minimum_radius_mm=420,
    ),
    **wagons(
        [
            ("tipper", "Tipping wagon", 104, 56, 78, 10),
            ("covered wagon", "Covered wagon", 115, 62, 82, 6),
            ("open wagon", "Open wagon", 104, 56, 70, 8),
            ("gravel hopper", "Gravel hopper", 110, 69, 90, 6),
            ("tank h0", "Two-axle tank wagon", 101, 52, 84, 4),
            ("stake wagon", "Stake wagon", 138, 92, 76, 3),
            ("refrigerated", "Refrigerated wagon", 124, 69, 88, 2),
            ("chalk wagon", "Chalk wagon with lid", 104, 56, 80, 4),
        ],
        scale="H0",
        coupling=LOOP,
        width_mm=33,
    ),
    **wagons(
        [("gravel brake", "Guard's van", 98, 52, 80, 2)],
        scale="H0",
        coupling=LOOP,
        width_mm=33,
        kind="brake_van",
    ),
    **coaches(
        [
            ("express coach", "Express coach, full length", 303, 218, 190, 3),
            ("suburban coach", "Suburban coach", 222, 161, 160, 4),
            ("post van", "Post van", 196, 140, 150, 1),
        ],
        scale="H0",
        coupling=LOOP,
        width_mm=32.5,
        least_mm=480,
    ),
    "works shunter": vehicle(
        ("", "Works shunter", 92, 0, 160, 1),
        kind="engine",
        scale="H0",
        coupling=LOOP,
        rigid_wheelbase_mm=32,
        width_mm=32,
        minimum_radius_mm=300,
    ),
    "knuckle hopper": vehicle(
        ("", "Bogie hopper with knuckles", 161, 0, 140, 4),
        kind="wagon",
        scale="H0",
        coupling=KNUCKLE,
        bogie_centres_mm=103,
        bogie_wheelbase_mm=21,
        width_mm=34,
    ),
    **coaches(
        [("motor coach", "Two-car set, motor coach", 268, 190, 230, 1)],
        scale="H0",
        coupling=LOOP,
        width_mm=33,
        least_mm=430,
    ),
    **coaches(
        [("trailer", "Two-car set, trailer", 268, 190, 170, 1)],
        scale="H0",
        coupling=LOOP,
        width_mm=33,
        least_mm=430,
    ),
}

OWNERS: dict[str, tuple[str, ...]] = {
    "Alder": tuple(_N),
    "Teasel": tuple(_H0),
    "Sorrel": ("salt wagon", "lime wagon", "salt hopper"),
}
"""Which member owns which vehicles; the rest are the steward's."""

VEHICLES: dict[str, Json] = _ENGINES_00 | _WAGONS_00 | _COACHES_00 | _ODD_00 | _N | _H0
