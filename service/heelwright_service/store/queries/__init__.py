"""The questions asked of the tables, one module a domain; they take a session and never commit."""
