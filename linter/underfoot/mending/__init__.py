"""Mends: changes to a plan's own text that were tried, and clear a finding without harm."""
