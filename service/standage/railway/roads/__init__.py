"""Places where trains stand: what is on record of them, how much of their length may be
used, and what they ask of trains that come.

Reading order: ``places`` (the figures of a place), ``allowances`` (where they come
from, and so how good they are where nobody says; its usable length, the ± of that, the
margin for stopping), ``limits`` (what visitors are told),
``crossings`` (points by their number), ``plan_roads`` (a road of a surveyed track plan
as a place).

Words. A place is a *road* in messages. Its *usable length* runs from fouling point to
fouling point or buffer stop, and is what answers are judged by; *blades to blades* and
*stop to stop* are two other lengths of it. The *margin* is room left for stopping, the
*room* what is left then. A *limit* is a figure that binds, with the place it is from;
a *swing* is how far bodies may stand out beside the next track. Points have a *number*:
No. 6 and 1:9 say how slowly their roads part.

Decisions, each with the test that holds it:

- Three lengths of one road are kept apart and nest:
  tests/railway/roads/test_places.py.
- The stopping margin on record is a total of both ends, 25 mm by eye and 10 mm at
  stops; of a place given inline it is nothing unless said:
  tests/railway/roads/test_allowances.py.
- Where a place's figures come from is a value, ``Given``, ``Surveyed`` or ``FromPlan``,
  that knows the ± and the margin; a further source is a further member of the union:
  tests/railway/roads/test_allowances.py.
- By a plan a length is as far off as its ``plus_minus`` says, and exact without one.
  The margin is that of any road on record where the plan is on record, and none where
  it comes with the question, as everything else that does: the same.
- A road of a plan is a place with all that the plan tells: usable length, kind, ends,
  sharpest curve from blades to blades, steepest gradient. Track of unknown shape leaves
  the curve untold, as it is of a place without one; a running line, a balloon and a
  circuit are judged as loops are: tests/questions/test_roads_of_plans.py.
- What a plan cannot tell is ``cannot_tell`` with the piece that it hangs on, and so is
  a road at which the plan is at fault; faults elsewhere are only mentioned: the same.
- A length by tape counts before the plan's, as better evidence; the difference is told:
  the same.
- No margin is taken for granted on a turntable or in a reversing section, where nothing
  is stopped within the length: the same.
- That there is none is said, not left out: ``headroom_unlimited`` and ``no_curves``.
  Left out, a figure is one that nobody measured: tests/railway/roads/test_places.py,
  tests/api/test_limits_over_http.py.
- Visitors are told lengths with margin and ± taken off; their own train's ± is theirs
  to take off. What a platform's face leaves is told beside, from the first passenger
  vehicle to the last, and on a turntable the ends of the rails come off. Each figure is
  held to the question of one train: tests/laws/test_limits_laws.py.
- A number of points is by the centre line, by the tangent in a continental scale.
  Radius and lead are the simple set's, one curve from blade tips to nose: an upper
  bound: tests/laws/test_points_laws.py, tests/published/test_points_published.py.
"""
