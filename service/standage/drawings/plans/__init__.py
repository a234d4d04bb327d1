"""Drawings of track plans: true to scale in mm, black, white and one grey.

Reading order: ``sheets`` (paper, and pages of it), ``looks`` (how a drawing is to
look), ``lettering`` (words and how wide they are), ``free_room`` (where words may
stand), ``ways`` (track as SVG paths), ``track_pen`` and ``signs`` (how it is drawn),
``title_blocks``, ``listings``; then what is drawn: ``content`` (found on the survey),
``plan_layout``, ``plan_strokes``, ``plan_names``, ``plan_sheets`` (a plan), and
``edge_labels`` (labels for the board's edge).

Words. A *view* says how the plan comes on the paper: one in so many. A *bend* is a
straight or an arc where it lies. A *stand* is where a label stands, with the *leader*
that leads to it. The *look* is what the caller chooses.

Decisions, each with the test that holds it:

- **Pages are of A4 or Letter and say so to the browser** (``@page``), so that what is
  printed is true to scale without a setting; a sheet of several has them one below the
  other, each on a page of its own. A phone's strip has no end.
  tests/drawings/test_track_plan_drawings.py.
- **No text stands over another.** Every text says its width, which holds in any
  reader's font; labels try a hundred places about what they name. What finds none, or
  is too long for its road, stands in a list beneath.
  tests/drawings/test_track_plan_drawings.py, for plans at random too.
- **Track is drawn by arcs**, not by chords: a circle's radius on paper is the plan's,
  and a template can be cut to. Transitions are arcs that leave them by 0.02 mm.
  tests/drawings/test_track_plan_drawings.py.
- **A plan with faults is drawn**: track of pieces with faults is broken and bears the
  fault's number, gaps have a ring and their mm, pieces without a place are listed.
  tests/drawings/test_track_plan_drawings.py.
- **There is no clock**: revision and date are what the caller gives.
- More than four thousand strands are centre lines, so that the largest plan stays
  below 4 MB: tests/drawings/test_track_plan_drawings.py.
"""
