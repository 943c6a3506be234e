"""Rule sets as data, and the one evaluator that judges by them."""
