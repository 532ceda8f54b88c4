"""Right plans, plans damaged in known ways, and whether every damage is found."""
