"""How long it takes to hold 200 trains against 100 places, in processor time, against a
plain loop of the same run.

Run with ``PYTHONPATH=service:tests python -m benchmarks.fits``. Prints; asserts nothing
about time. Promised of a machine whose loop of ten million additions takes 0.25 s: verdict
and spare of all pairs in under 150 ms, for the stock of a club. ``cold`` is with nothing
remembered of any vehicle, ``warm`` what the same stock takes when it is asked about again.
"""

from time import process_time
from typing import Any

import msgspec

from standage.questions.fits import FitsCase, gather, reckon, tabulated
from standage.questions.fits_asked import FitsRequest
from standage.questions.fits_sheets import FitsSheetCase, fits_rows, fits_sheet
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.remembering import forget_all

TRAINS, PLACES, VEHICLES = 200, 100, 12
FLEET = 240
LOOP = 10_000_000
NORMAL_S = 0.25
"""The loop on the machine of which times are promised."""
Json = dict[str, Any]


def vehicle(number: int, *, sorts: int) -> Json:
    """Return one of so many sorts of vehicle, with couplings of a typical type."""
    hook = {"type": "small hook-and-bar"}
    return {
        "name": f"Vehicle {number}",
        "kind": "coach" if number % 3 else "wagon",
        "scale": "00",
        "length_mm": 80.0 + number % sorts * 0.1,
        "length_over": "buffers",
        "front_coupling": hook,
        "rear_coupling": hook,
    }


def trains(*, fleet: int) -> list[Json]:
    """Return trains of twelve, made up of a fleet of so many vehicles."""
    made_up = []
    for number in range(TRAINS):
        first = number * VEHICLES
        vehicles = [
            vehicle((first + one) % fleet, sorts=fleet) for one in range(VEHICLES)
        ]
        made_up.append({"name": f"Train {number}", "vehicles": vehicles})
    return made_up


def places(kind: str, *, radii: int) -> list[Json]:
    """Return places of one kind, with so many sharpest curves among them."""
    return [
        {
            "name": f"Road {number}",
            "kind": kind,
            "scale": "00",
            "usable_length_mm": 800.0 + 17 * number,
            "face_length_mm": 600.0 + 13 * number,
            "minimum_radius_mm": 400.0 + number % radii * 7,
        }
        for number in range(PLACES)
    ]


def case(asked: list[Json], roads: list[Json]) -> FitsCase:
    body = {"trains": asked, "places": roads}
    return gather(Sources(None, ""), convert(body, FitsRequest))


def cases() -> dict[str, FitsCase]:
    """Return what is measured, by what it is."""
    fleet = trains(fleet=FLEET)
    lengths = [{"name": f"T{one}", "length_mm": 400.0 + one} for one in range(TRAINS)]
    return {
        "by their lengths": case(lengths, places("loop", radii=5)),
        "of a club's stock": case(fleet, places("loop", radii=5)),
        "the same, every road with a curve of its own": case(
            fleet, places("loop", radii=PLACES)
        ),
        "the same along platforms": case(fleet, places("platform", radii=5)),
        "every vehicle unlike any other": case(
            trains(fleet=TRAINS * VEHICLES), places("loop", radii=5)
        ),
        "of a club's stock on turntables": case(fleet, places("turntable", radii=5)),
    }


def ms(work: Any, *arguments: Any, rounds: int = 3) -> float:
    """Return the shortest of some rounds: what else runs only ever adds."""
    times = []
    for _ in range(rounds):
        before = process_time()
        work(*arguments)
        times.append((process_time() - before) * 1000)
    return min(times)


def loop() -> None:
    total = 0
    for number in range(LOOP):
        total += number


def main() -> None:
    loop_ms = ms(loop)
    print(f"a loop of {LOOP:,} additions: {loop_ms:.0f} ms")

    def told(what: str, taken_ms: float) -> None:
        normal_ms = taken_ms * NORMAL_S * 1000 / loop_ms
        print(
            f"{what}: {taken_ms:.0f} ms, {normal_ms:.0f} ms where the loop takes 0.25 s"
        )

    for name, one in cases().items():
        forget_all()
        told(f"{name}, cold", ms(tabulated, one, rounds=1))
        told(f"{name}, warm", ms(tabulated, one))
    stock = cases()["of a club's stock"]
    told("the whole answer with its slips", ms(reckon, stock))
    told("as JSON", ms(msgspec.json.encode, reckon(stock)))
    told("as rows", ms(fits_rows, stock))
    figures = {name: getattr(stock, name) for name in FitsCase.__struct_fields__}
    told("as a sheet of all pages", ms(fits_sheet, FitsSheetCase(**figures), rounds=1))


if __name__ == "__main__":
    main()
