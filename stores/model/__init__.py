"""The record as pure values: pieces, places, acts, and what is known of each."""
