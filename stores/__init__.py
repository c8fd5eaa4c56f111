"""Stores for a restoration: strip, bag and label, find, rebuild, buy."""

__version__ = "0.1.0"
