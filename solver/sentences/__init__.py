"""The fixed sentences of patterns by language, as data that anyone can edit, and their look-up."""
