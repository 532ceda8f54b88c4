"""Writes down anew what follows from the demo plans."""

from tests.underfoot.checking.facts_kept import main

if __name__ == "__main__":
    main()
