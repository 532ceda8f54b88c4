"""A sampling mutation tester: turns one thing in the code round and asks whether a test notices."""
