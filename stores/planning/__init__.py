"""What the rebuild needs: items with their pieces, the order of refitting, what to buy. Pure."""
