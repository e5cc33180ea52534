"""Written rounds: the words of a language, and rounds put into words."""
