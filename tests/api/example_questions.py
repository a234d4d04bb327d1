"""The questions that the club of the examples asks."""

from collections.abc import Mapping

from api import example_club as club
from api.asking import NOBODY
from api.example_recorder import Json, Recorder


def play_inline(recorder: Recorder) -> None:
    """Ask with every figure inline."""
    siding = {"name": "Creamery road", "kind": "siding", "usable_length_mm": 520}
    recorder.ask(
        "checkTrainFit",
        {
            "train": {"vehicles": club.MILK_TRAIN},
            "place": siding,
            "stopping_margin_mm": 20,
        },
    )
    recorder.ask(
        "checkTrainFit",
        {"train": {"vehicles": [{"length_mm": 96}]}, "place": {"kind": "barn"}},
    )
    recorder.ask(
        "drawTrainFit",
        {
            "train": {"vehicles": club.MILK_TRAIN},
            "place": siding,
            "stopping_margin_mm": 20,
        },
    )
    recorder.ask(
        "drawTrainFit",
        {"train": {"vehicles": [{"length_mm": 96}]}, "place": {"kind": "barn"}},
    )
    recorder.ask("checkCurve", {"vehicles": [club.COACH], "curve": {"radius_mm": 572}})
    recorder.ask("checkCurve", {"vehicles": [], "curve": {"radius_mm": 0}})
    passing = {
        "inner_radius_mm": 505,
        "spacing_mm": 60,
        "scale": "00",
        "vehicles": [club.COACH],
    }
    recorder.ask("checkPassing", passing)
    recorder.ask("checkPassing", {**passing, "spacing_mm": "60 mm"})
    van = {name: value for name, value in club.MILK_TRAIN[1].items() if name != "count"}
    recorder.ask(
        "checkCapacity", {"usable_length_mm": 520, "vehicle": van, "fixed_spots": 2}
    )
    recorder.ask(
        "checkCapacity", {"usable_length_mm": 520, "vehicle": {"vehicle_id": NOBODY}}
    )
    nine = {
        "name": "Ore wagon",
        "scale": "N",
        "length_mm": 104,
        "length_over": "buffers",
        "count": 9,
    }
    measured = {
        "vehicles": [nine],
        "measured_length_mm": 1009.6,
        "length_over": "buffers",
    }
    recorder.ask("checkCouplingsFromTrain", measured)
    recorder.ask(
        "checkCouplingsFromTrain", {**measured, "vehicles": [{**nine, "count": 1}]}
    )
    recorder.ask(
        "checkGradient",
        {
            "rise_mm": 36,
            "run_mm": 2400,
            "vertical_curve_mm": 300,
            "train_length_mm": 640,
        },
    )
    recorder.ask(
        "checkGradient", {"rise_mm": 36, "run_mm": 500, "vertical_curve_mm": 300}
    )
    recorder.ask(
        "checkHaulage", {"gradient_one_in": 50, "vehicles_on_level": 32, "vehicles": 14}
    )
    recorder.ask("checkHaulage", {"gradient_one_in": 50})
    _reverse_questions(recorder, siding)
    recorder.ask("readLength", query="text=17%20ft%206%20in%20full%20size&scale=00")
    recorder.ask("readLength", query="text=a%20bit%20more")
    recorder.ask("readPoints", query="number=8&scale=H0")
    recorder.ask("readPoints", query="number=8&angle_deg=7.2")


def _reverse_questions(recorder: Recorder, siding: Json) -> None:
    engine, *pool = club.MILK_TRAIN
    longest = {
        "engines": [engine],
        "pool": pool,
        "place": siding,
        "by": "number",
        "stopping_margin_mm": 20,
    }
    recorder.ask("checkLongestTrain", longest)
    recorder.ask("checkLongestTrain", {**longest, "by": "weight"})
    wishes = {"vehicles": [club.COACH], "places": [siding], "curve": {"radius_mm": 438}}
    recorder.ask("checkWishList", wishes)
    recorder.ask("checkWishList", {"vehicles": [club.COACH]})
    trains = [
        {"name": "Milk", "vehicles": club.MILK_TRAIN},
        {"name": "Engine and van", "vehicles": [engine, pool[-1]]},
    ]
    roads = [siding, {"name": "Dairy loop", "kind": "loop", "usable_length_mm": 900}]
    recorder.ask(
        "checkRoadAllocation", {"trains": trains, "roads": roads, "gap_mm": 30}
    )
    recorder.ask(
        "checkRoadAllocation", {"trains": trains, "roads": [{"place_id": NOBODY}]}
    )
    recorder.ask(
        "checkFill",
        {"roads": [{"road": roads[1], "trains": trains[1:]}, {"road": siding}]},
    )
    recorder.ask("checkFill", {"roads": []})
    plate = {"name": "Sector plate", "kind": "sector_plate", "usable_length_mm": 320}
    recorder.ask("checkParts", {"train": {"vehicles": club.MILK_TRAIN}, "place": plate})
    recorder.ask(
        "checkParts",
        {"train": {"vehicles": club.MILK_TRAIN}, "place": {"usable_length_mm": 320}},
    )


def play_on_record(recorder: Recorder, ids: Mapping[str, str]) -> None:
    """Ask about what is on record."""
    recorder.ask("getPlaceTrainFit", at=ids, query=f"train_id={ids['train_id']}")
    recorder.ask(
        "getPlaceTrainFit",
        at={**ids, "place_id": NOBODY},
        query=f"train_id={ids['train_id']}",
    )
    recorder.ask("getPlaceTrainFit", at=ids, query=f"train_id={NOBODY}")
    recorder.ask("getPlaceLongestTrain", at=ids, query="by=length")
    recorder.ask("getPlaceLongestTrain", at={**ids, "place_id": NOBODY})
    recorder.ask("getPlaceLongestTrain", at=ids, query=f"engine_id={NOBODY}")
    for operation_id in ("getLayoutLimits", "getLayoutFits", "getLayoutFill"):
        recorder.ask(operation_id, at=ids)
        recorder.ask(operation_id, at={"layout_id": NOBODY})
    recorder.ask("getUnsuitableStock", query="radius_mm=438")
    recorder.ask("getUnsuitableStock", query="radius=438")
    for operation_id, name in (
        ("getVehicleCurve", "vehicle_id"),
        ("getTrainCurve", "train_id"),
    ):
        recorder.ask(operation_id, at=ids, query="radius_mm=438")
        recorder.ask(operation_id, at={name: NOBODY}, query="radius_mm=438")
        recorder.ask(operation_id, at=ids, query="radius=438")
