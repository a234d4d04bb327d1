"""What stands beside the track and over it: platforms, walls, piers, bridges.

Reading order: ``bodies_beside`` (vehicles as far as they are known, at the width that
counts), ``beyond_curves`` (bodies that run out of a curve past what stands beside it),
``edges`` (how near anything may stand, inside and outside, and which vehicle decides),
``by_standard`` (what published standards have), ``laid_out`` (a body in plan, for whoever
draws it), ``headroom`` (from rail to rail over a bridge, as a stack).

Words. An *edge* lies so far from the centre line: a platform's, a wall's or a pier's.
*Inside* is towards the curve's centre. A body *reaches* so far aside from the centre
line. The *stretch* is where the edge is, counted from where the curve ends.

Decisions, each with the test that holds it:

- On a curve the reach is passing's, so that a wall and a train stand in the way of the
  same bodies: tests/railway/lineside/test_edges.py.
- Beyond a curve it is swept, both ways round, since a body's end swings over straight
  track while its other pivot is on the curve: tests/railway/lineside/test_beyond_curves.py
  places bodies by hand and lets shapely measure.
- A width at platforms counts for all that stands beside the track, and only where it is
  the greater, as in passing: a wall reaches down to the footboards too, and how high a
  platform is by the side of a narrower figure nobody says:
  tests/questions/test_lineside_question.py.
- Where anything is lacking there is no edge, not one for the rest of the vehicles: it
  would be built: the same.
- Beyond a curve an end is said to swing as far as it does with its leading bogie off the
  curve, as worked examples have it; the edge allows for what comes before that too:
  tests/railway/lineside/test_beyond_curves.py.
- A body is not swept where it cannot reach as far as another is known to: on the straight
  it stands hardly more crookedly than on the curve. Nor is what nobody has: bogies within
  each other, wheels that all but span the circle; they count as on the curve:
  tests/railway/lineside/test_edges.py.
- What is drawn of a body in plan is where its wheels let it stand, and nothing where they
  cannot: tests/railway/lineside/test_laid_out.py.
"""
