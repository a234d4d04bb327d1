"""Roads of a plan: plain track from limit to limit, and what can be used of it.

Reading order: ``roads`` (found and named), ``limits`` (what is left between the
farthest limits that reach in), ``stopping`` (where trains stop), ``road_places`` (what
a builder calls them), ``stretches`` (whether their parts follow one another),
``road_figures`` (how sharply they bend).

Words. A *limit* is how far a fouling point reaches into a road from its end. What is
*usable* lies between the limits of both ends.

Decisions, each with the test that holds it:

- A road ends at the farthest limit that reaches into it, whichever points put it there:
  tests/railway/track/test_roads.py.
- Limits that meet leave 0 and say that the tracks are too close; nothing is negative:
  the same.
- A place lies on one road, and on points only where it names them: the same.
- The parts of a place's stretch follow one another as a train runs, without a gap or a
  reversal: tests/railway/track/test_stretches.py.
- A place over points runs over what lies between their blades too; limits, marks,
  curves of opposite hands and gradients are told of places as of roads, and a circuit's
  last curve is followed by its first: tests/railway/track/test_road_figures.py.
"""
