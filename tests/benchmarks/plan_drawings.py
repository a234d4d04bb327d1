"""How fast a plan of 300 pieces is drawn, against a yardstick in the same run.

Run with ``PYTHONPATH=service:tests python -m benchmarks.plan_drawings``. Prints;
asserts nothing about time. The yardstick is an SVG of as many lines as the plan has
rails, made and written, which no drawing can do without; a slow machine shows in both.
The survey, which every question about a plan needs, is timed apart.
"""

from collections.abc import Callable
from functools import partial
from time import process_time
from xml.etree import ElementTree as ET

from standage.drawings.plans.looks import Look, TrackStyle
from standage.drawings.plans.plan_sheets import plan_sheet
from standage.drawings.plans.template_pages import template_pages
from standage.railway.track.survey.survey import Survey, survey
from support.plans_to_draw import many_pieces
from support.track_plans import ladder, read_plan

ROUNDS = 7
PIECES = 300
STYLES: tuple[TrackStyle, ...] = ("plain", "sleepered", "centre_lines")


def best_ms(work: Callable[[], object]) -> float:
    """Return the shortest of some rounds: what else runs only ever adds."""
    times: list[float] = []
    for _ in range(ROUNDS):
        before = process_time()
        work()
        times.append((process_time() - before) * 1000)
    return min(times)


def yardstick(rails: int) -> str:
    root = ET.Element("svg")
    for number in range(rails):
        corners = {"x1": f"{number / 7:.2f}", "y1": f"{number / 9:.2f}"}
        ET.SubElement(root, "line", corners)
    return ET.tostring(root, encoding="unicode")


def draw(found: Survey, style: TrackStyle) -> str:
    look = Look(track=style)
    return plan_sheet(found, look).written()


def report(name: str, found: Survey) -> None:
    """Print how long a plan takes to be drawn."""
    rails = 2 * len(found.network.strands)
    yardstick_ms = best_ms(lambda: yardstick(rails))
    survey_ms = best_ms(lambda: survey(found.plan))
    print(
        f"{name}, {len(found.placed.flat.pieces)} pieces: surveyed in {survey_ms:.0f}"
        f" ms; an SVG of {rails} lines takes {yardstick_ms:.1f} ms"
    )
    for style in STYLES:
        drawn_ms = best_ms(partial(draw, found, style))
        times = drawn_ms / yardstick_ms
        print(f"  {style}: {drawn_ms:.0f} ms, {times:.0f} times the yardstick")
    pages_ms = best_ms(lambda: template_pages(found, Look()).written(2))
    print(f"  one page at 1:1: {pages_ms:.0f} ms")


if __name__ == "__main__":
    report("winding line", survey(read_plan({"scale": "00", **many_pieces(PIECES)})))
    report("yard", survey(read_plan({"scale": "00", **ladder(roads=PIECES // 4)})))
