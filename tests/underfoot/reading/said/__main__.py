"""Writes down anew what reading says of changed plans."""

from tests.underfoot.reading.said import main

if __name__ == "__main__":
    main()
