"""A whole plan, surveyed: everything that follows from it at once.

Reading order: ``merging`` (one plan of a layout and its modules' heights, fittings and
places), ``survey`` (the rooms below in their order), ``lying`` (where a road lies),
``fitted_faults`` (what fitted track needs), ``unlike_boards`` and ``plan_warnings``
(what a builder should look at before track is laid).

Words. A *survey* is all that follows from a plan. What *lies* has a place, a direction
and a height so far along its course.

Decisions, each with the test that holds it:

- A module's heights, fittings and places count as the layout's own, under the module's
  name; faults point to where they were written: tests/railway/track/test_survey.py.
- What a plan gives is exact unless it says ``plus_minus``; then every length taken from
  it is as far off as a tape would be over that length: the same.
- A road at a fault is not told: ``touched`` has the pieces that faults are about
  (tests/railway/track/test_touched_pieces.py).
"""
