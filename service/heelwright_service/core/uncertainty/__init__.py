"""The measurement model, its propagation and the price of deviations."""
