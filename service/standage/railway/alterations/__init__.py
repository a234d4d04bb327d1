"""What an alteration changes: one plan held against the other.

Reading order: ``pieces_changed`` (what is added, taken up, moved or made otherwise, and
what of it is laid), ``roads_changed`` (the lengths, curves and gradients of roads),
``verdicts_changed`` (trains that stand, or get there, in the one and not in the other).

Words. *Before* and *after* are the two plans, surveyed. A piece *stands* where all its
ends lie as they did. What is laid, or fixed for good, *comes up* where it is taken out,
moved, or made with other figures.

Decisions, each with the test that holds it:

- A plan without a board, obstacles or given places has no fixed ground: so what as much
  as can be of what is laid has in common stands, and the rest has moved:
  tests/railway/alterations/test_pieces_changed.py.
- Compared with itself nothing changes; the other way round everything does the other
  way: the same, and tests/questions/test_plan_compare_question.py.
- A length by tape counts before the plan's own, and is as good as a tape:
  tests/railway/alterations/test_roads_changed.py.
- A train's verdict on a road is the one that is given of each plan by itself: the same.
- What was taped on the track as it lay says nothing of an altered plan; all else that is
  on record of a place counts: tests/api/test_plan_alterations_over_http.py.
"""
