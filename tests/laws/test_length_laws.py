"""What holds for every length that is read or written."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from standage.railway.terms.lengths import Unread, Written, feet_and_inches, read_length

INCH = Fraction("25.4")


def read(text: str) -> Fraction:
    found = read_length(text)
    assert isinstance(found, Written), found
    return found.mm


@given(st.integers(0, 2_000_000))
def test_what_is_written_in_feet_and_inches_is_read_back_exactly(
    sixty_fourths: int,
) -> None:
    length_mm = sixty_fourths * INCH / 64
    assert read(feet_and_inches(length_mm)) == length_mm


@given(st.fractions(0, 1_000_000, max_denominator=1000))
def test_feet_and_inches_are_the_nearest_that_a_ruler_has(length_mm: Fraction) -> None:
    assert abs(read(feet_and_inches(length_mm)) - length_mm) <= INCH / 128


@given(
    st.decimals(0, 999_999, places=2),
    st.sampled_from(["", " mm", "mm", " cm", " m", " in", '"', " ft", "'", " yd"]),
)
def test_point_and_decimal_comma_mean_the_same(figure: object, unit: str) -> None:
    assert read(f"{figure}{unit}") == read(f"{figure}{unit}".replace(".", ","))


@given(
    st.integers(0, 999_999),
    st.integers(0, 999_999),
    st.sampled_from([" mm", " cm", " m", " in", " ft", " yd"]),
)
def test_a_greater_figure_is_a_greater_length(one: int, other: int, unit: str) -> None:
    assert (one < other) == (read(f"{one}{unit}") < read(f"{other}{unit}"))


@given(st.integers(1, 500), st.integers(0, 11), st.integers(0, 63))
def test_more_parts_only_add_to_a_length(feet: int, inches: int, part: int) -> None:
    whole = read(f"{feet} ft")
    with_inches = read(f"{feet} ft {inches} in")
    with_part = read(f"{feet} ft {inches} {part}/64 in")
    assert whole + inches * INCH == with_inches
    assert with_inches + Fraction(part, 64) * INCH == with_part


@given(st.text(max_size=80) | st.text("0123456789.,/ '\"-ftinmcyd½()= ", max_size=30))
def test_any_text_is_read_or_refused_with_a_reason(text: str) -> None:
    found = read_length(text)
    if isinstance(found, Unread):
        assert found.message
    else:
        assert found.mm >= 0


@given(st.text(max_size=30), st.sampled_from(["-", "−"]))
def test_nothing_less_than_nothing_is_ever_read(rest: str, minus: str) -> None:
    assert isinstance(read_length(minus + rest), Unread)
