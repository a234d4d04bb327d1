"""The length question as it is asked over the wire, without the wire."""

import pytest

from standage.questions.length import LengthRequest, reckon
from standage.railway.terms.scales import ScaleName
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty


def ask(text: str, scale: ScaleName | None = None) -> LengthRequest:
    return LengthRequest(text=text, scale=scale)


def test_a_length_is_answered_in_mm_and_shown_as_on_a_ruler() -> None:
    answer = reckon(ask("4 ft 6 in"))
    assert (answer.verdict, answer.length_mm, answer.feet_and_inches) == (
        "as_it_stands",
        1371.6,
        "4 ft 6 in",
    )
    assert answer.full_size_mm is None
    assert answer.assumed == ()
    assert answer.warnings == ()
    assert [reason.message for reason in answer.because] == [
        "it is 1371.6 mm as it stands"
    ]


def test_a_full_size_length_is_scaled_down_and_says_so() -> None:
    answer = reckon(ask("64 ft 6 in full size", "00"))
    assert (answer.verdict, answer.length_mm, answer.full_size_mm) == (
        "scaled_down",
        258.0,
        19659.6,
    )
    assert [reason.message for reason in answer.because] == [
        "19.66 m full size is 258 mm in 00, 1:76.2"
    ]
    assert answer.assumed == ()


def test_a_lone_figure_is_assumed_to_be_millimetres() -> None:
    answer = reckon(ask("163.8"))
    assert answer.length_mm == 163.8
    assert [
        (assumed.field, assumed.value, assumed.source) for assumed in answer.assumed
    ] == [("text", "mm", "taken_as_read")]


@pytest.mark.parametrize(
    ("text", "full_size_mm"), [("26.4 m", 26400.0), ("57' 6\"", 17526.0)]
)
def test_feet_and_metres_beside_a_scale_are_taken_as_full_size_and_say_so(
    text: str, full_size_mm: float
) -> None:
    answer = reckon(ask(text, "H0"))
    assert answer.verdict == "scaled_down"
    assert answer.length_mm == pytest.approx(full_size_mm / 87, abs=1e-6)
    (assumed,) = answer.assumed
    assert assumed.field == "scale"
    assert f"{full_size_mm:.0f} mm" in assumed.message


@pytest.mark.parametrize("text", ["163.8 mm", "1 13/16 in"])
def test_a_scale_does_not_shrink_millimetres_or_inches(text: str) -> None:
    answer = reckon(ask(text, "H0"))
    assert answer.verdict == "as_it_stands"
    (assumed,) = answer.assumed
    assert assumed.field == "scale"


def test_two_metres_called_seven_feet_is_read_with_a_warning() -> None:
    answer = reckon(ask("2,000 mm (7 ft)"))
    assert answer.length_mm == 2000.0
    assert [(slip.code, slip.field, slip.likely_value) for slip in answer.warnings] == [
        ("two_lengths", "text", 2133.6)
    ]
    assert reckon(ask("1524 mm (5 ft)")).warnings == ()


@pytest.mark.parametrize(
    ("text", "code", "parameter"),
    [
        ("1,234", "ambiguous", "text"),
        ("banana", "not_a_length", "text"),
        ("64 ft 6 in full size", "no_scale", "scale"),
        ("2 000 000 mm", "too_long", "text"),
        (" ", "empty", "text"),
    ],
)
def test_what_cannot_be_told_is_refused_by_its_parameter(
    text: str, code: str, parameter: str
) -> None:
    with pytest.raises(Faulty) as refused:
        reckon(ask(text))
    (fault,) = refused.value.faults
    assert (fault.code, fault.parameter, fault.pointer) == (code, parameter, None)
    assert fault.message.startswith(f"“{text.strip()}”")


@pytest.mark.parametrize("text", ["", "4 ft\n", "4\x00ft", "9" * 61])
def test_text_that_is_no_line_of_text_does_not_come_so_far(text: str) -> None:
    with pytest.raises(Faulty):
        convert({"text": text}, LengthRequest)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1.234 m", ["the point in 1.234 is a decimal point: it is 1.234, not 1234"]),
        ("26.400 m", ["the point in 26.400 is a decimal point: it is 26.4, not 26400"]),
        ("1.000,5 mm", []),
        ("0.125 in", []),
        ("163.8 mm", []),
        ("1.2345 m", []),
    ],
)
def test_a_point_that_some_write_in_thousands_is_said_to_be_read_as_a_decimal_one(
    text: str, said: list[str]
) -> None:
    answer = reckon(ask(text))
    assert [one.message for one in answer.assumed if one.value == "."] == said
