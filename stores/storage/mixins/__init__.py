"""The parts of the one writer that are not yet with their subject."""
