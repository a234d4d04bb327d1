"""Polarity on two rails: where a layout's metal joins one rail to the other, and where
a train would.

Reading order: ``metal`` (rails, what joins them, and the gaps in them), ``closed_runs``
(the circuits as a graph), ``circuits`` (all circuits counted, the first of them listed),
``shorts`` (rails that are joined at rest, and by a train that lies over gaps),
``gapping`` (the fewest places to gap), ``crossings`` (live crossings), ``polarity`` (all
of it at once).

Words. A *rail* is metal of one side of the track between two gaps. Rails that metal
joins are one *conductor*. A circuit *exchanges rails* where the rail on the left comes
back as the one on the right. A *lie* is track that one train can lie on without setting
back. A crossing is *live* where it takes the polarity of the road that is set.

Decisions, each with the test that holds it:

- A circuit is any closed run of metal that uses no stretch twice, and all are counted,
  not a set of independent ones: tests/railway/polarity/test_circuits.py, against every
  subset of the track in turn. Within a slip every way from one joint to another counts
  once, and the ring of its own blades is no circuit.
- Two circuits over the same pieces (points that meet by two ends each, with no track
  between) are told once, and counted apart.
- A train ties together all left rails under it, and all right ones. It is a short where
  metal joins the two. So gaps in one rail only, or a little aside from each other, need
  no rule of their own: tests/railway/polarity/test_shorts.py, against a train that is
  laid everywhere mm by mm.
- The least lie that is a short never uses track twice, since what is used twice is a
  short by itself, or a way round that can be left out. A train foul of itself at points
  is not left out: that is on the safe side.
- Shorts are looked for only in tracks that circuits hold together, where one of these
  exchanges rails: all others are as free as they would be anyway (the same tests look
  everywhere).
- Gaps just at the blades' tips of both legs leave a way from the toe round to the toe: it
  is told as what limits, though no train lies so. That is on the safe side too.
- A deck joins nothing, and trains lie over it where it lines up with two roads.
- A set of gaps is the smallest only where all smaller ones were tried; each search has a
  budget in steps and says where it ended: tests/railway/polarity/test_gapping.py.
"""
