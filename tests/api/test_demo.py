"""The tour: a club as large as it says, eight questions with the troubles that are
planned, and sums that come out.
"""

import re
from collections.abc import Iterator
from fractions import Fraction
from math import pi
from typing import Any, cast

import httpx
import pytest

from api.asking import Caller, Service
from standage.demo import tour
from standage.demo.caller import Club
from standage.demo.headlines import headline
from standage.demo.layouts import (
    LAYOUTS,
    MEMBERS,
    MODULES,
    PLACES,
    STEWARD,
    TRAINS,
    items,
)
from standage.demo.questions import Asked, questions
from standage.demo.stock import OWNERS, VEHICLES

PLANNED = [
    (
        "headshunt long enough",
        "does_not_fit",
        "IT DOES NOT FIT: 47 mm too long",
        "Leave off Coal wagon",
    ),
    ("morning fish train", "fits", "IT FITS: 261 mm to spare", ""),
    (
        "How many coal wagons",
        "holds",
        "6 STAND THERE",
        "Make it up of Harbour tank engine, 6 × Coal wagon",
    ),
    (
        "regatta excursion",
        "does_not_fit",
        "IT DOES NOT FIT: 73 mm too long for the face",
        "Leave off Brake coach",
    ),
    (
        "crossover",
        "does_not_run",
        "IT DOES NOT RUN: a coupling would swing ",
        "of straight track between the two curves",
    ),
    (
        "go round a curve",
        "fouls",
        "THEY TOUCH: they overlap by 1.6 mm",
        "Lay the tracks 51.7 mm apart",
    ),
    ("saloon", "cannot_tell", "CANNOT TELL", "measure its length"),
    (
        "viaduct",
        "does_not_join",
        "THEY DO NOT JOIN: rails 2.5 mm aside, 3 mm of step",
        "",
    ),
]
"""A part of each question in their order, its verdict, its headline, and a part of what
to do about it.
"""
TWO_SCREENS = 112
"""Lines: two windows of a laptop, or two sheets of paper."""


class AsSteward:
    """A client that sends the steward's token with what the demo sends."""

    def __init__(self, steward: Caller) -> None:
        self._steward = steward

    def get(self, path: str, *, params: dict[str, Any]) -> httpx.Response:
        return self._steward.ask(
            "GET", f"{path}?{httpx.QueryParams(params)}" if params else path
        )

    def post(
        self, path: str, *, json: Any = None, content: bytes = b"", headers: Any = None
    ) -> httpx.Response:
        if headers is not None:
            return self._steward.send(
                "POST", path, content, content_type=headers["content-type"]
            )
        return self._steward.ask("POST", path, json)

    def put(
        self, path: str, *, json: Any, headers: dict[str, str] | None = None
    ) -> httpx.Response:
        sent = {
            name.replace("-", "_"): value for name, value in (headers or {}).items()
        }
        return self._steward.ask("PUT", path, json, **sent)


@pytest.fixture
def club(service: Service) -> Club:
    steward = service.club("The Saltmarsh Branch Modellers")
    return Club(
        cast("httpx.Client", AsSteward(steward)),
        steward=STEWARD,
        member_id=steward.member_id,
    )


@pytest.fixture
def asked(club: Club) -> list[Asked]:
    club.register()
    return list(questions(club))


PRINTED: dict[int, str] = {}


@pytest.fixture
def printed(service: Service, club: Club, capsys: pytest.CaptureFixture[str]) -> str:
    """Return the tour as it is printed; once for each database, since the whole club is
    put on record for it.
    """
    if id(service) not in PRINTED:
        tour.show(club)
        PRINTED[id(service)] = capsys.readouterr().out
    return PRINTED[id(service)]


def blocks(printed: str) -> list[str]:
    """Return what was printed of each question."""
    return re.split(r"\n(?=\d  )", printed.split("\nSorrel's", maxsplit=1)[0])[1:]


def test_the_club_is_as_large_as_was_asked_for() -> None:
    assert (len(VEHICLES), len(TRAINS), len(MODULES), len(LAYOUTS)) == (60, 10, 6, 3)
    assert (
        len({body["scale"] for body in VEHICLES.values()})
        == len({one["scale"] for one in LAYOUTS.values()})
        == 3
    )
    assert len({body["owner"] for body in MODULES.values()}) == 1 + len(MEMBERS) == 4
    assert set(OWNERS) <= {member["name"] for member in MEMBERS}


def test_eight_questions_bring_the_planned_troubles_and_the_club_makes_no_slips(
    asked: list[Asked],
) -> None:
    assert [one.answer["verdict"] for one in asked] == [
        verdict for _, verdict, _, _ in PLANNED
    ]
    assert all(part in one.text for one, (part, *_) in zip(asked, PLANNED, strict=True))
    assert {
        slip["message"] for one in asked for slip in one.answer["warnings"]
    } == set()


def test_every_headline_has_its_figure_and_every_trouble_its_remedy(
    printed: str,
) -> None:
    told = [" ".join(block.split()) for block in blocks(printed)]
    for block, (_, _, said, remedy) in zip(told, PLANNED, strict=True):
        assert f" {said}" in block
        assert remedy in block


def test_the_tour_fits_on_two_screens_and_shows_what_was_assumed_once(
    printed: str,
) -> None:
    lines = printed.splitlines()
    assert len(lines) + 8 <= TWO_SCREENS  # the eight lines of the farewell
    assert max(len(line) for line in lines) <= 78
    assert printed.lower().count("assumed") == 1
    assert "Assumed" in blocks(printed)[0]


def sums(printed: str) -> Iterator[tuple[str, list[Fraction]]]:
    """Yield the sum of each question that has one, with its figures."""
    for block in blocks(printed):
        found = re.search(
            r"[\d.,]+ mm of vehicles .*?\bhas [\d.,]+ mm\.", block, re.DOTALL
        )
        if found:
            figures = re.findall(r"[\d.,]+(?= mm)", found[0])
            yield block, [Fraction(figure.replace(",", "")) for figure in figures]


def test_a_reader_can_check_every_sum(printed: str) -> None:
    found = list(sums(printed))
    assert len(found) == 3
    for block, (vehicles, couplings, train, margin, needed, road) in found:
        assert vehicles + couplings == train
        assert train + margin == needed
        left = f"{abs(road - needed)} mm {'to spare' if road >= needed else 'too long'}"
        assert left in block or "STAND THERE" in block


def test_the_vehicles_of_the_first_sum_are_those_on_record() -> None:
    """By hand: 231 + 10 × 75 + 93 over buffers; eleven joints and two free ends of 4.5
    mm couplings.
    """
    assert (
        sum(
            VEHICLES[key]["length_mm"] * count
            for key, count in items(TRAINS["coal"][1])
        )
        == 1074
    )
    assert 1074 + 11 * 9 + 2 * 4.5 == 1182


def test_the_first_train_is_behind_the_clubs_largest_engine_and_goes_to_a_headshunt() -> (
    None
):
    engines = {key: body for key, body in VEHICLES.items() if body["kind"] == "engine"}
    assert (
        max(engines, key=lambda key: engines[key]["length_mm"]) == TRAINS["coal"][1][0]
    )
    assert PLACES["quay headshunt"][1]["kind"] == "headshunt"


def test_the_bar_shows_the_train_beyond_the_road_and_the_face_where_the_face_decides(
    printed: str,
) -> None:
    first, second, _, fourth, *_ = blocks(printed)
    for block, beyond in ((first, True), (second, False)):
        train = next(line for line in block.splitlines() if "◄" in line)
        road = next(line for line in block.splitlines() if "├" in line)
        assert (len(train) > len(road)) is beyond
        assert len(max(train, road, key=len)) in range(74, 77)
    train = next(line for line in fourth.splitlines() if "◄" in line)
    face = next(line for line in fourth.splitlines() if "├" in line)
    assert "face 705 mm" in face
    assert abs(face.index("├") - train.index("[")) <= 1
    assert len(face) < len(train)


def test_drawn_to_scale_every_letter_is_as_many_millimetres(printed: str) -> None:
    first = blocks(printed)[0].splitlines()
    train = next(line for line in first if "◄" in line)[3:]
    road = next(line for line in first if "├" in line)[3:]
    assert len(road) / len(train) == pytest.approx(1160 / 1182, abs=0.02)
    assert train.index("▌") / len(train) == pytest.approx(231 / 1182, abs=0.02)


def test_the_picture_that_is_saved_is_the_first_questions(
    club: Club, monkeypatch: pytest.MonkeyPatch, tmp_path: Any
) -> None:
    monkeypatch.chdir(tmp_path)
    club.register()
    saved = tour.save_picture(club)
    drawing = (tmp_path / "standage-demo.svg").read_text(encoding="utf-8")
    assert saved == str(tmp_path / "standage-demo.svg")
    assert "Quay headshunt" in drawing
    assert "47 mm too long" in drawing


def test_the_tour_opens_with_the_plan_drawn_and_the_headshunt_measured(
    printed: str,
) -> None:
    """By hand: 100 + 40 mm up to the blades, 1000 of track and 20 to the stop's face;
    the footprint of 4.04 m is drawn in 72 letters.
    """
    opening = printed.split("\n1  ", maxsplit=1)[0]
    boards, headshunt, *_ = [
        line for line in opening.splitlines() if "─┤" in line or "─]" in line
    ]
    assert [owner in boards for owner in ("(Wren)", "(Sorrel)", "(Alder)")] == [
        True
    ] * 3
    assert headshunt.endswith("Quay headshunt 1,160 mm")
    assert headshunt.strip().index("┤") + 1 == pytest.approx(1160 / 3722 * 72, abs=1.5)
    assert "Coal drops 725 mm" in opening


def test_the_coal_train_without_one_wagon_fits_the_headshunt(club: Club) -> None:
    club.register()
    wagons = [{"vehicle_id": club.vehicles["coal wagon"], "count": 9}]
    answer = club.check(
        "train-fit",
        train={
            "vehicles": [
                *club.by_id("branch engine"),
                *wagons,
                *club.by_id("brake van"),
            ]
        },
        place={"place_id": club.places["quay headshunt"]},
    )
    assert answer["verdict"] == "fits"


def test_each_plan_of_the_demo_is_sound_and_follows_its_survey(club: Club) -> None:
    club.register()
    for layout, least in (("quay", 5), ("tarn", 4)):
        answer = club.ask(f"{club.plan_of(layout)}/check", revision=1)
        assert answer["verdict"] == "sound"
        assert len(answer["places"]) == least
    quay = club.ask(f"{club.plan_of('quay')}/check", revision=1)
    by_name = {place["name"]: place for place in quay["places"]}
    for _, place in PLACES.values():
        if place["name"] in by_name:
            laid_mm = by_name[place["name"]]["usable_length_mm"]
            assert abs(laid_mm - place["usable_length_mm"]) <= 2.5


def test_the_coal_train_is_worked_once_the_headshunt_is_longer(club: Club) -> None:
    """By hand: the headshunt has 100 + 40 + 1000 + 20 mm from the blades, then 120 more,
    less 25 for stopping by eye.
    """
    club.register()
    before, after = (club.move("coal", revision=number) for number in (1, 2))
    assert (before["verdict"], before["longest_train_mm"]) == ("impossible", 1135)
    assert (after["verdict"], after["longest_train_mm"]) == ("possible", 1255)
    assert after["spare_mm"] == pytest.approx(1255 - before["train_length_mm"])


def test_what_the_tour_says_of_the_longer_headshunt_is_what_is_answered(
    printed: str,
) -> None:
    opening = " ".join(printed.split("\n1  ", maxsplit=1)[0].split())
    assert "As laid, IMPOSSIBLE:" in opening
    assert "the longest that gets there is 1135 mm" in opening
    assert "in the plan's second revision, POSSIBLE:" in opening


def test_the_second_revision_cures_the_quay_and_the_third_breaks_something_else(
    club: Club,
) -> None:
    club.register()
    cured = club.changed(1, 2)
    assert cured["verdict"] == "better"
    assert {one["train"] for one in cured["verdicts"]} == {"Coal empties"}
    careless = club.changed(2, 3)
    # By hand: 900 and a sixth of a circle of 300 mm, where 1120 were.
    (road,) = careless["roads"]
    longer_mm = 900 + 100 * pi - 1120
    is_longer = road["after"]["usable_length_mm"] - road["before"]["usable_length_mm"]
    assert is_longer == pytest.approx(longer_mm, abs=1e-5)
    worse = [one for one in careless["verdicts"] if one["turns"] == "worse"]
    assert "Coal empties" in {one["train"] for one in worse}
    assert {(one["question"], one["after"]) for one in worse} == {
        ("runs", "does_not_run")
    }
    back = club.changed(3, 2)
    better = [one for one in back["verdicts"] if one["turns"] == "better"]
    assert len(better) == len(worse)


def test_what_the_tour_says_of_the_bent_headshunt_is_what_is_answered(
    printed: str,
) -> None:
    opening = " ".join(printed.split("\n1  ", maxsplit=1)[0].split())
    assert "does not get round the curves of Quay headshunt any more" in opening


def test_where_no_picture_can_be_saved_the_tour_goes_on(
    club: Club, monkeypatch: pytest.MonkeyPatch, tmp_path: Any
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "standage-demo.svg").mkdir()
    club.register()
    assert tour.save_picture(club) == "not saved (Is a directory)"


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (
            {"verdict": "tight", "counted_length_mm": 9.0, "spare_mm": -1.5},
            "TIGHT: 1.5 mm too little",
        ),
        (
            {"verdict": "tight", "counted_length_mm": 9.0, "spare_mm": 1.5},
            "TIGHT: 1.5 mm to spare",
        ),
        (
            {"verdict": "does_not_fit", "counted_length_mm": 9.0, "spare_mm": 1.5},
            "IT DOES NOT FIT",
        ),
        (
            {"verdict": "cannot_tell", "counted_length_mm": None, "spare_mm": None},
            "CANNOT TELL",
        ),
        ({"verdict": "holds", "from_pool": 1}, "1 STANDS THERE"),
        ({"verdict": "holds_none", "from_pool": 0}, "NONE STANDS THERE"),
        ({"verdict": "clear", "least_gap_mm": 3.0}, "CLEAR: 3 mm apart"),
        (
            {"verdict": "joins", "tracks": [{"aside_mm": 0.0}], "step_mm": 0.0},
            "THEY JOIN",
        ),
    ],
)
def test_headlines_of_other_answers(answer: dict[str, Any], said: str) -> None:
    assert headline({"because": []} | answer) == said
