"""Tables, queries and the unit of work."""
