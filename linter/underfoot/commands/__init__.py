"""The command line: arguments -> one call -> print -> exit status."""
