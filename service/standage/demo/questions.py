"""The questions of the tour, with the answers of the service."""

from collections.abc import Iterator
from typing import Any

from standage.demo.caller import Club
from standage.demo.plans import LAYOUTS

Asked = tuple[str, Any]


def questions(club: Club) -> Iterator[Asked]:
    """Yield each question in the club's words, and what the service answers."""
    yield from _on_the_quay(club)
    yield from _round_the_curves(club)
    yield from _more_of_the_quay(club)
    yield from _elsewhere(club)
    yield from _modules(club)


def _on_the_quay(club: Club) -> Iterator[Asked]:
    yield "Does the morning fish train stand clear in the quay loop?", club.fit("fish", "loop")
    yield "And is it short enough for the fish dock?", club.fit("fish", "fish dock")
    yield "Ten coal empties with the tender engine: may they wait in the loop?", club.fit("coal", "loop")
    yield "Does the regatta excursion fit the platform, doors and all?", club.fit("excursion", "platform")
    yield (
        "Two fish vans, a salt wagon with three-link couplings, a brake van: in the loop?",
        club.fit("mixed", "loop"),
    )
    yield "The committee wants to ride in the visiting saloon. Does that fit?", club.fit("special", "loop")


def _round_the_curves(club: Club) -> Iterator[Asked]:
    yield (
        "May the tender engine go down to the fish dock, round its curve of 450 mm?",
        club.ask(f"/v1/vehicles/{club.vehicles['branch engine']}/curve", radius_mm=450),
    )
    yield (
        "On the double curve behind the fish market, inner radius 610 mm, tracks 48 mm apart: what passes what?",
        club.check(
            "passing",
            inner_radius_mm=610,
            spacing_mm=48,
            scale="00",
            vehicles=club.by_id("long coach", "brake coach", "harbour tank"),
        ),
    )
    yield (
        "How many coal wagons does a coal drop of 640 mm hold, worked at two spots?",
        club.check("capacity", usable_length_mm=640, fixed_spots=2, vehicle=club.by_id("coal wagon")[0]),
    )


def _more_of_the_quay(club: Club) -> Iterator[Asked]:
    quay = club.layouts["quay"]
    yield (
        "Then how many fish vans may the harbour tank bring into the fish dock?",
        club.check(
            "longest-train",
            engines=club.by_id("harbour tank"),
            pool=[{"vehicle_id": club.vehicles["fish van"], "count": 9}],
            place={"place_id": club.places["fish dock"]},
            by="number",
        ),
    )
    trains = [{"train_id": club.trains[key]} for key in ("fish", "coal", "excursion")]
    yield (
        "Overnight the fish, the coal and the excursion stay at the quay, and one road stays free. Where?",
        club.check(
            "road-allocation",
            trains=trains,
            roads=club.roads("loop", "platform", "fiddle 1", "fiddle 2"),
            keep_empty=1,
        ),
    )
    yield (
        "The crossover at the quay is a reverse curve of 610 mm, nothing straight between. Do coaches stay coupled?",
        club.check(
            "curve",
            vehicles=club.by_id("brake coach", "long coach", "long coach"),
            curve={"radius_mm": 610, "reverse": True},
        ),
    )
    yield f"What may visitors bring to {LAYOUTS['quay']['name']}?", club.ask(f"/v1/layouts/{quay}/limits")


def _elsewhere(club: Club) -> Iterator[Asked]:
    cut = [{"vehicle_id": club.vehicles["tarn diesel"]}, {"vehicle_id": club.vehicles["slate wagon"], "count": 4}]
    yield (
        "At Tarn Head, can the diesel draw four slate wagons into the headshunt?",
        club.check("train-fit", train={"vehicles": cut}, place={"place_id": club.places["headshunt"]}),
    )
    yield "Is the slate wharf long enough for the whole slate train?", club.fit("slate", "slate wharf")
    yield (
        "The incline to Tarn Head rises 60 mm in 2.4 m. How steep is it?",
        club.check("gradient", rise_mm=60, run_mm=2400, vertical_curve_mm=200),
    )
    yield (
        "In H0, may the diverted express run round the works' curve of 500 mm?",
        club.ask(f"/v1/trains/{club.trains['express']}/curve", radius_mm=500),
    )


def _modules(club: Club) -> Iterator[Asked]:
    def end(module: str, name: str) -> dict[str, str]:
        return {"module_id": club.modules[module], "end": name}

    yield (
        "Do the marsh bend and the quay go together?",
        club.check("module-join", one=end("marsh", "quay side"), other=end("quay", "inland")),
    )
    yield (
        "And the junction and Teasel's viaduct?",
        club.check("module-join", one=end("double", "east"), other=end("viaduct", "west")),
    )
    yield "Who keeps to the club's own standard?", club.ask(f"/v1/standards/{club.standard}/report")
