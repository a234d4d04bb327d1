"""A whole plan, surveyed: everything that follows from it at once.

``survey`` goes through the rooms below in their order; ``merging`` makes one plan of a
layout and its modules' heights, fittings and places; ``fitted_faults`` says what fitted
track needs, ``plan_warnings`` what a builder should look at before track is laid.

Decisions, and the tests in tests/railway/track/test_survey.py that hold them:

- A module's heights, fittings and places count as the layout's own, under the module's
  name; faults point to where they were written.
- What a plan gives is exact unless it says ``plus_minus``; then every length taken from
  it is as far off as a tape would be over that length.
- A road at a fault is not told: ``touched`` has the pieces that faults are about
  (tests/railway/track/test_touched_pieces.py).
"""
