"""The job's papers worked out of a plan: what to cut, order, measure, and leave with the floor."""
