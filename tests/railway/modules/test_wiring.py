"""Connectors pin by pin."""

from typing import Any

import pytest

from standage.railway.modules.boards import ConnectorPin, EndConnector, EndTrack
from standage.railway.modules.joining import JoinEnd, JoinFinding
from standage.railway.modules.wiring import by_wiring

TRACKS = (EndTrack(name="line", offset_mm=0.0),)


def pins(**carries: str) -> tuple[ConnectorPin, ...]:
    return tuple(
        ConnectorPin(pin=name.removeprefix("p"), carries=words)
        for name, words in carries.items()
    )


def end(name: str, *listed: ConnectorPin, type_: str | None = "9-way D") -> JoinEnd:
    connector = None if type_ is None else EndConnector(type=type_, pins=listed)
    return JoinEnd(name=name, tracks=TRACKS, connector=connector)


def found(one: JoinEnd, other: JoinEnd) -> list[tuple[str, str]]:
    return [(finding.reason.code, finding.verdict) for finding in by_wiring(one, other)]


def only(findings: Any) -> JoinFinding:
    (finding,) = findings
    assert isinstance(finding, JoinFinding)
    return finding


RIGHT = pins(p1="front rail", p2="back rail", p3="common return", p4="16 V AC bus")


def test_pins_that_carry_the_same_are_no_finding() -> None:
    assert found(end("Hill", *RIGHT), end("Dale", *RIGHT[::-1])) == []


def test_case_and_spacing_of_words_do_not_count_and_a_number_is_its_own_text() -> None:
    one = end("Hill", ConnectorPin(pin=1, carries="Front  Rail"), type_="9-WAY D")
    assert found(one, end("Dale", ConnectorPin(pin="1", carries="front rail"))) == []


def test_where_neither_end_speaks_of_a_connector_there_is_no_finding() -> None:
    assert found(end("Hill", type_=None), end("Dale", type_=None)) == []


def test_a_connector_that_only_one_end_gives_cannot_be_told() -> None:
    finding = only(by_wiring(end("Hill", *RIGHT), end("Dale", type_=None)))
    assert (finding.verdict, finding.reason.field) == ("cannot_tell", "connector")
    assert finding.reason.message.startswith("Dale: ")


def test_a_list_of_pins_that_only_one_end_gives_cannot_be_told() -> None:
    finding = only(by_wiring(end("Hill"), end("Dale", *RIGHT)))
    assert (finding.verdict, finding.reason.field) == ("cannot_tell", "connector.pins")
    assert finding.reason.message.startswith("Hill: ")


def test_another_sort_of_connector_does_not_join() -> None:
    assert found(end("Hill", *RIGHT), end("Dale", *RIGHT, type_="5-pin DIN")) == [
        ("connector_differs", "does_not_join")
    ]


def test_a_pin_that_only_one_end_has_asks_for_care() -> None:
    finding = only(by_wiring(end("Hill", *RIGHT), end("Dale", *RIGHT[:3])))
    assert (finding.verdict, finding.reason.code) == (
        "joins_with_care",
        "pin_ends_there",
    )
    assert (
        finding.reason.message
        == "pin 4 carries 16 V AC bus in Hill; Dale has nothing on it"
    )


def test_rails_that_change_places_are_told_as_polarity() -> None:
    crossed = pins(p1="back rail", p2="front rail")
    findings = list(by_wiring(end("Hill", *RIGHT[:2]), end("Dale", *crossed)))
    assert [(one.reason.code, one.verdict) for one in findings] == [
        ("polarity_crossed", "does_not_join")
    ] * 2
    assert "pins 1 and 2 have changed places" in findings[0].reason.message


def test_a_common_return_on_a_feed_is_told_as_a_short_circuit() -> None:
    findings = list(
        by_wiring(
            end("Hill", *RIGHT[2:]),
            end("Dale", *pins(p3="16 V AC bus", p4="common return")),
        )
    )
    assert [one.reason.code for one in findings] == ["return_crossed", "return_crossed"]
    assert "short circuit" in findings[0].reason.message


def test_any_other_difference_is_told_with_both_words() -> None:
    finding = only(
        by_wiring(
            end("Hill", *pins(p7="signal bell")), end("Dale", *pins(p7="telephone"))
        )
    )
    assert (finding.reason.code, finding.verdict) == ("pin_differs", "does_not_join")
    assert (
        finding.reason.message
        == "pin 7 carries signal bell in Hill but telephone in Dale"
    )


@pytest.mark.parametrize(
    ("here", "there"), [("left rail", "left rail"), ("left rail", "right rail")]
)
def test_left_and_right_are_never_judged_from_afar(here: str, there: str) -> None:
    finding = only(by_wiring(end("Hill", *pins(p1=here)), end("Dale", *pins(p1=there))))
    assert (finding.reason.code, finding.verdict) == (
        "left_or_right",
        "joins_with_care",
    )


@pytest.mark.parametrize(
    "carries", ["mains", "Mains live", "230 V", "230V AC", "0.4 kV", "110 volts"]
)
def test_what_is_no_low_voltage_never_joins(carries: str) -> None:
    same = pins(p1=carries)
    assert ("not_low_voltage", "does_not_join") in found(
        end("Hill", *same), end("Dale", *same)
    )
    assert found(end("Hill", *same), end("Dale", type_=None))[0][0] == "not_low_voltage"


@pytest.mark.parametrize(
    "carries", ["16 V AC", "50 V", "12v dc", "main line feed", "V230 relay", "48 volts"]
)
def test_low_voltage_passes(carries: str) -> None:
    same = pins(p1=carries)
    assert found(end("Hill", *same), end("Dale", *same)) == []


def test_pins_are_told_in_the_order_of_their_numbers() -> None:
    here, there = pins(p10="a", p2="b", pA="c"), pins(p10="x", p2="y", pA="z")
    fields = [
        finding.reason.field
        for finding in by_wiring(end("Hill", *here), end("Dale", *there))
    ]
    assert fields == ["pin 2", "pin 10", "pin A"]
