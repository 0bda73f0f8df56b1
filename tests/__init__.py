"""The tests; a package, since some library ships one of the same name."""
