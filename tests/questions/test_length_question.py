"""The length question as it is asked over the wire, without the wire."""

from fractions import Fraction

import pytest

from standage.questions.length import LengthRequest, reckon
from standage.railway.terms.scales import ScaleName
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each

RATIOS: dict[ScaleName, str] = {
    "Z": "220",
    "N": "160",
    "N British": "148",
    "TT": "120",
    "3 mm": "101.6",
    "H0": "87",
    "HO": "87.1",
    "00": "76.2",
    "EM": "76.2",
    "S": "64",
    "O": "48",
    "0": "45",
    "0 British": "43.5",
    "1": "32",
}
"""NEM 010 (2011), NMRA S-3.2, and the British standards bureau."""


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


def carried_over(text: str, one: ScaleName, other: ScaleName) -> float:
    request = LengthRequest(text=text, scale=one, to_scale=other)
    found_mm = reckon(request).to_scale_mm
    assert found_mm is not None
    return found_mm


@at_each("one, other", [(one, other) for one in RATIOS for other in RATIOS])
def test_the_same_full_size_length_in_another_scale_goes_by_the_two_ratios(
    one: ScaleName, other: ScaleName
) -> None:
    exact = Fraction("163.8") * Fraction(RATIOS[one]) / Fraction(RATIOS[other])
    there_mm = carried_over("163.8 mm", one, other)
    assert there_mm == pytest.approx(float(exact), abs=5.1e-7)
    back_mm = carried_over(f"{there_mm:.6f} mm", other, one)
    assert back_mm == pytest.approx(163.8, abs=1e-5)


def test_a_coach_of_64_ft_6_is_129_mm_in_2_mm_fine_scale_however_it_is_written() -> (
    None
):
    """The British standard coach of 1951: 258 mm in 00, and half of that at 1:152.4."""
    for text in ("64 ft 6 in full size", "64 ft 6 in", "19659.6 mm full size", "258"):
        assert carried_over(text, "00", "2 mm fine") == 129.0


def test_another_scale_is_told_in_words_and_what_is_no_scale_model_is_said() -> None:
    answer = reckon(LengthRequest(text="258 mm", scale="00", to_scale="N British"))
    assert [reason.message for reason in answer.because] == [
        "it is 258 mm as it stands",
        "the same in N British, 1:148, is 132.8 mm",
    ]
    assert "to_scale_mm" in [one.field for one in answer.assumed]
    assert reckon(ask("258", "00")).to_scale_mm is None


def test_without_its_own_scale_no_length_is_carried_over_to_another() -> None:
    with pytest.raises(Faulty) as refused:
        convert({"text": "258 mm", "to_scale": "N"}, LengthRequest)
    assert [fault.pointer for fault in refused.value.faults] == ["/scale"]


def test_what_is_longer_than_any_hall_in_the_other_scale_is_refused_there() -> None:
    with pytest.raises(Faulty) as refused:
        carried_over("300 000 mm", "Z", "G")
    (fault,) = refused.value.faults
    assert (fault.code, fault.parameter) == ("too_long", "to_scale")
    # a kilometre itself is none too long: 500 m at 1:64 in 1:32
    carried_over("500 000 mm", "S", "1")
