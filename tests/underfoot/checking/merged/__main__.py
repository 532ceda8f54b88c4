"""Writes down anew what is in force after settings files are laid over each other."""

from tests.underfoot.checking.merged import main

if __name__ == "__main__":
    main()
