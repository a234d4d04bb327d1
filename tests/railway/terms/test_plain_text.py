"""What may not stand in a name: held against what the standard library knows of each
character.
"""

import sys
import unicodedata

import pytest

from standage.shapes.plain_text import unfit_character

_PREPENDED = {*range(0x600, 0x606), 0x6DD, 0x70F, 0x890, 0x891, 0x8E2, 0x110BD, 0x110CD}
_SHOWN = {*range(0xFFF9, 0xFFFC), *range(0x13430, 0x13440)}
"""Format characters that show as something: **Source** DerivedCoreProperties.txt, how
it derives what is ignorable.
"""


@pytest.mark.parametrize("category", ["Cf", "Zl", "Zp"])
def test_no_format_character_and_no_break_stands_in_a_name(category: str) -> None:
    """A character is ignorable where its category is Cf, but for those that show;
    others are told one by one.
    """
    let_through = {
        code
        for code in range(0x80, sys.maxunicode + 1)
        if unicodedata.category(chr(code)) == category
        and unfit_character(f"a{chr(code)}b") is None
    }
    assert let_through - _PREPENDED - _SHOWN == set()


def test_what_no_category_tells_is_refused_too() -> None:
    c1 = [*range(0x80, 0xA0)]
    no_characters = [
        *range(0xFDD0, 0xFDF0),
        *(plane << 16 | last for plane in range(17) for last in (0xFFFE, 0xFFFF)),
    ]
    fillers = [
        0x34F,
        0x115F,
        0x1160,
        0x17B4,
        0x17B5,
        0x180B,
        0x2065,
        0x3164,
        0xFE0F,
        0xFFA0,
        0xFFF0,
        0xE0100,
    ]
    assert [
        hex(code)
        for code in c1 + no_characters + fillers
        if unfit_character(f"a{chr(code)}b") is None
    ] == []


def test_no_letter_figure_mark_or_sign_is_refused() -> None:
    """All that shows is let through, but for the fillers of Hangul, which are letters
    by name only.
    """
    fillers = {
        0x34F,
        0x115F,
        0x1160,
        0x17B4,
        0x17B5,
        0x180B,
        0x180C,
        0x180D,
        0x180F,
        0x3164,
        0xFFA0,
    }
    forms = {*range(0xFE00, 0xFE10), *range(0xE0100, 0xE01F0)}
    refused = {
        code
        for code in range(0x20, sys.maxunicode + 1)
        if unicodedata.category(chr(code))[0] in "LMNPSZ"
        and unicodedata.category(chr(code)) not in {"Zl", "Zp"}
        and unfit_character(f"a{chr(code)}b") is not None
    }
    assert refused == fillers | forms


@pytest.mark.parametrize(
    "name",
    [
        *(
            "Gr\u00fcne Stra\u00dfe",
            "\u0412\u0430\u0433\u043e\u043d 7",
            "caf\u00e9",
            "cafe\u0301",
            "Road\u00a07",
        ),
        *(
            "\U0001f6e4\ufe0f Yard",
            "\u2764\ufe0f\u200d\U0001f525 engine",
            "Road 1\ufe0f\u20e3",
        ),
        *(
            "\u0646\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645",
            "\u0915\u094d\u200d\u0937",
        ),
    ],
)
def test_names_as_people_write_them_are_let_through(name: str) -> None:
    assert unfit_character(name) is None


@pytest.mark.parametrize(
    "name",
    [
        *(
            "Up\u200dloop",
            "Up\u200c loop",
            "Up loop\ufe0f",
            "\u200dUp",
            "e\u0301\u200d",
            "Up \ufe0f\u200dloop",
        ),
        *("\u0412\u200d\u0430", "7\ufe0f", "Up\xadloop"),
    ],
)
def test_a_joiner_that_joins_nothing_is_refused(name: str) -> None:
    assert unfit_character(name) is not None
