"""The language server: what an editor shows of a plan while it is written."""
