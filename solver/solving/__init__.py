"""A part solved: its rounds, their form, and all that is told of them."""
