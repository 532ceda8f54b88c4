"""Checked data -> the parts of a Plan; what the schema cannot say is checked here."""
