"""Report content as plain data, and the plots that go with it."""
