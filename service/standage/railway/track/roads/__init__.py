"""Roads of a plan: plain track from limit to limit, and what can be used of it.

``roads`` finds and names them, ``limits`` has what is left between the farthest limits
that reach in, ``stopping`` where trains stop, ``road_places`` what a builder calls
them, ``road_figures`` how sharply they bend.

Decisions, and the tests in tests/railway/track/test_roads.py that hold them:

- A road ends at the farthest limit that reaches into it, whichever points put it there.
- Limits that meet leave 0 and say that the tracks are too close; nothing is negative.
- A place lies on one road, and on points only where it names them.
- A place over points runs over what lies between their blades too; limits, marks,
  curves of opposite hands and gradients are told of places as of roads, and a circuit's
  last curve is followed by its first: tests/railway/track/test_road_figures.py.
"""
