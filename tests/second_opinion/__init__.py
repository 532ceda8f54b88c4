"""A second opinion on what is wrong with a plan, by arithmetic of its own: no rule is asked."""
