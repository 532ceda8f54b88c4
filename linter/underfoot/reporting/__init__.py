"""Report -> text, one module a format."""
