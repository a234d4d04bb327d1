"""Rolling stock: vehicles, their couplings and bodies, and what they come to coupled
up.

Reading order: ``typical_reaches``, ``coupling_names`` and ``couplings`` (what is
typical, which names mean it, what takes hold), ``vehicles`` and ``trains`` (what
callers say), ``extents`` (a length as far as it is known), ``practice`` and
``nominal_lengths`` (what is taken where nobody measured), ``axles`` and ``bodies``
(what stands where), ``groups`` (of the published tables), ``unnamed``, ``ends`` and
``joints`` (one end, two ends), ``mating``, ``coupled`` (a train, and its rakes),
``makeup`` (all ways of making one up with some left off), ``measured_reach`` (a reach
out of a measured train), ``weights`` (what a vehicle ought to weigh, by its body).

Words. A *reach* runs from the buffer face to where two couplings meet, pulled out; a
*projection* is what a free one stands out; *play* is what a joint closes when pushed.
An *extent* is a length with its ±, what is *missing* of it, and what of the ± is
couplings that nobody has named (*unsaid*). A *member* is a vehicle of a train, a
*block* a member or a rake measured whole. A *pivot* is what a body turns on.

Decisions, each with the test that holds it:

- No default where none is honest: a length is never guessed, nor an engine's wheelbase,
  least radius or mass: tests/railway/stock/test_bodies.py and ``test_axles``.
- A wagon whose wheels nobody measured stands on bogies where it is American or over
  18 m long in full size, on two axles under 12 m; between them both are reckoned, and
  the worse counts for each throw and each pair (``BodyShape.ways``):
  tests/railway/stock/test_wagon_wheels.py.
- Where an end is measured over couplings the joint closes by the whole play; with
  buffers on both sides, face to face at most: tests/railway/stock/test_joints.py.
- What the club recorded of its coupling types is no guess and not in ``assumed``; what
  is typical is. A ± without a reach only widens the type's: the same.
- A named type that nobody knows is never taken for the typical one. What it reaches
  lies somewhere between what is typical of the scale:
  tests/railway/stock/test_couplings.py.
- A coupling that nobody names lies in the middle of what is typical of its scale, and
  its extent knows how much of its ± that is, so that it can be judged at both ends.
  Where one type alone is typical (N, TT, 0, P4, American knuckles) it is taken with its
  ±. Guided ones count at the short end, since any stock may have them, and are never
  taken for the one: tests/railway/stock/test_joints.py,
  tests/laws/test_unnamed_coupling_laws.py.
- Names are compared without hyphens, spaces, case and the word coupling, and the words
  of the trade mean the typical types. Nothing on record of a name makes no "no": the
  answer asks whether the two are the same. So does the club's own type under a word of
  the trade. Guided says nothing about the head: tests/railway/stock/test_couplings.py.
- A length over the body is for American stock only: elsewhere the buffers stand out
  beyond it. Over its couplings such stock ends at its body too. A car's class in feet
  is the room inside: 44 ft 2½ in over the pulling faces for 40 ft as published, other
  classes from memory, ± 2 ft. It is a length over couplings wherever one counts
  (``extents.is_over_couplings``); of 85 ft there are wagons and coaches, no engine or
  brake van is called by a class, and a car longer than its class is measured:
  tests/railway/stock/test_american_lengths.py.
- Long carriages are shortened in H0 by European makers, not where practice is
  American: the same.
- What was measured of a train as it stands overrules what was measured of a rake in
  it: tests/railway/stock/test_rakes.py. A rake counts by its parts once one of them is
  left off: tests/railway/stock/test_coupled.py.
- Vehicles that would stand inside each other are a figure to be measured again, told by
  ``joints.gap`` as a missing one with a reason of its own (``figures_disagree``): so
  every question that adds up a train says so in one way, and none says yes. A vehicle
  of which its reaches leave nothing is refused where it comes in, its club's types
  included: tests/laws/test_reach_laws.py.
- A body that nobody measured is the vehicle's length less what couplings reach and
  buffers stand out, each told: tests/questions/test_mass_question.py.
"""
