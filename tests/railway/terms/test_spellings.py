"""Scales as people write them."""

from typing import Any, TypeVar, get_args

import msgspec
import pytest

from standage.questions.points import PointsRequest
from standage.railway.modules.boards import ModuleFigures
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.understanding import heard
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

T = TypeVar("T")


def sent(value: object, kind: type[T]) -> T:
    """Return what a caller sends as it is understood."""
    return convert(heard(value, kind).value, kind)


WRITTEN = [
    ("oo", "OO"),
    ("ho", "HO"),
    ("h0", "H0"),
    ("n gauge", "N"),
    ("British N", "N British"),
    ("N 1:150", "N Japanese"),
    ("2mm", "2 mm fine"),
    ("2mm finescale", "2 mm fine"),
    ("3mm", "3 mm"),
    ("TT:120", "TT"),
    ("British TT", "3 mm"),
    ("HO Japanese", "H0 Japanese"),
    ("HOe", "H0e"),
    ("HOm", "H0m"),
    ("H0n3", "HOn3"),
    ("HOn2½", "HOn30"),
    ("4 mm", "00"),
    ("em gauge", "EM"),
    ("p4", "P4"),
    ("s-4", "S4"),
    ("OO9", "009"),
    ("00-9", "009"),
    ("S scale", "S"),
    ("sn3", "Sn3"),
    ("7mm", "0 British"),
    ("s7", "S7"),
    ("Oe", "0e"),
    ("O-16.5", "016.5"),
    ("0n30", "On30"),
    ("On2.5", "On30"),
    ("Gauge 1", "1"),
    ("ii", "II"),
    ("G scale", "G"),
]


@pytest.mark.parametrize(("written", "meant"), WRITTEN)
def test_an_honest_spelling_is_understood(written: str, meant: str) -> None:
    assert sent({"number": 6, "scale": written}, PointsRequest).scale == meant


@pytest.mark.parametrize("name", get_args(ScaleName))
def test_a_scales_own_name_means_that_scale_whatever_its_case(name: str) -> None:
    for written in (name, name.casefold(), name.upper(), f" {name} scale"):
        assert sent({"number": 6, "scale": written}, PointsRequest).scale == name


@pytest.mark.parametrize("written", ["1:22.5", "G1:22.5", "gauge", "", "HQ", "16.5"])
def test_what_says_no_scale_or_two_is_a_fault_that_lists_them(written: str) -> None:
    with pytest.raises(Faulty) as refused:
        sent({"number": 6, "scale": written}, PointsRequest)
    (fault,) = refused.value.faults
    assert (fault.code, fault.pointer) == ("not_a_choice", "/scale")
    assert "009" in fault.message


def test_a_spelling_is_understood_beside_other_faults_and_none_is_hidden() -> None:
    with pytest.raises(Faulty) as refused:
        sent({"number": 600, "scale": "oo9", "gauge_mm": "9"}, PointsRequest)
    assert {fault.pointer for fault in refused.value.faults} == {"/number", "/gauge_mm"}


def test_only_a_choice_is_respelt_and_a_name_stays_as_it_is() -> None:
    asked: dict[str, Any] = {
        "scale": "oo9",
        "ends": [{"name": "OO9", "tracks": [{"name": "oo9", "offset_mm": 0}]}],
    }
    found = sent(asked, ModuleFigures)
    assert (found.scale, found.ends[0].name, found.ends[0].tracks[0].name) == (
        "009",
        "OO9",
        "oo9",
    )
    assert msgspec.to_builtins(
        convert(msgspec.to_builtins(found), ModuleFigures)
    ) == msgspec.to_builtins(found)
