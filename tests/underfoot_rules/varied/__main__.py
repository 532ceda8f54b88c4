"""Writes down anew what all rules say of demo plans with one thing changed."""

from tests.underfoot_rules.varied import main

if __name__ == "__main__":
    main()
