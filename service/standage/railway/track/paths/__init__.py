"""Paths: what lies in the plane before anything stands on it.

Read in this order: ``runs`` (one straight, arc or transition), ``spots`` (a place with
a direction, in complex numbers), ``paths`` (runs end to end in a frame: places, cuts,
joins), ``cells`` (how a path places many positions), ``wheels`` (bodies that stand on a
path), ``chords`` (how their wheels are found), ``outlines`` (bodies as rectangles, and
how near two come), ``nearest`` (the place of a path nearest
to a point), ``endless`` (a line without ends, one number at a time), ``alignment`` (the
curve that a caller asks about).

Words. A *run* is part of a path; a *piece* is what a track plan is made of, and may
hold several. A *position* counts along a path from its start. A *cell* is a part of a
run so short that one series places all of it. A *pose* is a point with a heading, a
*trace* many points with their directions.

Decisions, and the tests that hold them; that nothing hangs on the frame, the hand or
the cuts is held by tests/laws/test_track_laws.py:

- Straights, arcs and transitions are one formula: linear curvature, expanded about the
  middle of a cell of no more than an eighth of a radian. So equal radii make of a
  transition an arc. tests/railway/track/test_runs.py: a transition is where an
  independent series in fifty figures has it, to 1e-9 mm.
- Off its ends a path is an error, naming the position and the limits; only a path that
  was asked for as ``going_on`` runs on straight. tests/railway/track/test_paths.py.
- A body that cannot stand is nan, no error: a sweep over thousands of positions asks
  where it can. Wheels off the path are an error. tests/railway/track/test_wheels.py.
- Newton's method closes in on all wheels at once; what loses its way is walked one by
  one, so that the first place behind is found wherever there is one.
  tests/railway/track/test_wheels.py: on the sharpest reverse curves a body stands
  wherever a walk finds that it can.
- Two bodies are as near as the nearest of their eight corners, and overlap where no
  side of either has the other beyond it. tests/railway/track/test_outlines.py: as
  shapely has them, and throws on one radius by their formulas.
- Many positions go in blocks through arrays, at less than 1 µs a vehicle
  (tests/benchmarks/track_paths.py). A search that asks for one place after another uses
  ``endless``, on plain numbers. test_track_laws: both say the same of the same runs.
"""
