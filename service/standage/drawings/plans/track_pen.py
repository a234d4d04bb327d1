"""Track as it is drawn: rails, on sleepers or plain, or centre lines."""

from collections.abc import Iterable, Sequence
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import GREY
from standage.drawings.plans.looks import TrackStyle
from standage.drawings.plans.ways import Bend, View, path

RAIL_MM = 0.25
_LARGE_RAIL_MM = 0.4
_LEAST_GAUGE_MM = 0.9
"""On paper: nearer than that, two rails are one line."""
_SLEEPER = 1.8
_SLEEPER_WIDE = 0.17
_SLEEPERS_APART = 0.5
"""Of the gauge, as sleepers of the full size are: 2.6 m long, 0.25 m wide, 0.7 m apart.

**Source** common practice, no source.
"""
_LEAST_APART_MM = 1.3
_THIN_MM = 0.3
_GREY_FROM_MM = 5.0
"""A gauge on paper from which sleepers are grey: black ones would drown the rails."""
_CENTRE_MM = 0.45
_LEAST_BAND_MM = 3.0
_BEYOND_MM = 1.2
"""So much wider than the track is the band on which it lies."""
_BROKEN = "2 1.4"

Strand = Sequence[Bend]


class Pen(msgspec.Struct, frozen=True):
    """How track is drawn in a view."""

    view: View
    style: TrackStyle
    gauge_mm: float

    @property
    def drawn_gauge_mm(self) -> float:
        """The gauge that is drawn, in mm of the plan: true, but never too fine."""
        return max(self.gauge_mm, _LEAST_GAUGE_MM * self.view.one_in)

    @property
    def band_mm(self) -> float:
        """How wide the grey is on which trains may stand: where sleepers are grey too
        it lies between the rails.
        """
        gauge_mm = self.drawn_gauge_mm / self.view.one_in
        if self.style == "sleepered" and gauge_mm >= _GREY_FROM_MM:
            return gauge_mm
        track_mm = 2 * self.reach_mm
        return max(_LEAST_BAND_MM, track_mm + _BEYOND_MM)

    @property
    def reach_mm(self) -> float:
        """How far from its centre line track is drawn, in mm of paper."""
        gauge_mm = self.drawn_gauge_mm / self.view.one_in
        if self.style == "centre_lines":
            return _CENTRE_MM / 2
        if self.style == "sleepered":
            return gauge_mm * _SLEEPER / 2
        return (gauge_mm + RAIL_MM) / 2

    @property
    def _rail_mm(self) -> float:
        """How heavy a rail is drawn: a template is read standing up."""
        gauge_mm = self.drawn_gauge_mm / self.view.one_in
        if gauge_mm >= _GREY_FROM_MM:
            return _LARGE_RAIL_MM
        return RAIL_MM

    def draw(
        self, group: ET.Element, strands: Iterable[Strand], *, broken: bool = False
    ) -> None:
        """Draw strands; broken ones are in doubt."""
        known = list(strands)
        if not known:
            return
        dashes = {"stroke-dasharray": _BROKEN} if broken else {}
        if self.style == "centre_lines":
            self._stroke(
                group,
                known,
                (0.0,),
                f"{_CENTRE_MM}",
                dashes,
            )
            return
        if self.style == "sleepered":
            self._sleepers(group, known)
        half_mm = self.drawn_gauge_mm / 2
        self._stroke(
            group,
            known,
            (half_mm, -half_mm),
            f"{self._rail_mm}",
            dashes,
        )

    def _sleepers(self, group: ET.Element, strands: Sequence[Strand]) -> None:
        gauge_mm = self.drawn_gauge_mm / self.view.one_in
        apart_mm = max(_LEAST_APART_MM, gauge_mm * _SLEEPERS_APART)
        is_grey = gauge_mm >= _GREY_FROM_MM
        wide_mm = gauge_mm * _SLEEPER_WIDE if is_grey else _THIN_MM
        gap_mm = apart_mm - wide_mm
        dashes = {
            "stroke-dasharray": f"{wide_mm:.2f} {gap_mm:.2f}",
            # Half a gap before the first: at joints two of them do not meet.
            "stroke-dashoffset": f"{-gap_mm / 2:.2f}",
        }
        if is_grey:
            dashes["stroke"] = GREY
        long_mm = gauge_mm * _SLEEPER
        self._stroke(
            group,
            strands,
            (0.0,),
            f"{long_mm:.2f}",
            dashes,
        )

    def _stroke(
        self,
        group: ET.Element,
        strands: Sequence[Strand],
        asides_mm: Sequence[float],
        width: str,
        more: dict[str, str],
    ) -> None:
        ways = [
            path(strand, self.view, aside_mm=aside_mm)
            for strand in strands
            for aside_mm in asides_mm
        ]
        style = {"fill": "none", "stroke": "black", "stroke-width": width}
        ET.SubElement(
            group,
            "path",
            {"d": " ".join(ways), **style, **more},
        )
