"""Drawings of track plans: true to scale in mm, black, white and one grey.

Reading order: ``sheets`` (paper, and pages of it), ``looks`` (how a drawing is to
look), ``lettering`` (words and how wide they are), ``free_room`` (where words may
stand), ``ways`` (track as SVG paths), ``track_pen`` and ``signs`` (how it is drawn),
``title_blocks``, ``listings``; then what is drawn: ``spots_on_track``,
``beside_track``, ``content`` (all of it, found on the survey), ``plan_layout``,
``plan_strokes``, ``plan_names``, ``plan_sheets`` (a plan); ``template_cells``,
``template_marks``, ``template_cover``, ``template_pages`` (1:1); ``roads_drawn`` (a road
straightened), ``train_stands`` (a train on it), ``strip_rows``, ``road_strips``,
``place_sheets``, ``gradient_profiles``; ``drawn_runs``, ``runs_on_plan``,
``runs_straightened``, ``move_sheets`` (a move, run by run), ``polarity_sheets``,
``alteration_sheets`` (two plans over each other); ``edge_labels`` (labels for the board's edge).

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
- **An alteration is the plan as altered with what it was beneath**, laid so that as much
  as can be lies where it lay: grey, broken and ringed tell apart what is new, what goes
  and what is laid, in black and white. tests/drawings/test_alteration_sheets.py.
- **A plan with faults is drawn**: track of pieces with faults is broken and bears the
  fault's number, gaps have a ring and their mm, pieces without a place are listed.
  tests/drawings/test_track_plan_drawings.py.
- **Templates are one page a sheet of paper, and all of them below each other**, up to
  forty; of more, each by its number behind the cover. Windows overlap by 10 mm, the grid
  is laid where the fewest pages hold track, and a page without track is not drawn. Every
  page has a line of 100 mm both ways: what a printer does to a page is seen there.
  tests/drawings/test_template_pages.py.
- **Marks are painted between legs that lie beside each other**: on either side of a
  crossing, and of three-way points' middle: tests/drawings/test_track_plan_drawings.py.
- **Nothing hangs in the air**: a place shows what lies on its own track, a template what
  every page holds by its name: tests/drawings/test_place_drawings.py,
  tests/drawings/test_template_pages.py.
- **A body lies on the chord between its pivots**, its axles on the track's middle; along
  the road vehicles stand as far from each other as they do on the straight.
  tests/drawings/test_place_drawings.py.
- **A train stands with its head at the road's first end**, half of what is to spare
  before it, as on the sheet of a train in a place:
  tests/drawings/test_place_drawings.py.
- **A plan that was measured and has no shape is drawn as strips of its roads**, which
  are true to length: tests/drawings/test_road_strips.py.
- **A profile says how many times its heights are enlarged**, and the gradient of a run
  is the steepest on it, between its vertical curves:
  tests/drawings/test_gradient_profiles.py.
- **A run is drawn where the train stands after it**, black, and before it, outlined; as
  many runs go on a page as cost the plan one round scale at most. Only the roads that
  the train stands on are named: tests/drawings/test_move_sheets.py.
- **There is no clock**: revision and date are what the caller gives.
- More than four thousand strands are centre lines, so that the largest plan stays
  below 4 MB: tests/drawings/test_track_plan_drawings.py.
"""
