"""An invented fleet to try the service with: no ship, firm or person in it exists."""
