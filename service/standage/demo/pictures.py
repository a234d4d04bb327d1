"""A train in its road, drawn to scale in letters, and the sum that goes with it."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from standage.demo.headlines import lacks_face, millimetres
from standage.demo.layouts import PLACES, Made, items
from standage.demo.stock import VEHICLES

Answer = Mapping[str, Any]
Json = dict[str, Any]

COLUMNS = 72
_INDENT = "   "
_PASSENGER_KINDS = ("coach", "multiple_unit_car", "railcar")


class Picture(NamedTuple):
    """The vehicles, from the head, and the place that a picture is of, by the demo's
    own keys.
    """

    made: Made
    place: str


class _Stood(NamedTuple):
    vehicle: Json
    from_mm: float


def picture(of: Picture, answer: Answer) -> Iterator[str]:
    """Yield the train with the length that decides beneath it, to one scale, and then
    the sum.
    """
    for line in _lines(of, answer):
        yield _INDENT + line


def _lines(of: Picture, answer: Answer) -> Iterator[str]:
    train_mm, usable_mm = answer["train_length_mm"], answer["usable_length_mm"]
    vehicles: list[dict[str, Any]] = []
    for key, count in items(of.made):
        vehicles += [VEHICLES[key]] * count
    vehicles_mm = sum(vehicle["length_mm"] for vehicle in vehicles)
    between_mm = (train_mm - vehicles_mm) / len(vehicles)
    standing = list(_standing(vehicles, between_mm=between_mm))
    _, place = PLACES[of.place]
    scale = COLUMNS / max(train_mm, usable_mm)
    yield _drawn(standing, scale)
    if not lacks_face(answer):
        yield _length(place["name"], usable_mm, scale)
        yield from _sum_of_a_road(answer, place["kind"], vehicles_mm=vehicles_mm)
        return
    # the face counts from where the first passenger vehicle stands
    first = next(one for one in standing if one.vehicle["kind"] in _PASSENGER_KINDS)
    before = " " * round(first.from_mm * scale)
    face_mm = place["face_length_mm"]
    yield before + _length("face", face_mm, scale)
    yield _sum_of_a_face(answer, face_mm)


def _standing(vehicles: Sequence[Json], *, between_mm: float) -> Iterator[_Stood]:
    """Yield each vehicle with where it begins; what its couplings take is shared out
    alike.
    """
    from_mm = between_mm / 2
    for vehicle in vehicles:
        yield _Stood(vehicle, from_mm)
        from_mm += vehicle["length_mm"] + between_mm


def _drawn(standing: Sequence[_Stood], scale: float) -> str:
    drawn = ""
    for vehicle, from_mm in standing:
        first, last = (
            round(from_mm * scale),
            round((from_mm + vehicle["length_mm"]) * scale),
        )
        inside = max(0, last - first - 2)
        box = (
            f"◄{'█' * inside}▌" if vehicle["kind"] == "engine" else f"[{'▒' * inside}]"
        )
        drawn = drawn.ljust(first) + box
    return drawn


def _length(name: str, length_mm: float, scale: float) -> str:
    inside = max(0, round(length_mm * scale) - 2)
    words = f" {name} {millimetres(length_mm)} "
    return f"├{words:─^{inside}}┤"


def _sum_of_a_road(answer: Answer, kind: str, *, vehicles_mm: float) -> Iterator[str]:
    train_mm, margin_mm = answer["train_length_mm"], answer["stopping_margin_mm"]
    vehicles = millimetres(vehicles_mm)
    couplings = millimetres(train_mm - vehicles_mm)
    train = millimetres(train_mm)
    yield f"{vehicles} of vehicles + {couplings} of couplings = {train} of train,"
    margin, needed = millimetres(margin_mm), millimetres(train_mm + margin_mm)
    usable = millimetres(answer["usable_length_mm"])
    yield f"+ {margin} for stopping = {needed}; the {kind} has {usable}."


def _sum_of_a_face(answer: Answer, face_mm: float) -> str:
    passengers = millimetres(face_mm - answer["face_spare_mm"])
    return (
        f"{passengers} from the first coach to the last; the face has"
        f" {millimetres(face_mm)}."
    )
