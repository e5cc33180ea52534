"""`python -m solver` is `plumpline`."""

from solver.cli import main

if __name__ == "__main__":
    main(prog_name="plumpline")
