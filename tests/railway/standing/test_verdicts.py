"""The rule by which a length is held against its room, and the order of what is
found.
"""

import re
from fractions import Fraction

import pytest
from msgspec import structs

from standage.railway.standing.verdicts import (
    Finding,
    FitVerdict,
    Wording,
    by_spare,
    fit,
    overall,
    sorted_reasons,
)
from standage.railway.stock.extents import Extent, Missing
from standage.railway.terms.reasons import Reason
from support.walks import at_each

WORDING = Wording(subject="the train", place="the loop")
UNKNOWN = (Missing(vehicle="W", field="length_mm", words="its length"),)


@pytest.mark.parametrize(
    ("spare_mm", "verdict"),
    [
        (6.0, "fits"),
        (5.999, "tight"),
        (0.0, "tight"),
        (-6.0, "tight"),
        (-6.001, "does_not_fit"),
    ],
)
def test_the_spare_must_cover_the_plus_minus(spare_mm: float, verdict: str) -> None:
    assert by_spare(spare_mm, plus_minus_mm=6.0) == verdict


def test_exact_figures_fit_to_a_hair_and_the_dust_of_fractions_decides_nothing() -> (
    None
):
    assert by_spare(0.0, plus_minus_mm=0.0) == "fits"
    assert by_spare(0.3 - (0.1 + 0.2), plus_minus_mm=0.0) == "fits"
    assert by_spare(-0.001, plus_minus_mm=0.0) == "does_not_fit"
    assert by_spare(0.1 + 0.2, plus_minus_mm=0.3) == "fits"


@pytest.mark.parametrize(
    ("room_mm", "code", "message"),
    [
        (
            124.0,
            "stands_clear",
            "the train stands clear in the loop with 24 mm to spare, give or take 6 mm",
        ),
        (
            106.03125,
            "stands_clear",
            "the train stands clear in the loop with 6 mm to spare, give or take 6 mm",
        ),
        (
            99.96875,
            "too_close_to_call",
            (
                "the train has less than 0.1 mm too little in the loop, give or take 6"
                " mm: too close to call"
            ),
        ),
        (
            24.0,
            "too_long",
            "the train is 76 mm too long for the loop, give or take 6 mm",
        ),
        (
            102.0,
            "too_close_to_call",
            (
                "the train has 2 mm to spare in the loop, give or take 6 mm: too close"
                " to call"
            ),
        ),
        (
            98.0,
            "too_close_to_call",
            (
                "the train has 2 mm too little in the loop, give or take 6 mm: too"
                " close to call"
            ),
        ),
    ],
)
def test_the_outcome_is_said_with_its_figures(
    room_mm: float, code: str, message: str
) -> None:
    extent = Extent(known_mm=100.0, plus_minus_mm=4.0)
    (reason,) = fit(
        extent, room_mm=room_mm, room_plus_minus_mm=2.0, wording=WORDING
    ).because
    assert (reason.code, reason.message) == (code, message)
    assert reason.amount_mm == abs(room_mm - 100.0)


@pytest.mark.parametrize(
    ("room_mm", "message"),
    [
        (
            124.0,
            (
                "the train stands clear in the loop with 24 mm to spare, give or take 6"
                " mm, and 25 mm left for stopping"
            ),
        ),
        (
            24.0,
            (
                "the train is 76 mm too long for the loop, give or take 6 mm, with 25"
                " mm left for stopping"
            ),
        ),
        (
            102.0,
            (
                "the train has 2 mm to spare in the loop, give or take 6 mm, with 25 mm"
                " left for stopping: too close "
            ),
        ),
    ],
)
def test_what_is_left_for_stopping_is_said_in_the_sentence(
    room_mm: float, message: str
) -> None:
    extent, wording = (
        Extent(known_mm=100.0, plus_minus_mm=4.0),
        structs.replace(WORDING, margin_mm=25.0),
    )
    (reason,) = fit(
        extent, room_mm=room_mm, room_plus_minus_mm=2.0, wording=wording
    ).because
    assert reason.message.startswith(message)


def test_too_long_for_certain_says_what_is_left_for_stopping() -> None:
    extent = Extent(known_mm=100.0, plus_minus_mm=4.0, missing=UNKNOWN)
    wording = structs.replace(WORDING, margin_mm=25.0)
    (reason,) = fit(
        extent, room_mm=93.0, room_plus_minus_mm=2.0, wording=wording
    ).because
    assert (
        reason.message
        == "the train is at least 1 mm too long for the loop, with 25 mm left for"
        " stopping, counting only what is known"
    )


def test_an_unknown_length_is_too_long_for_certain_where_what_is_known_is_too_long() -> (
    None
):
    extent = Extent(known_mm=100.0, plus_minus_mm=4.0, missing=UNKNOWN)
    found = fit(extent, room_mm=93.0, room_plus_minus_mm=2.0, wording=WORDING)
    assert (found.verdict, found.spare_mm, found.plus_minus_mm) == (
        "does_not_fit",
        None,
        None,
    )
    assert "is at least 1 mm too long" in found.because[0].message
    assert found.because[0].amount_mm == 1


@pytest.mark.parametrize("room_mm", [94.0, 106.0, 1000.0])
def test_an_unknown_length_cannot_be_told_of_otherwise_and_is_named(
    room_mm: float,
) -> None:
    extent = Extent(known_mm=100.0, plus_minus_mm=4.0, missing=(*UNKNOWN, *UNKNOWN))
    found = fit(extent, room_mm=room_mm, room_plus_minus_mm=2.0, wording=WORDING)
    assert (found.verdict, found.spare_mm) == ("cannot_tell", None)
    assert [
        (reason.code, reason.vehicle, reason.field) for reason in found.because
    ] == [("missing_figure", "W", "length_mm")]


def finding(verdict: FitVerdict, code: str) -> Finding:
    return Finding(verdict=verdict, reason=Reason(code=code, message=code))


def test_the_worst_finding_decides_and_comes_first_and_each_is_told_once() -> None:
    findings = [
        finding("fits", "a"),
        finding("tight", "b"),
        finding("does_not_fit", "c"),
        finding("cannot_tell", "d"),
        finding("does_not_fit", "e"),
        finding("does_not_fit", "c"),
    ]
    assert overall(findings) == "does_not_fit"
    assert [reason.code for reason in sorted_reasons(findings)] == [
        "c",
        "e",
        "d",
        "b",
        "a",
    ]


@pytest.mark.parametrize(
    ("verdicts", "worst"),
    [(("fits", "tight"), "tight"), (("tight", "cannot_tell", "fits"), "cannot_tell")],
)
def test_cannot_tell_is_worse_than_tight(
    verdicts: tuple[FitVerdict, ...], worst: str
) -> None:
    assert overall(finding(verdict, verdict) for verdict in verdicts) == worst


@pytest.mark.parametrize(
    ("room_mm", "code", "says"),
    [
        (
            108.42,
            "too_close_to_call",
            "has 8.4 mm to spare in the loop, give or take 8.5 mm: too close to call",
        ),
        (
            108.44,
            "too_close_to_call",
            "has 8.4 mm to spare in the loop, give or take 8.5 mm: too close to call",
        ),
        (108.45, "stands_clear", "with 8.45 mm to spare, give or take 8.45 mm"),
        (91.54, "too_long", "is 8.46 mm too long for the loop, give or take 8.45 mm"),
        (
            91.55,
            "too_close_to_call",
            "has 8.4 mm too little in the loop, give or take 8.5 mm: too close to call",
        ),
    ],
)
def test_a_reader_comes_to_the_same_verdict_by_the_figures_that_are_printed(
    room_mm: float, code: str, says: str
) -> None:
    told = fit(
        Extent(known_mm=100.0, plus_minus_mm=8.45),
        room_mm=room_mm,
        room_plus_minus_mm=0.0,
        wording=WORDING,
    )
    assert [reason.code for reason in told.because] == [code]
    assert says in told.because[0].message


@at_each("hundredths", range(-40, 41))
@at_each("off_hundredths", [5, 14, 15, 25, 29])
def test_no_pair_of_printed_figures_says_otherwise_than_the_verdict(
    hundredths: int, off_hundredths: int
) -> None:
    extent = Extent(known_mm=100.0, plus_minus_mm=off_hundredths / 100)
    told = fit(
        extent, room_mm=100 + hundredths / 100, room_plus_minus_mm=0.0, wording=WORDING
    )
    message = told.because[0].message
    if "less than 0.1 mm" in message:
        return
    printed, off = (Fraction(figure) for figure in re.findall(r"([0-9.]+) mm", message))
    read = "fits" if printed >= off else "tight"
    if hundredths < 0:
        read = "does_not_fit" if printed > off else "tight"
    assert (read, off >= Fraction(off_hundredths, 100)) == (told.verdict, True)
