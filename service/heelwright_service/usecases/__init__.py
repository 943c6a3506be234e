"""One function per thing a user does; each opens its own transaction."""
