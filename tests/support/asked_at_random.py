"""Questions as anybody might put them, well or badly: every inline question, with
figures drawn from a seed.
"""

from collections.abc import Callable
from random import Random
from typing import Any, get_args

from standage.railway.roads.places import PlaceKind
from standage.railway.stock.vehicles import VehicleKind

Json = dict[str, Any]

NAMES = (
    "Coal wagon",
    "Harbour tank",
    "Fish van",
    "Brake coach",
    "Railbus",
    "Long saloon",
    "Brake van",
    "Bogie hopper",
)
TYPES = (
    "small hook-and-bar",
    "large hook-and-bar",
    "three-link",
    "knuckle",
    "loop",
    "our own hook",
)


def tenths(random: Random, least_mm: float, most_mm: float) -> float:
    """Return a length in tenths of a millimetre; now and then a round one."""
    if random.random() < 0.3:
        return float(random.randint(round(least_mm), round(most_mm)))
    return random.randint(round(least_mm * 10), round(most_mm * 10)) / 10


def some(random: Random, figures: Json, *, part: float = 0.6) -> Json:
    """Return a part of the figures: nobody measures everything."""
    return {name: value for name, value in figures.items() if random.random() < part}


def coupling(random: Random) -> Json:
    figures = {
        "reach_mm": tenths(random, -1, 9),
        "reach_plus_minus_mm": tenths(random, 0, 2),
        "projection_mm": tenths(random, 0, 9),
        "type": random.choice(TYPES),
        "swing_deg": random.randint(5, 40),
        "pivot_behind_mm": tenths(random, 0, 20),
        "mounting": random.choice(["body", "bogie", "guided"]),
    }
    return some(random, figures)


def vehicle(random: Random) -> Json:
    length_mm = tenths(random, 40, 320)
    axles = random.choice(
        [
            {
                "rigid_wheelbase_mm": tenths(random, 15, length_mm * 0.7),
                "rigid_axles": random.randint(2, 4),
            },
            {
                "bogie_centres_mm": tenths(random, 20, length_mm * 0.75),
                "bogie_wheelbase_mm": tenths(random, 10, 35),
            },
            {},
        ]
    )
    figures = {
        "kind": random.choice(get_args(VehicleKind)),
        "scale": random.choice(["00", "H0", "N British", "HO", "0 British"]),
        "length_mm": length_mm,
        "length_from": random.choice(["measured", "maker"]),
        "full_size_length_m": random.randint(50, 270) / 10,
        "width_mm": tenths(random, 15, 60),
        "height_mm": tenths(random, 20, 80),
        "minimum_radius_mm": tenths(random, 200, 700),
        "wheels": random.choice(["fine", "coarse"]),
        "mass_g": random.randint(8, 400),
        "front_coupling": coupling(random),
        "rear_coupling": coupling(random),
        "trial": some(
            random,
            {
                "ran_at_radius_mm": tenths(random, 500, 800),
                "failed_at_radius_mm": tenths(random, 200, 499),
            },
            part=0.4,
        ),
        "buffer_centres_mm": tenths(random, 0, 30),
        "buffer_head_width_mm": tenths(random, 3, 7),
        "gauge_mm": random.choice([9.0, 16.5, 18.2]),
    }
    known = some(random, figures) | some(random, axles, part=0.9)
    if "full_size_length_m" in known:
        known["scale"] = figures["scale"]  # without it a full size says nothing
    return {
        "name": random.choice(NAMES),
        "length_over": random.choice(["buffers", "couplings"]),
    } | known


def several(random: Random, *, most: int = 4) -> list[Json]:
    return [
        vehicle(random) | {"count": random.choice([1, 1, 2, 5])}
        for _ in range(random.randint(1, most))
    ]


def train(random: Random) -> Json:
    return {"vehicles": several(random)}


def named_train(random: Random, number: int) -> Json:
    return {"name": f"{random.choice(NAMES)} train {number}"} | train(random)


def place(random: Random) -> Json:
    figures = {
        "name": random.choice(
            ["Quay loop", "Platform 2", "Fish dock", "Fiddle yard road 1"]
        ),
        "usable_length_mm": tenths(random, 0, 1500),
        "plus_minus_mm": tenths(random, 0, 4),
        "face_length_mm": tenths(random, 100, 900),
        "clear_circle_mm": tenths(random, 100, 1200),
        "scale": random.choice(["00", "H0", "N British"]),
        "wheels": random.choice(["fine", "coarse"]),
        "minimum_radius_mm": tenths(random, 250, 700),
        "headroom_mm": tenths(random, 30, 80),
        "steepest_gradient_percent": random.randint(0, 40) / 10,
        "stopped_by": random.choice(["eye", "stops"]),
        "stopping_margin_mm": tenths(random, 0, 60),
    }
    return {"kind": random.choice(get_args(PlaceKind))} | some(
        random, figures, part=0.7
    )


def curve(random: Random) -> Json:
    figures = some(
        random,
        {
            "radius_plus_minus_mm": tenths(random, 0, 5),
            "couplings": True,
            "reverse": True,
        },
        part=0.4,
    )
    return {"radius_mm": tenths(random, 200, 900)} | figures


def _train_fit(random: Random) -> Json:
    return {"train": train(random), "place": place(random)} | some(
        random, {"stopping_margin_mm": tenths(random, 0, 60)}
    )


def _passing(random: Random) -> Json:
    tracks = {
        "inner_radius_mm": tenths(random, 250, 900),
        "spacing_mm": tenths(random, 25, 90),
    }
    return (
        tracks
        | {"vehicles": several(random)}
        | some(random, {"scale": "00", "margin_mm": tenths(random, 0, 4)})
    )


def _capacity(random: Random) -> Json:
    figures = {
        "fixed_spots": random.randint(1, 4),
        "stopping_margin_mm": tenths(random, 0, 40),
        "plus_minus_mm": tenths(random, 0, 4),
    }
    return {
        "usable_length_mm": tenths(random, 0, 1500),
        "vehicle": vehicle(random),
    } | some(random, figures)


def _couplings_from_train(random: Random) -> Json:
    vehicles = several(random)
    bodies_mm = sum(one.get("length_mm", 150.0) * one["count"] for one in vehicles)
    joints = sum(one["count"] for one in vehicles) - 1
    measured_mm = max(1.0, round(bodies_mm + joints * tenths(random, -3, 16), 1))
    asked = {"vehicles": vehicles, "measured_length_mm": measured_mm}
    over = {"length_over": random.choice(["buffers", "couplings"])}
    return asked | over | some(random, {"plus_minus_mm": tenths(random, 0, 3)})


def _gradient(random: Random) -> Json:
    figures = {
        "vertical_curve_mm": tenths(random, 0, 300),
        "train_length_mm": tenths(random, 50, 1500),
        "limit_percent": random.randint(5, 40) / 10,
    }
    return {
        "rise_mm": tenths(random, 1, 120),
        "run_mm": tenths(random, 400, 4000),
    } | some(random, figures)


def _haulage(random: Random) -> Json:
    figures = {"vehicles": random.randint(1, 30), "engines": random.randint(1, 3)}
    asked = {
        "gradient_percent": random.randint(0, 40) / 10,
        "vehicles_on_level": random.randint(1, 40),
    }
    return asked | some(random, figures)


def _longest(random: Random) -> Json:
    asked = {
        "pool": several(random),
        "place": place(random),
        "by": random.choice(["number", "length"]),
    }
    return asked | some(random, {"engines": [vehicle(random) | {"kind": "engine"}]})


def _wish_list(random: Random) -> Json:
    curved = {"curve": {"radius_mm": tenths(random, 200, 900)}}
    return {"vehicles": several(random), "places": [place(random)]} | some(
        random, curved
    )


def _allocation(random: Random) -> Json:
    trains = [named_train(random, number) for number in range(random.randint(1, 4))]
    roads = [
        place(random) | {"name": f"Road {number}"}
        for number in range(random.randint(1, 4))
    ]
    return {"trains": trains, "roads": roads} | some(
        random, {"gap_mm": tenths(random, 0, 40)}
    )


def _fill(random: Random) -> Json:
    roads = [
        {
            "road": place(random) | {"name": f"Road {road}"},
            "trains": [named_train(random, road)],
        }
        for road in range(random.randint(1, 3))
    ]
    return {"roads": roads}


def _parts(random: Random) -> Json:
    kind = random.choice(["traverser", "sector_plate", "turntable", "cassette"])
    return {"train": train(random), "place": place(random) | {"kind": kind}}


def _module_join(random: Random) -> Json:
    return {"one": _end(random, "Marsh"), "other": _end(random, "Quay")}


def _end(random: Random, name: str) -> Json:
    offsets_mm = random.choice([[0.0], [-25.0, 25.0], [-22.5, 22.5], [0.0, 50.0]])
    tracks = [
        {"name": f"track {number}", "offset_mm": offset}
        for number, offset in enumerate(offsets_mm, 1)
    ]
    pins = [
        {
            "pin": number,
            "carries": random.choice(
                ["front rail", "back rail", "left rail", "230 V", "points return"]
            ),
        }
        for number in range(1, random.randint(2, 4))
    ]
    figures = {
        "rail_height_mm": 1120 + tenths(random, 0, 4),
        "scale": random.choice(["00", "H0"]),
        "wheels": random.choice(["fine", "coarse"]),
        "straight_mm": tenths(random, 0, 200),
        "connector": {"type": random.choice(["9-way D", "4-way DIN"]), "pins": pins},
    }
    return {"name": name, "tracks": tracks} | some(random, figures, part=0.8)


def _yard(random: Random) -> tuple[Json, list[Json]]:
    yard = {
        "headshunt_usable_length_mm": tenths(random, 200, 400),
        "sidings": [
            {"name": name, "usable_length_mm": tenths(random, 160, 400)}
            for name in ("Long", "Short")
        ],
    }
    wagons = [
        {"name": name, "length_mm": tenths(random, 60, 90)}
        for name in "ABC"[: random.randint(1, 3)]
    ]
    return yard, wagons


def _shunting(random: Random) -> Json:
    yard, wagons = _yard(random)
    names = [wagon["name"] for wagon in wagons]
    goal = {
        "siding": random.choice(["Long", "Short"]),
        "train": random.sample(names, len(names)),
    }
    asked = {
        "engine_length_mm": tenths(random, 60, 120),
        "yard": yard,
        "wagons": wagons,
        "goal": goal,
    }
    budget = {"budget_steps": random.choice([1, 5, 500])}
    fewest = {"fewest": random.choice(["visits", "couplings", "cuts_by_hand"])}
    return asked | {"start": {"sidings": [names, []]}} | some(random, budget | fewest)


def _every_train(random: Random) -> Json:
    yard, wagons = _yard(random)
    names = [wagon["name"] for wagon in wagons]
    asked = {
        "engine_length_mm": tenths(random, 60, 120),
        "yard": yard,
        "wagons": wagons,
        "siding": "Long",
    }
    return asked | {
        "train_wagons": random.randint(1, len(names)),
        "start": {"sidings": [names, []]},
    }


def _deal(random: Random) -> Json:
    yard, wagons = _yard(random)
    asked = {
        "engine_length_mm": tenths(random, 60, 120),
        "yard": yard,
        "wagons": wagons,
        "siding": "Long",
    }
    return asked | {
        "train_wagons": random.randint(1, len(wagons)),
        "seed": random.randint(1, 99),
    }


ASKED: dict[str, Callable[[Random], Json]] = {
    "checkTrainFit": _train_fit,
    "checkCurve": lambda random: {
        "vehicles": several(random, most=2),
        "curve": curve(random),
    },
    "checkPassing": _passing,
    "checkCapacity": _capacity,
    "checkCouplingsFromTrain": _couplings_from_train,
    "checkGradient": _gradient,
    "checkHaulage": _haulage,
    "checkLongestTrain": _longest,
    "checkWishList": _wish_list,
    "checkRoadAllocation": _allocation,
    "checkFill": _fill,
    "checkParts": _parts,
    "checkModuleJoin": _module_join,
    "checkShuntingPlan": _shunting,
    "checkEveryTrain": _every_train,
    "dealShuntingPuzzle": _deal,
}
"""Every inline question by its operation, and how a body for it is drawn."""
