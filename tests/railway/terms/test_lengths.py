"""Lengths as members write them, and those that are sent back to them."""

from fractions import Fraction

import pytest

from standage.railway.terms.lengths import (
    Unread,
    Written,
    feet_and_inches,
    lengths_named_in,
    model_mm,
    read_length,
)

INCH = Fraction("25.4")


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("4 ft 6 in", 54 * INCH),
        ("4ft6in", 54 * INCH),
        ("4 ft, 6 in", 54 * INCH),
        ("4 feet 6 inches", 54 * INCH),
        ("4'-6\"", 54 * INCH),
        ("4 ft - 6 in.", 54 * INCH),
        ("57' 6\"", 690 * INCH),
        ("57′ 6″", 690 * INCH),
        ("57’ 6”", 690 * INCH),
        ("57' 6''", 690 * INCH),
        ("5'", 60 * INCH),
        ("5'6", 66 * INCH),
        ("5 ft 11", 71 * INCH),
        ("3/4 in", INCH * 3 / 4),
        ("1 13/16 in", INCH * 29 / 16),
        ("1-13/16 in", INCH * 29 / 16),
        ("1 1/32 in", INCH * 33 / 32),
        ("½ in", INCH / 2),
        ("44 ft 2½ in", 12 * INCH * 44 + INCH * 5 / 2),
        ("44 ft 2 ½ in", 12 * INCH * 44 + INCH * 5 / 2),
        ("5' 6½", 66 * INCH + INCH / 2),
        ("4½ ft", 54 * INCH),
        ("13/8 in", INCH * 13 / 8),
        (".5 in", INCH / 2),
        ("1 yd", 36 * INCH),
        ("1 yd 2 ft 3 in", 63 * INCH),
        ("2 yards 5 in", 77 * INCH),
        ("26.4 m", Fraction(26400)),
        ("26.4 M", Fraction(26400)),
        ("26,4 m", Fraction(26400)),
        ("1 m 20 cm 5.5 mm", Fraction("1205.5")),
        ("16,38 cm", Fraction("163.8")),
        ("163.8", Fraction("163.8")),
        ("163.8 millimetres", Fraction("163.8")),
        ("163.8.", Fraction("163.8")),
        ("0,125 mm", Fraction("0.125")),
        ("1234,567", Fraction("1234.567")),
        ("1,234.5", Fraction("1234.5")),
        ("1.234,5", Fraction("1234.5")),
        ("1,234,567", Fraction(1234567)),
        ("1.234.567", Fraction(1234567)),
        ("2 000 mm", Fraction(2000)),
        ("2 000,5 mm", Fraction("2000.5")),
        ("2\u202f000\u00a0mm", Fraction(2000)),
        ("0", Fraction(0)),
        ("  9   mm ", Fraction(9)),
    ],
)
def test_a_length_is_read_exactly(text: str, mm: Fraction) -> None:
    assert read_length(text) == Written(
        mm=mm, unit_said=any(mark.isalpha() or mark in "'′’\"" for mark in text)
    )


@pytest.mark.parametrize(
    "text",
    [
        "64 ft 6 in full size",
        "64 ft 6 in full-size",
        "64 ft 6 in (full size)",
        "64 ft 6 in in full size",
        "full size 64 ft 6 in",
        "64' 6\" in full size",
        "FULL SIZE 64 FT 6 IN",
        "64 ft 6 in prototype",
    ],
)
def test_full_size_said_beside_a_length_is_heard(text: str) -> None:
    assert read_length(text) == Written(mm=774 * INCH, full_size=True)


def test_sixty_characters_are_read() -> None:
    assert read_length("0" * 57 + "9 m") == Written(mm=Fraction(9000))


def test_an_inch_before_full_size_stays_an_inch() -> None:
    assert read_length("6 in full size") == Written(mm=6 * INCH, full_size=True)
    assert read_length("6 m in full size") == Written(mm=Fraction(6000), full_size=True)


def test_scale_feet_are_full_size_feet() -> None:
    assert read_length("40 scale feet") == Written(mm=480 * INCH, full_size=True)


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("", "empty", "write a length"),
        ("   ", "empty", "write a length"),
        ("full size", "empty", "write a length"),
        ("-5 mm", "negative", "less than nothing"),
        ("−5 mm", "negative", "less than nothing"),
        ("1,234", "ambiguous", "1234 or as 1.234"),
        ("12,345 mm", "ambiguous", "12345 or as 12.345"),
        ("999,999 ft", "ambiguous", "999999 or as 999.999"),
        ("4 ft 14 in", "ambiguous", "whole ft or more"),
        ("4 ft 12 in", "ambiguous", "whole ft or more"),
        ("5 ft 12", "ambiguous", "whole ft or more"),
        ("6 in 4 ft", "ambiguous", "come before"),
        ("4 ft 3 ft", "ambiguous", "come before"),
        ("4.5 ft 6 in", "ambiguous", "fraction already"),
        ("4½ ft 6 in", "ambiguous", "fraction already"),
        ("4 ft 20 mm", "ambiguous", "mixes ft and mm"),
        ("1 m 3 in", "ambiguous", "mixes m and in"),
        ("1 4/4 in", "ambiguous", "one number"),
        ("1 5/4 in", "ambiguous", "one number"),
        ("3/4", "no_unit", "Say the unit"),
        ("½", "no_unit", "Say the unit"),
        ("2'000", "no_unit", "000 of what"),
        ("26-27 mm", "no_unit", "26 of what"),
        ("5 m 30", "no_unit", "30 of what"),
        ("12 34 mm", "no_unit", "12 of what"),
        ("4 chains", "unknown_unit", "chains"),
        ("10 x 20 mm", "unknown_unit", "'x'"),
        ("1e3", "unknown_unit", "'e'"),
        ("3/0 in", "not_a_length", "divides by nothing"),
        ("banana", "not_a_length", "write it like"),
        ("nan", "not_a_length", "write it like"),
        ("1:87", "not_a_length", "write it like"),
        ("1,2,3", "not_a_length", "not a number"),
        ("12,34,567", "not_a_length", "not a number"),
        ("1.2.3 mm", "not_a_length", "not a number"),
        ("about 26 mm", "not_a_length", "write it like"),
        ("٣ mm", "not_a_length", "write it like"),
        ("5 mm (banana)", "not_a_length", "write it like"),
        ("9" * 61, "not_a_length", "one length only"),
    ],
)
def test_what_cannot_be_told_is_refused_with_its_reason(
    text: str, code: str, words: str
) -> None:
    found = read_length(text)
    assert isinstance(found, Unread)
    assert found.code == code
    assert words in found.message


@pytest.mark.parametrize(
    "text",
    ["2000 mm (7 ft)", "2000 mm = 7 ft", "2000 mm called 7 ft", "2000 mm or 7 ft"],
)
def test_a_length_written_twice_is_read_twice(text: str) -> None:
    assert read_length(text) == Written(mm=Fraction(2000), also_mm=84 * INCH)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("2,000 mm (7 ft)", Fraction(2000)),
        ("2,000 m (7 ft)", Fraction(2000)),
        ("1,524 mm (5 ft)", Fraction(1524)),
        ("1,600 m (5' 3\")", Fraction(1600)),
    ],
)
def test_a_second_length_settles_what_a_comma_means(text: str, mm: Fraction) -> None:
    found = read_length(text)
    assert isinstance(found, Written)
    assert found.mm == mm


def test_a_second_length_that_settles_nothing_leaves_the_comma_refused() -> None:
    found = read_length("2,000 mm (9 in)")
    assert isinstance(found, Unread)
    assert found.code == "ambiguous"


def test_a_full_size_length_is_scaled_exactly_and_any_other_is_left() -> None:
    coach = read_length("64 ft 6 in full size")
    assert isinstance(coach, Written)
    assert model_mm(coach, ratio=76.2) == 258
    siding = read_length("4 ft 6 in")
    assert isinstance(siding, Written)
    assert model_mm(siding, ratio=76.2) == Fraction("1371.6")
    assert model_mm(siding, ratio=None) == Fraction("1371.6")


def test_a_full_size_length_without_a_scale_is_refused() -> None:
    found = model_mm(Written(mm=Fraction(1), full_size=True), ratio=None)
    assert isinstance(found, Unread)
    assert found.code == "no_scale"


def test_more_than_a_kilometre_of_model_is_refused_and_a_kilometre_is_not() -> None:
    assert model_mm(Written(mm=Fraction(1_000_000)), ratio=None) == 1_000_000
    longer = model_mm(Written(mm=Fraction(1_000_001)), ratio=None)
    assert isinstance(longer, Unread)
    assert longer.code == "too_long"
    assert (
        model_mm(Written(mm=Fraction(87_000_000), full_size=True), ratio=87)
        == 1_000_000
    )


@pytest.mark.parametrize(
    ("mm", "words"),
    [
        (0.0, "0 in"),
        (25.4, "1 in"),
        (304.8, "1 ft"),
        (1371.6, "4 ft 6 in"),
        (19.05, "3/4 in"),
        (26.19375, "1 1/32 in"),
        (304.8 + 0.396875, "1 ft 1/64 in"),
        (304.7, "1 ft"),
    ],
)
def test_a_length_is_written_as_a_ruler_has_it(mm: float, words: str) -> None:
    assert feet_and_inches(mm) == words


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("the 7 ft road", [2133.6]),
        ("Platform 1 (4' 6\")", [1371.6]),
        ("1524mm loop, once 60 in", [1524.0, 1524.0]),
        ("Road 2", []),
        ("P2.5 and B7", []),
        ("10 footplates", []),
        ("type A12 mm", []),
        ("7 ft 14 in", []),
    ],
)
def test_lengths_in_a_name_are_found(text: str, named: list[float]) -> None:
    assert [float(mm) for mm in lengths_named_in(text)] == named
