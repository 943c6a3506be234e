"""The `heelwright` command line."""
