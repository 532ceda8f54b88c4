"""Writes down anew what is written for people and machines."""

from tests.outputs_kept import main

if __name__ == "__main__":
    main()
