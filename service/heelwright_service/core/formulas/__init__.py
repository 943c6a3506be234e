"""Elementary closed forms of the trade, each with its source: inclining, masses, free surface, integration, trim."""
