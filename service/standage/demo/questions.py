"""The questions of the tour, with the answers of the service: eight of many."""

from collections.abc import Iterator
from typing import Any, NamedTuple

from standage.demo.caller import Club
from standage.demo.layouts import TRAINS
from standage.demo.pictures import Picture


class Asked(NamedTuple):
    """A question in the club's words, what the service answers, and what is to be drawn
    of it.
    """

    text: str
    answer: Any
    picture: Picture | None = None


def questions(club: Club) -> Iterator[Asked]:
    """Yield each question with its answer."""
    yield from _on_the_quay(club)
    yield from _along_the_line(club)
    yield from _with_visitors(club)


def _on_the_quay(club: Club) -> Iterator[Asked]:
    yield _stands(
        club,
        "The coal train, behind our largest engine, is drawn out into the headshunt"
        " before it sets back to the coal drops. Is the headshunt long enough?",
        train="coal",
        place="quay headshunt",
    )
    yield _stands(
        club,
        "Does the morning fish train stand clear in the quay loop?",
        train="fish",
        place="loop",
    )
    yield _wagons_at_the_drops(club)
    yield _stands(
        club,
        "Can everybody get out of the regatta excursion at the platform?",
        train="excursion",
        place="platform",
    )


def _wagons_at_the_drops(club: Club) -> Asked:
    answer = club.check(
        "longest-train",
        engines=club.by_id("harbour tank"),
        pool=[{"vehicle_id": club.vehicles["coal wagon"], "count": 12}],
        place={"place_id": club.places["coal drops"]},
        by="number",
    )
    picture = Picture(
        ["harbour tank", ("coal wagon", answer["from_pool"])], "coal drops"
    )
    return Asked(
        "How many coal wagons may the harbour tank set back to the coal drops at once?",
        answer,
        picture,
    )


def _along_the_line(club: Club) -> Iterator[Asked]:
    yield Asked(
        "The crossover is a reverse curve of 610 mm with no straight between. Do"
        " coaches stay coupled on it?",
        club.check(
            "curve",
            vehicles=club.by_id("brake coach", "long coach", "long coach"),
            curve={"radius_mm": 610, "reverse": True},
        ),
    )
    yield Asked(
        "Two tracks 48 mm apart go round a curve, the inner one of 610 mm. May coaches"
        " pass coaches there?",
        club.check(
            "passing",
            inner_radius_mm=610,
            spacing_mm=48,
            scale="00",
            vehicles=club.by_id("long coach", "brake coach"),
        ),
    )


def _with_visitors(club: Club) -> Iterator[Asked]:
    yield Asked(
        "A visitor brings an H0 saloon, 26.4 m long in full size. Will it stand in the"
        " works loop?",
        club.fit("special", "gravel loop"),
    )
    yield Asked(
        "Teasel's viaduct arrives with the van. Does it join the junction?",
        club.check(
            "module-join",
            one=club.end("double", "east"),
            other=club.end("viaduct", "west"),
        ),
    )


def _stands(club: Club, text: str, *, train: str, place: str) -> Asked:
    answer = club.fit(train, place)
    _, made = TRAINS[train]
    return Asked(text, answer, Picture(made, place))
