"""From what a caller names to the railway's own values: the only place that resolves
ids.

``lookup`` finds records within one club and one snapshot, reads in one statement what a
question will ask for, and makes values of records. ``plan_roads`` finds roads on their
track plans, ``plan_yards`` yards; ``yards_of_places`` is yards on record whose roads are
places of their layout. Above them ``trains`` and ``plans`` resolve what is
called by those words, inline or on record; so does ``questions.sources`` places, modules
and yards, and it holds one of each.

Decisions, each with the test that holds it:

- An id of another club, of a deleted record and of nothing at all are one fault in the
  same words: tests/api/test_isolation.py.
- A road of a plan is called by the name of a place of the plan, else by its kind and
  first piece; a name that fits none, or two, is refused with the roads there are:
  tests/questions/test_roads_of_plans.py.
- A plan on record is asked by its layout or module: the draft, or a revision. A place
  on record that says its ``road`` follows the draft of its layout's plan: what was
  surveyed counts first, what the plan has no more cannot be told; as checkPlan does,
  the club's largest stock sets the spacing where the plan does not:
  tests/api/test_roads_on_record.py.
- A road of a yard that is a place is as long as the place, less its room for stopping;
  where the place follows a plan, so does the yard: tests/api/test_yards_of_places.py.
- However many are asked for, the statements are as few: tests/api/test_statements.py.
- Without a reading (a stranger who may ask with everything inline) every id is unknown:
  tests/api/test_open_checks.py.
"""
