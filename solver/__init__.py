"""Plumpline: from the shape of a stuffed toy part to written rounds of single crochet, proved when stuffed.

The workflow, in the order of the modules:

1. `solver.partfile.load` reads a part file: gauge, stuffing, the wanted outline, how it is worked.
2. `solver.search.membrane.rest_fabric` finds the relaxed fabric that is the wanted form once stuffed.
3. `solver.search.round_counts.fit` makes its counts whole and refines them on the form
   that they really become.
4. `solver.rounds.shaping.shaped_piece` says where each increase and decrease goes.
5. `solver.notation.writer.write_rounds` puts the rounds into words.
6. `solver.form.rings.ring_form` is that real form; `solver.wanted.silhouette.deviation` how far it
   lies from the wanted one.

`solver.solving.solved.solve` runs 2 to 6, for every kind of part:

>>> from solver.partfile import read
>>> from solver.solving.solved import solve
>>> buoy = read('''
... [gauge]
... stitches = 20
... rows = 20
... [shape]
... kind = "ball"
... width = "66 mm"
... ''', file="buoy.toml", title="Buoy")
>>> solution = solve(buoy)
>>> solution.piece.counts[:4]
(6, 12, 18, 24)
>>> round(solution.got.width), round(solution.got.height)
(67, 65)
>>> snout = read('''
... [gauge]
... stitches = 20
... rows = 22
... [shape]
... kind = "oval"
... length = "60 mm"
... width = "42 mm"
... height = "30 mm"
... [work]
... finish = "open"
... ''', file="snout.toml", title="Snout")
>>> solution = solve(snout)
>>> str(solution.piece.start), solution.part.kind
('chain', 'oval')
"""
