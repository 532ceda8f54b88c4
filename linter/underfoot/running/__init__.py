"""Runs plans: their files, the processes that they are done in, and what each may cost."""
