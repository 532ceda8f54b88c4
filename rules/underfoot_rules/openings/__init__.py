"""Rules, one a module, each with its page."""
