"""A whole toy: its parts solved, placed on each other, and put together."""
