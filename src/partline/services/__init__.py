"""One function for each thing a maker does."""
