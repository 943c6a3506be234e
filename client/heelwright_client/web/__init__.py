"""The planning front end: pages over the API, no data of its own."""
