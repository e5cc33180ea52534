"""A part brought to a finished size."""
