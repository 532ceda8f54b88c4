"""Writes down anew every figure, table and word that stands by itself in a module."""

from tests.constants_kept import main

if __name__ == "__main__":
    main()
