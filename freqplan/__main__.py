"""Runs the command line: ``python -m freqplan``."""

from freqplan.cli import main

if __name__ == "__main__":
    main()
